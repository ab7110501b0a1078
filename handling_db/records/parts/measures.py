"""Field types of figures: texts with units, shares, counts and formulas."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import PlainSerializer, PlainValidator, WithJsonSchema

from handling_db.errors import UnitError
from handling_db.quantities.quantity import MAX_TEXT, Quantity, parse_quantity
from handling_db.records.parts.patterns import NOBODY_LOOKED, NONE, plain_text, serialise_or_none

_NUMBER_PATTERN = r"^\s*-?[0-9][0-9,.]*([eE][+-]?[0-9]{1,2})?( [0-9]{1,2}/[0-9]{1,2})?\s*[^\s0-9.,].*$"


def _quantity_type(dimension: str, example: str, *, negative: bool = False) -> tuple[Any, ...]:
    def read(value: Any) -> Quantity:
        if isinstance(value, Quantity):
            return value
        return parse_quantity(plain_text(value), dimension, negative=negative)

    return (PlainValidator(read), PlainSerializer(str, return_type=str), WithJsonSchema(_schema(example)))


def _schema(example: str) -> dict[str, Any]:
    return {"type": "string", "pattern": _NUMBER_PATTERN, "maxLength": MAX_TEXT, "examples": [example]}


def _quantity_or_none(dimension: str, example: str) -> tuple[Any, ...]:
    """A figure, the word "none", or the words "nobody looked" for a field that is not known."""

    def read(value: Any) -> Any:
        if value is None or value in (NONE, NOBODY_LOOKED):
            return NONE if value == NONE else None
        return value if isinstance(value, Quantity) else parse_quantity(plain_text(value), dimension)

    choices = {"anyOf": [_schema(example), {"enum": [NONE, NOBODY_LOOKED]}]}
    return (PlainValidator(read), PlainSerializer(serialise_or_none), WithJsonSchema(choices))


MassText = Annotated[Quantity, *_quantity_type("mass", "840.0 lb")]
LengthText = Annotated[Quantity, *_quantity_type("length", "320 mm", negative=True)]
VolumeText = Annotated[Quantity, *_quantity_type("volume", "24 L")]
AngleText = Annotated[Quantity, *_quantity_type("angle", "90 deg", negative=True)]
MassOrNone = Annotated[Quantity | Literal["none"] | None, *_quantity_or_none("mass", "12.5 kg")]
VolumeOrNone = Annotated[Quantity | Literal["none"] | None, *_quantity_or_none("volume", "2.5 L")]
DensityText = Annotated[Quantity, *_quantity_type("density", "0.87 kg/L")]


@dataclass(frozen=True, slots=True)
class Percent:
    """A doubt as a share of the figure it stands beside: ``2 %``.

    Parameters
    ----------
    text : str
        As written.
    share : Fraction
        0.02 for 2 %.
    """

    text: str
    share: Fraction

    def of(self, figure: Fraction) -> Fraction:
        """The share of a figure, in the figure's unit."""
        return figure * self.share

    def __str__(self) -> str:
        return self.text


_PERCENT = re.compile(r"(\d{1,3}(?:\.\d{1,6})?)\s*%", re.ASCII)


def _mass_or_percent(value: Any) -> Quantity | Percent:
    if isinstance(value, Quantity | Percent):
        return value
    text = plain_text(value).strip()
    if "%" not in text:
        return parse_quantity(text, "mass")
    match = _PERCENT.fullmatch(text)
    if match is None or not 0 < Fraction(match[1]) < 100:
        raise ValueError(f"{text!r} is not a share; write a percentage above 0 and below 100, such as 2 %")
    return Percent(text, Fraction(match[1]) / 100)


MassOrPercent = Annotated[
    Quantity | Percent,
    PlainValidator(_mass_or_percent),
    PlainSerializer(str, return_type=str),
    WithJsonSchema(_schema("0.5 kg")),
]


@dataclass(frozen=True, slots=True)
class Measure:
    """A figure with a unit, or a formula over parameters where no figure stands.

    Parameters
    ----------
    text : str
        As written.
    dimension : str
        What it measures: ``length``, ``mass``, ``volume``, ``angle`` or ``count``.
    quantity : Quantity, optional
        The figure, when the text is one; None for a formula.
    number : Fraction, optional
        The number, for a plain count.
    """

    text: str
    dimension: str
    quantity: Quantity | None = None
    number: Fraction | None = None

    @property
    def is_formula(self) -> bool:
        """Whether the text has to be worked out from parameters."""
        return self.quantity is None and self.number is None

    @property
    def base(self) -> Fraction | None:
        """The literal's value in base units (kg, m, L, deg, or the count), None for a formula."""
        return self.number if self.quantity is None else self.quantity.base

    def __str__(self) -> str:
        return self.text


_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_COUNT = re.compile(r"\d{1,9}(\.\d{1,30})?", re.ASCII)


def looks_like_formula(text: str) -> bool:
    """Whether a text is meant as a formula: it starts with a name, or has an operator or a bracket."""
    start = text.lstrip("- ")
    return bool(_NAME.match(start)) or any(sign in text for sign in ("*", "(", ")", "+", " - "))


def _measure(dimension: str) -> Callable[[Any], Measure]:
    def read(value: Any) -> Measure:
        if isinstance(value, Measure):
            return value
        text = plain_text(value).strip()
        try:
            signed = dimension in {"length", "angle"}
            return Measure(text, dimension, parse_quantity(text, dimension, negative=signed))
        except UnitError:
            if looks_like_formula(text) and len(text) <= 200:
                return Measure(text, dimension)
            raise

    return read


def _count(value: Any) -> Measure:
    if isinstance(value, Measure):
        return value
    text = plain_text(value).strip()
    if _COUNT.fullmatch(text):
        number = Fraction(text)
        if number == 0:
            raise ValueError(
                "a quantity of 0 lists nothing; leave the line out, or write the number there are"
            )
        return Measure(text, "count", number=number)
    if looks_like_formula(text) and len(text) <= 200:
        return Measure(text, "count")
    raise ValueError(f"{text!r} is not a count; write a number above 0, such as 14, or a parameter's name")


def _measure_type(read: Callable[[Any], Measure], example: str) -> tuple[Any, ...]:
    return (
        PlainValidator(read),
        PlainSerializer(str, return_type=str),
        WithJsonSchema({"type": "string", "maxLength": 200, "examples": [example]}),
    )


LengthMeasure = Annotated[Measure, *_measure_type(_measure("length"), "320 mm")]
VolumeMeasure = Annotated[Measure, *_measure_type(_measure("volume"), "24 L")]
AngleMeasure = Annotated[Measure, *_measure_type(_measure("angle"), "90 deg")]
Count = Annotated[Measure, *_measure_type(_count, "14")]

Point = tuple[LengthMeasure, LengthMeasure, LengthMeasure]
