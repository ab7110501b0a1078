"""Answers about the numbers as JSON: stable field names, masses in kilograms, unknown as null."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from handling_db.evidence.answer import WhyLine
from handling_db.lookup.as_json import STATE, plain
from handling_db.weights.answer import StateFigure

_MASSES = ("best", "low", "high")


def number_json(value: Any) -> Any:
    """An answer as JSON has it; documented in docs/json.md.

    Parameters
    ----------
    value : an answer of `number_answers`, or anything in one
    """
    return plain(value, _told)


def _told(value: Any) -> Any:
    if isinstance(value, StateFigure):
        return STATE.write(value)
    if isinstance(value, WhyLine) and not value.known:
        return replace(value, **dict.fromkeys(_MASSES))  # type: ignore[arg-type]
    return value
