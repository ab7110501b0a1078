"""Temperatures as records write them: ``250 degC``, ``480 °F``. A bare number is refused."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any

from pydantic import PlainSerializer, PlainValidator, WithJsonSchema

from handling_db.errors import UnitError
from handling_db.records.parts.patterns import plain_text

_PRINTED = re.compile(r"(-?\d{1,5}(?:\.\d{1,6})?)\s*(?:°|deg)\s?([CF])")
_COLDEST = Fraction(-27315, 100)


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature: as written, and in degrees Celsius."""

    text: str
    celsius: Fraction

    @property
    def fahrenheit(self) -> Fraction:
        """The same in degrees Fahrenheit."""
        return self.celsius * 9 / 5 + 32

    def __str__(self) -> str:
        return self.text


def parse_temperature(text: str) -> Temperature:
    """Read a temperature.

    Raises
    ------
    UnitError
        No number with °C, degC, °F or degF, or colder than anything can be.
    """
    printed = text.strip()
    match = _PRINTED.fullmatch(printed)
    if match is None:
        raise UnitError(
            f"{text!r} is no temperature; write degrees with their scale, such as 250 degC or 480 degF"
        )
    degrees = Fraction(match[1])
    celsius = degrees if match[2] == "C" else (degrees - 32) * 5 / 9
    if celsius < _COLDEST:
        raise UnitError(f"{text!r} is colder than anything can be")
    return Temperature(printed, celsius)


def _read(value: Any) -> Temperature:
    return value if isinstance(value, Temperature) else parse_temperature(plain_text(value))


TemperatureText = Annotated[
    Temperature,
    PlainValidator(_read),
    PlainSerializer(str, return_type=str),
    WithJsonSchema(
        {"type": "string", "pattern": r"^\s*-?[0-9.]+\s*(°|deg)\s?[CF]\s*$", "examples": ["250 degC"]}
    ),
]
