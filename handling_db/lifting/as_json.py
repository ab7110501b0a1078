"""Answers about lifts as JSON values: the fields of the answer, with the units of its figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

UNITS = {
    "mass": "kg",
    "length": "m",
    "angle": "deg",
    "force": "N",
    "moment": "N m",
    "share": "part of the load",
}


def lift_json(answer: Any) -> dict[str, Any]:
    """The fields of an answer about a lift, turn, reading or joint; null means not known, never nothing.

    Parameters
    ----------
    answer : frozen dataclass
        Such as LiftAnswer, TurnAnswer, ReadingAnswer or JointFigure.
    """
    return {"units": UNITS, **_rounded(answer)}


def _rounded(value: Any) -> Any:
    if is_dataclass(value):
        return {field.name: _rounded(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {key: _rounded(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(item) for item in value]
    # + 0.0 takes the sign off a zero.
    return float(f"{value:.12g}") + 0.0 if isinstance(value, float) else value
