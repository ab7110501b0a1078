"""Answers about moves and shops as JSON values: what is said stands there as sentences."""

from __future__ import annotations

from typing import Any

from handling_db.lookup.as_json import plain
from handling_db.moving.notices import notice_words
from handling_db.quantities.notice import Notice


def move_json(answer: Any, *, first: str = "kg") -> Any:
    """An answer or a part of one, what is said as sentences; null means not known, never nothing.

    Parameters
    ----------
    answer : frozen dataclass
        Such as MoveAnswer, ShopAnswer, FixtureAnswer or HandsAnswer.
    first : str
        kg or lb: which comes first in sentences.
    """
    return plain(answer, lambda one: notice_words(one, first=first) if isinstance(one, Notice) else one)
