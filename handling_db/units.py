"""Text to exact quantity, by an anchored grammar and a closed table of units.

Nothing here guesses. A text that could mean two things is refused with advice on what to write. The
table of exact factors is the truth; Pint's registry is generated from it and never sees a user's text.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

from handling_db.errors import UnitError

MAX_TEXT = 40


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of the closed table.

    Parameters
    ----------
    name : str
        What is printed beside a figure.
    dimension : str
        ``mass``, ``length``, ``volume``, ``angle`` or ``density``.
    factor : Fraction
        How many base units one of these is. Base units: kg, m, L, deg, kg/L.
    exact : bool
        The factor is exact by definition (false for the radian alone).
    """

    name: str
    dimension: str
    factor: Fraction
    exact: bool = True


_LB = Fraction(45359237, 100_000_000)  # kg, exact since 1959 (NIST SP 811, appendix B.8)
_IN = Fraction(254, 10_000)  # m, exact
_US_GALLON = Fraction(3_785_411_784, 1_000_000_000)  # L: 231 cubic inches, exact
_IMP_GALLON = Fraction(454_609, 100_000)  # L, exact
_RAD = Fraction("57.29577951308232087679815")  # deg; the only factor here that is not exact

UNITS: dict[str, Unit] = {
    unit.name: unit
    for unit in (
        Unit("kg", "mass", Fraction(1)),
        Unit("g", "mass", Fraction(1, 1000)),
        Unit("mg", "mass", Fraction(1, 1_000_000)),
        Unit("t", "mass", Fraction(1000)),
        Unit("lb", "mass", _LB),
        Unit("oz", "mass", _LB / 16),
        Unit("short ton", "mass", _LB * 2000),
        Unit("long ton", "mass", _LB * 2240),
        Unit("mm", "length", Fraction(1, 1000)),
        Unit("cm", "length", Fraction(1, 100)),
        Unit("m", "length", Fraction(1)),
        Unit("in", "length", _IN),
        Unit("ft", "length", _IN * 12),
        Unit("L", "volume", Fraction(1)),
        Unit("mL", "volume", Fraction(1, 1000)),
        Unit("m³", "volume", Fraction(1000)),
        Unit("US gal", "volume", _US_GALLON),
        Unit("imp gal", "volume", _IMP_GALLON),
        Unit("deg", "angle", Fraction(1)),
        Unit("rad", "angle", _RAD, exact=False),
        Unit("kg/L", "density", Fraction(1)),
        Unit("kg/m³", "density", Fraction(1, 1000)),
        Unit("g/cm³", "density", Fraction(1)),
        Unit("lb/ft³", "density", _LB / (_IN * 12 * 10) ** 3),
        Unit("lb/US gal", "density", _LB / _US_GALLON),
    )
}

KG, LB, M, MM, L, DEG = (UNITS[n] for n in ("kg", "lb", "m", "mm", "L", "deg"))

# Other spellings that can only mean one thing, and the codes of UN/CEFACT Recommendation 20.
_SPELLINGS: dict[str, str] = {
    **{name: name for name in UNITS},
    **dict.fromkeys(("kgs", "Kg", "KG", "KGS", "Kgs", "kilogram", "kilograms", "KGM"), "kg"),
    **dict.fromkeys(("gram", "grams", "GRM"), "g"),
    **dict.fromkeys(("milligram", "milligrams", "MGM"), "mg"),
    **dict.fromkeys(("tonne", "tonnes", "metric ton", "metric tons", "metric tonne", "TNE"), "t"),
    **dict.fromkeys(("lbs", "Lb", "LB", "LBS", "Lbs", "pound", "pounds", "LBR"), "lb"),
    **dict.fromkeys(("ounce", "ounces", "OZ", "ONZ"), "oz"),
    **dict.fromkeys(("short tons", "US ton", "STN"), "short ton"),
    **dict.fromkeys(("long tons", "UK ton", "LTN"), "long ton"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters", "MM", "MMT"), "mm"),
    **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters", "CMT"), "cm"),
    **dict.fromkeys(("metre", "metres", "meter", "meters", "MTR"), "m"),
    **dict.fromkeys(("inch", "inches", "IN", "INH"), "in"),
    **dict.fromkeys(("foot", "feet", "FT", "FOT"), "ft"),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters", "LTR"), "L"),
    **dict.fromkeys(("ml", "millilitre", "millilitres", "milliliter", "milliliters"), "mL"),
    **dict.fromkeys(("m3", "m^3", "cubic metre", "cubic metres", "cubic meter", "cubic meters"), "m³"),
    **dict.fromkeys(("US gallon", "US gallons", "GLL"), "US gal"),
    **dict.fromkeys(("imp gallon", "imp gallons", "imperial gallon", "imperial gallons", "GLI"), "imp gal"),
    **dict.fromkeys(("degree", "degrees", "°"), "deg"),
    **dict.fromkeys(("radian", "radians"), "rad"),
    **dict.fromkeys(("kg/l", "kg/litre", "kg/liter"), "kg/L"),
    **dict.fromkeys(("kg/m3", "kg/m^3"), "kg/m³"),
    **dict.fromkeys(("g/cm3", "g/cm^3", "g/mL", "g/ml"), "g/cm³"),
    **dict.fromkeys(("lb/ft3", "lb/ft^3"), "lb/ft³"),
}

_FORCE = "that is a force, not a mass; write the mass in kg or lb"
_ADVICE: dict[str, str] = {
    **dict.fromkeys(
        ("ton", "tons", "Ton", "Tons", "TON", "TONS"),
        "which ton? Write 't' (1000 kg), 'short ton' (2000 lb) or 'long ton' (2240 lb)",
    ),
    **dict.fromkeys(
        ("cwt", "CWT", "hundredweight"),
        "a hundredweight is 100 lb in one country and 112 lb in another; write the figure in lb or kg",
    ),
    **dict.fromkeys(("#",), "write 'lb' in place of '#'"),
    **dict.fromkeys(("T",), "is it 't' (1000 kg), 'short ton' or 'long ton'?"),
    **dict.fromkeys(
        ("Mg", "MG", "MT", "mt", "Mt"), "is it 't' (1000 kg) or 'mg' (a thousandth of a gram)? Write that"
    ),
    **dict.fromkeys(("lbf", "kgf", "N", "kN", "kip", "kips", "daN", "lbsf"), _FORCE),
    **dict.fromkeys(
        ("gal", "gallon", "gallons", "Gal"), "which gallon? Write 'US gal' (3.785 L) or 'imp gal' (4.546 L)"
    ),
    **dict.fromkeys(("'", "′"), "write 'ft' for feet"),
    **dict.fromkeys(('"', "″"), "write 'in' for inches"),
}

_EXAMPLES = {
    "mass": "'840.0 lb' or '381 kg'",
    "length": "'320 mm' or '12 1/2 in'",
    "volume": "'24 L' or '6 US gal'",
    "angle": "'90 deg'",
    "density": "'0.87 kg/L' or '7850 kg/m³'",
}

_NUMBER = re.compile(
    r"(?P<sign>-?)"
    r"(?P<whole>\d{1,3}(?:,\d{3})+|\d{1,9})(?:\.(?P<places>\d{1,9}))?"
    r"(?:\s+(?P<over>\d{1,2})/(?P<under>\d{1,2}))?",
    re.ASCII,
)
_FRACTION = re.compile(r"(?P<sign>-?)(?P<over>\d{1,2})/(?P<under>\d{1,2})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A figure as it was written, and what it is exactly.

    Parameters
    ----------
    text : str
        As written, trimmed: ``"1,830 lb"``.
    number : Fraction
        The figure in `unit`.
    unit : Unit
        From the closed table.
    step : Fraction
        The step of rounding that the digits suggest, in `unit`; an assumption, not a statement.
    """

    text: str
    number: Fraction
    unit: Unit
    step: Fraction

    @property
    def base(self) -> Fraction:
        """The value in base units: kg, m, L, deg or kg/L."""
        return self.number * self.unit.factor

    @property
    def step_base(self) -> Fraction:
        """The assumed step of rounding in base units."""
        return self.step * self.unit.factor

    def to(self, unit: Unit) -> Fraction:
        """The exact value in another unit of the same dimension.

        Raises
        ------
        UnitError
            The units measure different things.
        """
        return convert(self.number, self.unit, unit)

    def __str__(self) -> str:
        return self.text


def convert(number: Fraction, unit: Unit, into: Unit) -> Fraction:
    """Convert exactly between two units of one dimension.

    Raises
    ------
    UnitError
        The units measure different things.

    Examples
    --------
    >>> convert(Fraction(1), UNITS["short ton"], LB)
    Fraction(2000, 1)
    """
    if unit.dimension != into.dimension:
        raise UnitError(f"{unit.name} is a {unit.dimension}, {into.name} a {into.dimension}")
    return number * unit.factor / into.factor


def find_unit(text: str, dimension: str | None = None) -> Unit:
    """Look a unit up by a spelling that can only mean one thing.

    Raises
    ------
    UnitError
        Unknown, ambiguous, or of another dimension; the message says what to write.
    """
    name = " ".join(text.split())
    if name in _ADVICE:
        raise UnitError(_ADVICE[name])
    spelled = _SPELLINGS.get(name) or _SPELLINGS.get(name.lower() if len(name) > 3 else name)
    if spelled is None:
        raise UnitError(f"the unit {name!r} is not known here{_known(dimension)}")
    unit = UNITS[spelled]
    if dimension is not None and unit.dimension != dimension:
        raise UnitError(f"{name} is a {unit.dimension}, not a {dimension}{_known(dimension)}")
    return unit


def _known(dimension: str | None) -> str:
    if dimension is None:
        return ""
    names = ", ".join(unit.name for unit in UNITS.values() if unit.dimension == dimension)
    return f"; write one of: {names}"


def parse_quantity(text: str, dimension: str, *, negative: bool = False) -> Quantity:
    """Read a number and a unit, exactly.

    Parameters
    ----------
    text : str
        Such as ``1,830 lb``, ``12 1/2 in`` or ``840.0 lb``; at most 40 characters.
    dimension : str
        ``mass``, ``length``, ``volume``, ``angle`` or ``density``.
    negative : bool
        Whether a minus sign may stand in front (places and angles).

    Returns
    -------
    Quantity
        Text, exact number, unit and the step of rounding its digits suggest.

    Raises
    ------
    UnitError
        With what is wrong and what to write.
    """
    shown = text.strip()
    example = f"write a number and a unit, such as {_EXAMPLES[dimension]}"
    if len(text) > MAX_TEXT:
        raise UnitError(f"this is longer than {MAX_TEXT} characters; {example}")
    match = _NUMBER.match(shown) if not _FRACTION.match(shown) else _FRACTION.match(shown)
    if match is None:
        raise UnitError(f"{shown!r} does not start with a plain number; {example}")
    unit_text = shown[match.end() :].strip()
    _refuse_odd_tail(shown, unit_text, example)
    if not unit_text:
        raise UnitError(f"{shown!r} has no unit; {example}")
    try:
        unit = find_unit(unit_text, dimension)
    except UnitError as error:
        raise UnitError(f"{shown!r}: {error}") from None
    number, step = _number(match.groupdict(), shown)
    if match["sign"]:
        if not negative:
            raise UnitError(f"{shown!r}: a {dimension} cannot be negative; write it without the sign")
        number = -number
    return Quantity(shown, number, unit, step)


def _refuse_odd_tail(shown: str, tail: str, example: str) -> None:
    """Refuse what number grammars disagree about, with the reason."""
    if re.match(r",\d", tail):
        raise UnitError(
            f"{shown!r}: a comma separates thousands here (1,830 lb); for decimals write a point, as in 1.5 kg"
        )
    if re.match(r"[eE][+-]?\d", tail):
        raise UnitError(f"{shown!r}: write the figure out, without an exponent")
    if re.match(r"\d", tail):
        raise UnitError(f"{shown!r}: no spaces inside a number; write 1,000 or 1000 with its unit")
    if tail[:1] in {".", "/", "*", "+", "-", "½", "¼", "¾"}:
        raise UnitError(f"{shown!r} is not one plain number; {example}")


def _number(found: dict[str, str | None], shown: str) -> tuple[Fraction, Fraction]:
    """Exact number and suggested step from the parts of a match, both positive."""
    whole = (found.get("whole") or "0").replace(",", "")
    places = found.get("places")
    over, under = found.get("over"), found.get("under")
    value = Fraction(f"{whole}.{places}" if places else whole)
    if over is None or under is None:
        return value, digit_step(whole, places)
    if places:
        raise UnitError(f"{shown!r}: write either decimals or a fraction, not both")
    denominator = int(under)
    if denominator not in {2, 4, 8, 16, 32, 64}:
        raise UnitError(f"{shown!r}: a fraction has 2, 4, 8, 16, 32 or 64 below the line")
    if int(over) >= denominator:
        raise UnitError(f"{shown!r}: the fraction must be less than one")
    return value + Fraction(int(over), denominator), Fraction(1, denominator)


def digit_step(whole: str, places: str | None) -> Fraction:
    """The step of rounding that the digits of a figure suggest.

    Digits after the point count (840.0 gives 0.1). Without a point it is the place of the last digit
    that is not zero, five of it if that digit is 5: 415 gives 5, 450 gives 50, 830 gives 10, 47 gives 1.
    Common practice, no source; always shown as assumed.
    """
    if places:
        return Fraction(1, 10 ** len(places))
    digits = whole.lstrip("0")
    kept = digits.rstrip("0")
    if not kept:
        return Fraction(1)
    place = Fraction(10 ** (len(digits) - len(kept)))
    return 5 * place if kept[-1] == "5" else place


def parse_mass(text: str) -> Quantity:
    """Read a mass; see `parse_quantity`."""
    return parse_quantity(text, "mass")


def parse_length(text: str, *, negative: bool = False) -> Quantity:
    """Read a length; see `parse_quantity`."""
    return parse_quantity(text, "length", negative=negative)


def parse_volume(text: str) -> Quantity:
    """Read a volume; see `parse_quantity`."""
    return parse_quantity(text, "volume")


def parse_angle(text: str) -> Quantity:
    """Read an angle, which may be negative; see `parse_quantity`."""
    return parse_quantity(text, "angle", negative=True)


def round_to(value: Fraction, step: Fraction) -> Fraction:
    """Round to the nearest whole number of steps, halves up."""
    steps = Decimal((value / step).numerator) / Decimal((value / step).denominator)
    return int(steps.to_integral_value(ROUND_HALF_UP)) * step


_PINT_NAMES = {
    "short ton": "short_ton",
    "long ton": "long_ton",
    "m³": "cubic_metre",
    "US gal": "US_gallon",
    "imp gal": "imp_gallon",
}


@functools.cache
def pint_registry() -> Any:
    """Pint's registry of the same units, generated from the table above and exact.

    Returns
    -------
    pint.UnitRegistry
        With `Fraction` magnitudes and no unit that is not in the table. Build it before threads start.
    """
    import pint

    bases = {"mass": "kg", "length": "m", "angle": "deg"}
    lines = [f"{name} = [{dimension}]" for dimension, name in bases.items()]
    lines.append("L = m ** 3 / 1000")
    bases["volume"] = "L"
    for unit in UNITS.values():
        if unit.dimension in bases and unit.name != bases[unit.dimension]:
            name = _PINT_NAMES.get(unit.name, unit.name)
            factor = f"{unit.factor.numerator} / {unit.factor.denominator}"
            lines.append(f"{name} = {factor} * {bases[unit.dimension]}")
    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions(lines)
    return registry


def to_pint(quantity: Quantity) -> Any:
    """The same quantity as a Pint quantity in `pint_registry`, for arithmetic with units."""
    registry = pint_registry()
    return registry.Quantity(quantity.number, _PINT_NAMES.get(quantity.unit.name, quantity.unit.name))
