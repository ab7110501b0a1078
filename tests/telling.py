"""What an answer about a lift says, as lines: the first ones, then the reasons."""

from __future__ import annotations

from typing import Any

from handling_db.lifting.said.notices import first_lines, notice_words, reasons


def told(answer: Any) -> list[str]:
    """First lines and reasons of anything that has `first`."""
    return [*(text for _, text in first_lines(answer.first)), *reasons(answer.first)]


def kinds(answer: Any) -> list[str]:
    """The kinds of what it says, in order."""
    return [notice.kind for notice in answer.first]


def words(notices: Any) -> list[str]:
    """Whole sentences of some notices."""
    return [notice_words(notice) for notice in notices]
