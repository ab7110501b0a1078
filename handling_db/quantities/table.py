"""The closed table of units: exact factors, spellings, and advice where a spelling means two things."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from handling_db.classes import dataclass

if TYPE_CHECKING:
    from fractions import Fraction


@dataclass(frozen=True, slots=True)
class MeasureUnit:
    """One unit of the closed table.

    Parameters
    ----------
    name : str
        What is printed beside a figure.
    dimension : str
        ``mass``, ``length``, ``volume``, ``angle`` or ``density``.
    over, under : int
        How many base units one of these is: the one by the other. Base units: kg, m, L, deg, kg/L.
    exact : bool
        The factor is exact by definition (false for the radian alone).
    """

    name: str
    dimension: str
    over: int
    under: int = 1
    exact: bool = True

    @property
    def factor(self) -> Fraction:
        """How many base units one of these is."""
        return _factor(self.over, self.under)


@functools.cache
def _factor(over: int, under: int) -> Fraction:
    from fractions import Fraction  # a look-up starts without

    return Fraction(over, under)


_LB = 45359237, 10**8  # kg, exact since 1959 (NIST SP 811, appendix B.8)
_IN = 254, 10**4  # m, exact
_US_GALLON = 3_785_411_784, 10**9  # L: 231 cubic inches, exact
_IMP_GALLON = 454_609, 10**5  # L, exact
_RAD = 57_29577951308232087679815, 10**23  # deg; the only factor here that is not exact

UNITS: dict[str, MeasureUnit] = {
    unit.name: unit
    for unit in (
        MeasureUnit("kg", "mass", 1),
        MeasureUnit("g", "mass", 1, 1000),
        MeasureUnit("mg", "mass", 1, 10**6),
        MeasureUnit("t", "mass", 1000),
        MeasureUnit("lb", "mass", *_LB),
        MeasureUnit("oz", "mass", _LB[0], _LB[1] * 16),
        MeasureUnit("short ton", "mass", _LB[0] * 2000, _LB[1]),
        MeasureUnit("long ton", "mass", _LB[0] * 2240, _LB[1]),
        MeasureUnit("mm", "length", 1, 1000),
        MeasureUnit("cm", "length", 1, 100),
        MeasureUnit("m", "length", 1),
        MeasureUnit("in", "length", *_IN),
        MeasureUnit("ft", "length", _IN[0] * 12, _IN[1]),
        MeasureUnit("L", "volume", 1),
        MeasureUnit("mL", "volume", 1, 1000),
        MeasureUnit("m³", "volume", 1000),
        MeasureUnit("US gal", "volume", *_US_GALLON),
        MeasureUnit("imp gal", "volume", *_IMP_GALLON),
        MeasureUnit("deg", "angle", 1),
        MeasureUnit("rad", "angle", *_RAD, exact=False),
        MeasureUnit("kg/L", "density", 1),
        MeasureUnit("kg/m³", "density", 1, 1000),
        MeasureUnit("g/cm³", "density", 1),
        MeasureUnit(
            "lb/ft³", "density", _LB[0] * _IN[1] ** 3, _LB[1] * (_IN[0] * 12 * 10) ** 3
        ),  # 1 L: (m/10)³
        MeasureUnit("lb/US gal", "density", _LB[0] * _US_GALLON[1], _LB[1] * _US_GALLON[0]),
    )
}

KG, LB, M, MM, L, DEG = (UNITS[n] for n in ("kg", "lb", "m", "mm", "L", "deg"))

# Other spellings that can only mean one thing, and the codes of UN/CEFACT Recommendation 20.
SPELLINGS: dict[str, str] = {
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

# Spelled out, letter case says nothing: "US Gal", "SHORT TON". Short signs keep theirs: T is not t.
FOLDED: dict[str, str] = {spelling.lower(): name for spelling, name in SPELLINGS.items() if len(spelling) > 3}

_FORCE = "that is a force, not a mass; write the mass in kg or lb"
ADVICE: dict[str, str] = {
    **dict.fromkeys(
        ("ton", "tons", "Ton", "Tons", "TON", "TONS"),
        "which ton? Write 't' (1000 kg), 'short ton' (2000 lb) or 'long ton' (2240 lb)",
    ),
    **dict.fromkeys(
        ("cwt", "CWT", "hundredweight", "hundredweights", "CWA", "CWI"),
        "a hundredweight is 100 lb in one country and 112 lb in another; write the figure in lb or kg",
    ),
    **dict.fromkeys(("#",), "write 'lb' in place of '#'"),
    **dict.fromkeys(("T",), "is it 't' (1000 kg), 'short ton' or 'long ton'?"),
    **dict.fromkeys(
        ("Mg", "MG", "MT", "mt", "Mt"), "is it 't' (1000 kg) or 'mg' (a thousandth of a gram)? Write that"
    ),
    **dict.fromkeys(("st", "stone", "stones", "STI"), "a stone is 14 lb; write the figure in lb or kg"),
    **dict.fromkeys(("lbf", "kgf", "kp", "N", "kN", "daN", "kip", "kips", "lbsf"), _FORCE),
    **dict.fromkeys(("newton", "newtons", "NEW", "B47", "C78", "B37"), _FORCE),
    **dict.fromkeys(
        ("gal", "gallon", "gallons", "Gal"), "which gallon? Write 'US gal' (3.785 L) or 'imp gal' (4.546 L)"
    ),
    **dict.fromkeys(("'", "′"), "write 'ft' for feet"),
    **dict.fromkeys(('"', "″"), "write 'in' for inches"),
}

FOLDED_ADVICE: dict[str, str] = {name.lower(): advice for name, advice in ADVICE.items() if len(name) > 3}
