"""Answers about moves and shops as JSON values: what is said stands there as sentences."""

from __future__ import annotations

from typing import Any

from handling_db.lookup.as_json import plain
from handling_db.moving.figures import DockFigure
from handling_db.moving.notices import clause, gap_texts, notice_words


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


def dock_json(dock: DockFigure | None, *, first: str = "kg") -> dict[str, Any] | None:
    """A figure of the paper beside a scale."""
    if dock is None:
        return None
    lines = [{**plain(line), "says": clause(line.says, first)} for line in dock.lines]
    return {**plain(dock), "lines": lines}


def said_json(answer: Any, first: str) -> dict[str, Any]:
    """What stands first and what is not known, as sentences."""
    return {
        "first": notice_words(answer.first, first=first),
        "not_known": gap_texts(answer.not_known, first),
    }
