"""Answers about moves and shops as JSON values: what is said stands there as sentences."""

from __future__ import annotations

from typing import Any

from handling_db.lookup.as_json import plain
from handling_db.moving.notices import gap_texts, notice_words


def move_json(answer: Any, *, first: str = "kg") -> dict[str, Any]:
    """The fields of an answer; null means not known, never nothing.

    Parameters
    ----------
    answer : MoveAnswer or ShopAnswer
    first : str
        kg or lb: which comes first in sentences.
    """
    value: dict[str, Any] = plain(answer)
    return {**value, **said_json(answer, first)}


def said_json(answer: Any, first: str) -> dict[str, Any]:
    """What stands first and what is not known, as sentences."""
    return {
        "first": notice_words(answer.first, first=first),
        "not_known": gap_texts(answer.not_known, first),
    }
