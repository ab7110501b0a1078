"""Answers about the numbers as JSON: stable field names, masses in kilograms, unknown as null."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from fractions import Fraction
from typing import Any

from handling_db.evidence.answer import WhyLine
from handling_db.lookup.as_json import state_json
from handling_db.weights.answer import StateFigure

_MASSES = ("best", "low", "high")


def number_json(value: Any) -> Any:
    """An answer as JSON has it; documented in docs/json.md.

    Parameters
    ----------
    value : an answer of `number_answers`, or anything in one
    """
    if isinstance(value, StateFigure):
        return state_json(value)
    if isinstance(value, WhyLine) and not value.known:
        return {**_fields(value), **dict.fromkeys(_MASSES)}
    if is_dataclass(value) and not isinstance(value, type):
        return _fields(value)
    if isinstance(value, Mapping):
        return {str(key): number_json(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [number_json(item) for item in value]
    return float(value) if isinstance(value, Fraction) else value


def _fields(value: Any) -> dict[str, Any]:
    return {field.name: number_json(getattr(value, field.name)) for field in fields(value)}
