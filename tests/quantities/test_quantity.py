"""Text to exact quantity: every spelling that is read, every text that is refused and what is said then."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.errors import HandlingError, UnitError
from handling_db.quantities.number_text import digit_step
from handling_db.quantities.pint_units import pint_registry, to_pint
from handling_db.quantities.quantity import (
    MAX_TEXT,
    convert,
    find_unit,
    parse_angle,
    parse_length,
    parse_mass,
    parse_quantity,
)
from handling_db.quantities.table import ADVICE, KG, LB, SPELLINGS, UNITS

POUND = Fraction("0.45359237")

READ = [  # text, dimension, base units (kg, m, L, deg, kg/L), step in the unit as written
    ("840.0 lb", "mass", 840 * POUND, "0.1"),
    ("1,830 lb", "mass", 1830 * POUND, "10"),
    ("1830 lb", "mass", 1830 * POUND, "10"),
    ("12 1/2 lb", "mass", Fraction(25, 2) * POUND, "1/2"),
    ("12 63/64 lb", "mass", (12 + Fraction(63, 64)) * POUND, "1/64"),
    ("3/4 oz", "mass", Fraction(3, 4) * POUND / 16, "1/4"),
    ("415 kg", "mass", Fraction(415), "5"),
    ("450 kg", "mass", Fraction(450), "50"),
    ("830 kg", "mass", Fraction(830), "10"),
    ("47kg", "mass", Fraction(47), "1"),
    ("  0.002 kg ", "mass", Fraction("0.002"), "0.001"),
    ("1.25 t", "mass", Fraction(1250), "0.01"),
    ("2 tonnes", "mass", Fraction(2000), "1"),
    ("2 metric tons", "mass", Fraction(2000), "1"),
    ("2 short ton", "mass", 4000 * POUND, "1"),
    ("2 long tons", "mass", 4480 * POUND, "1"),
    ("8 oz", "mass", POUND / 2, "1"),
    ("500 g", "mass", Fraction(1, 2), "500"),
    ("500 mg", "mass", Fraction(1, 2000), "500"),
    ("990 lbs", "mass", 990 * POUND, "10"),
    ("380 kgs", "mass", Fraction(380), "10"),
    ("380 KG", "mass", Fraction(380), "10"),
    ("1,234,567.5 g", "mass", Fraction("1234.5675"), "0.1"),
    ("840\N{NO-BREAK SPACE}lb", "mass", 840 * POUND, "10"),
    ("320 mm", "length", Fraction(320, 1000), "10"),
    ("-17 mm", "length", Fraction(-17, 1000), "1"),
    ("12 1/2 inch", "length", Fraction("0.3175"), "1/2"),
    ("6 feet", "length", Fraction("1.8288"), "1"),
    ("24 L", "volume", Fraction(24), "1"),
    ("250 ml", "volume", Fraction(1, 4), "50"),
    ("2 m3", "volume", Fraction(2000), "1"),
    ("6 US gal", "volume", Fraction("22.712470704"), "1"),
    ("6 US GAL", "volume", Fraction("22.712470704"), "1"),
    ("6 imp gal", "volume", Fraction("27.27654"), "1"),
    ("-90 deg", "angle", Fraction(-90), "10"),
    ("90°", "angle", Fraction(90), "10"),
    ("0.87 kg/L", "density", Fraction("0.87"), "0.01"),
    ("7850 kg/m3", "density", Fraction("7.85"), "50"),
]


@pytest.mark.parametrize(("text", "dimension", "base", "step"), READ)
def test_what_is_read_keeps_its_text_and_is_exact(text, dimension, base, step):
    quantity = parse_quantity(text, dimension, negative=dimension in {"length", "angle"})

    assert quantity.base == base
    assert quantity.step == Fraction(step)
    assert quantity.step_base == Fraction(step) * quantity.unit.factor
    assert str(quantity) == quantity.text == text.strip()


@pytest.mark.parametrize(("spelling", "name"), SPELLINGS.items())
def test_every_spelling_reads_as_its_unit(spelling, name):
    unit = UNITS[name]

    assert find_unit(spelling) is unit
    assert parse_quantity(f"2 {spelling}", unit.dimension).base == 2 * unit.factor


@pytest.mark.parametrize("spelling", [s for s in SPELLINGS if len(s) > 3])
def test_letter_case_says_nothing_in_a_word(spelling):
    assert find_unit(spelling.upper()) is find_unit(spelling.title()) is find_unit(spelling)


def test_each_parser_takes_its_own_dimension():
    assert parse_mass("1 lb").base == POUND
    assert parse_length("-1 in", negative=True).base == Fraction("-0.0254")
    assert parse_quantity("1 L", "volume").base == 1
    assert parse_angle("-1 deg").base == -1


EXAMPLE = "write a number and a unit, such as '840.0 lb' or '381 kg'"
WHICH_TON = "which ton? Write 't' (1000 kg), 'short ton' (2000 lb) or 'long ton' (2240 lb)"
HUNDREDWEIGHT = "a hundredweight is 100 lb in one country and 112 lb in another; write the figure in lb or kg"
MEGA = "is it 't' (1000 kg) or 'mg' (a thousandth of a gram)? Write that"
FORCE = "that is a force, not a mass; write the mass in kg or lb"
COMMA = "a comma separates thousands here (1,830 lb); for decimals write a point, as in 1.5 kg"
SPACES = "no spaces inside a number; write 1,000 or 1000 with its unit"
EXPONENT = "write the figure out; an exponent has two figures and no space before it"
LARGE = "beyond 1,000,000,000,000; write a figure of a size that exists"
DIGITS = "has too many digits; write at most 13 before and 30 after the point"
BELOW_THE_LINE = "a fraction has 2, 4, 8, 16, 32 or 64 below the line"
MASSES = "write one of: kg, g, mg, t, lb, oz, short ton, long ton"

REFUSED = [  # text, the whole message
    *((f"2 {ton}", f"'2 {ton}': {WHICH_TON}") for ton in ("ton", "tons", "TON", "Tons", "tOnS")),
    ("12 1/2 ton", f"'12 1/2 ton': {WHICH_TON}"),
    *(
        (f"2 {name}", f"'2 {name}': {HUNDREDWEIGHT}")
        for name in ("cwt", "CWT", "hundredweight", "CWA", "CWI")
    ),
    *((f"2 {name}", f"'2 {name}': {MEGA}") for name in ("Mg", "MG", "MT", "mt")),
    *((f"2 {name}", f"'2 {name}': {FORCE}") for name in ("lbf", "kgf", "N", "kN", "daN", "kip", "newtons")),
    *((f"2 {name}", f"'2 {name}': {FORCE}") for name in ("NEW", "B47", "C78", "B37")),
    ("2 stone", "'2 stone': a stone is 14 lb; write the figure in lb or kg"),
    ("2 T", "'2 T': is it 't' (1000 kg), 'short ton' or 'long ton'?"),
    ("840#", "'840#': write 'lb' in place of '#'"),
    ("840 #", "'840 #': write 'lb' in place of '#'"),
    ("840", f"'840' has no unit; {EXAMPLE}"),
    ("840.0", f"'840.0' has no unit; {EXAMPLE}"),
    ("", f"'' does not start with a plain number; {EXAMPLE}"),
    ("kg", f"'kg' does not start with a plain number; {EXAMPLE}"),
    ("about 840 lb", f"'about 840 lb' does not start with a plain number; {EXAMPLE}"),
    (".5 kg", f"'.5 kg' does not start with a plain number; {EXAMPLE}"),
    ("+5 kg", f"'+5 kg' does not start with a plain number; {EXAMPLE}"),
    ("nan kg", f"'nan kg' does not start with a plain number; {EXAMPLE}"),
    ("inf kg", f"'inf kg' does not start with a plain number; {EXAMPLE}"),
    ("(5) kg", f"'(5) kg' does not start with a plain number; {EXAMPLE}"),
    ("1,5 kg", f"'1,5 kg': {COMMA}"),
    ("1,83 kg", f"'1,83 kg': {COMMA}"),
    ("1234,567 kg", f"'1234,567 kg': {COMMA}"),
    ("1.234,5 kg", f"'1.234,5 kg': {COMMA}"),
    ("1,2345 lb", "'1,2345 lb': a comma stands before every three digits, as in 1,830 lb"),
    ("1, 830 lb", f"'1, 830 lb' is not one plain number; {EXAMPLE}"),
    ("1 000 kg", f"'1 000 kg': {SPACES}"),
    ("1\N{NO-BREAK SPACE}000 kg", f"'1\\xa0000 kg': {SPACES}"),
    ("1\N{NARROW NO-BREAK SPACE}000 kg", None),
    ("-5 kg", "'-5 kg': a mass cannot be negative; write it without the sign"),
    ("-0 kg", "'-0 kg': a mass cannot be negative; write it without the sign"),
    ("\N{MINUS SIGN}5 kg", f"'\N{MINUS SIGN}5 kg' does not start with a plain number; {EXAMPLE}"),
    ("1 e3 kg", f"'1 e3 kg': {EXPONENT}"),
    ("1E400 kg", f"'1E400 kg': {EXPONENT}"),
    ("1e13 kg", f"'1e13 kg' is {LARGE}"),
    ("1,000e3 kg", "'1,000e3 kg': write either an exponent, or commas and fractions, not both"),
    ("1e3 1/2 kg", "'1e3 1/2 kg': write either an exponent, or commas and fractions, not both"),
    ("9**9**9**9 kg", f"'9**9**9**9 kg' is not one plain number; {EXAMPLE}"),
    ("1.5.2 kg", f"'1.5.2 kg' is not one plain number; {EXAMPLE}"),
    ("5. kg", f"'5. kg' is not one plain number; {EXAMPLE}"),
    ("5-6 kg", f"'5-6 kg' is not one plain number; {EXAMPLE}"),
    ("12-1/2 lb", f"'12-1/2 lb' is not one plain number; {EXAMPLE}"),
    ("1½ lb", f"'1½ lb' is not one plain number; {EXAMPLE}"),
    ("1⅓ lb", f"'1⅓ lb' is not one plain number; {EXAMPLE}"),
    ("½ lb", f"'½ lb' does not start with a plain number; {EXAMPLE}"),
    ("８40 lb", f"'８40 lb' does not start with a plain number; {EXAMPLE}"),
    ("8４0 lb", f"'8４0 lb' is not one plain number; {EXAMPLE}"),
    ("٨٤٠ kg", f"'٨٤٠ kg' does not start with a plain number; {EXAMPLE}"),
    ("1_000 kg", f"'1_000 kg': the unit '_000 kg' is not known here; {MASSES}"),
    ("12345678901234 kg", f"'12345678901234 kg' {DIGITS}"),
    ("1." + "1" * 31 + " kg", f"'1.{'1' * 31} kg' {DIGITS}"),
    ("1234567890123 kg", f"'1234567890123 kg' is {LARGE}"),
    ("1/3 lb", f"'1/3 lb': {BELOW_THE_LINE}"),
    ("12 1/3 lb", f"'12 1/3 lb': {BELOW_THE_LINE}"),
    ("12 1/1 lb", f"'12 1/1 lb': {BELOW_THE_LINE}"),
    ("12 1/0 lb", f"'12 1/0 lb': {BELOW_THE_LINE}"),
    ("12 1/128 lb", f"'12 1/128 lb': {BELOW_THE_LINE}"),
    ("12 3/2 lb", "'12 3/2 lb': the fraction must be less than one"),
    ("4/4 lb", "'4/4 lb': the fraction must be less than one"),
    ("12.5 1/2 lb", "'12.5 1/2 lb': write either decimals or a fraction, not both"),
    ("5 mm", f"'5 mm': mm is a length, not a mass; {MASSES}"),
    ("5 L", f"'5 L': L is a volume, not a mass; {MASSES}"),
    ("5 klb", f"'5 klb': the unit 'klb' is not known here; {MASSES}"),
    ("5 lb 3 oz", f"'5 lb 3 oz': the unit 'lb 3 oz' is not known here; {MASSES}"),
    ("5 kg; drop table x", f"'5 kg; drop table x': the unit 'kg; drop table x' is not known here; {MASSES}"),
    ("5\nkg", f"'5\\nkg' has a line break or a control character in it; {EXAMPLE}"),
    ("5 kg\x00", f"'5 kg\\x00' has a line break or a control character in it; {EXAMPLE}"),
    ("5 \N{RIGHT-TO-LEFT OVERRIDE}kg", None),
    ("0" * 58 + " kg", f"this is longer than 60 characters; {EXAMPLE}"),
    ("9" * 100_000, f"this is longer than 60 characters; {EXAMPLE}"),
]


@pytest.mark.parametrize(("text", "message"), REFUSED, ids=lambda value: repr(value)[:40])
def test_what_is_refused_says_what_to_write(text, message):
    with pytest.raises(UnitError) as caught:
        parse_mass(text)
    if message is None:  # the same words, around signs that cannot be seen
        message = f"{text!r} has a line break or a control character in it; {EXAMPLE}"
    assert str(caught.value) == message


@pytest.mark.parametrize(("name", "advice"), ADVICE.items())
def test_every_ambiguous_unit_gets_its_advice(name, advice):
    with pytest.raises(UnitError) as caught:
        find_unit(name)
    assert str(caught.value) == advice
    assert name not in SPELLINGS


@pytest.mark.parametrize(
    ("text", "dimension", "message"),
    [
        ("6 gal", "volume", "'6 gal': which gallon? Write 'US gal' (3.785 L) or 'imp gal' (4.546 L)"),
        ("6 GALLONS", "volume", "'6 GALLONS': which gallon? Write 'US gal' (3.785 L) or 'imp gal' (4.546 L)"),
        ("6'", "length", "\"6'\": write 'ft' for feet"),
        ('6"', "length", "'6\"': write 'in' for inches"),
        ("6 kg", "length", "'6 kg': kg is a mass, not a length; write one of: mm, cm, m, in, ft"),
        ("-6 L", "volume", "'-6 L': a volume cannot be negative; write it without the sign"),
        ("6", "angle", "'6' has no unit; write a number and a unit, such as '90 deg'"),
        ("6", "density", "'6' has no unit; write a number and a unit, such as '0.87 kg/L' or '7850 kg/m³'"),
    ],
)
def test_the_other_dimensions_refuse_as_clearly(text, dimension, message):
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, dimension)
    assert str(caught.value) == message


def test_sixty_characters_are_read_and_sixty_one_are_not():
    fits = "1" + " " * (MAX_TEXT - 3) + "kg"

    assert len(fits) == MAX_TEXT
    assert parse_mass(fits).base == 1
    with pytest.raises(UnitError, match="longer than 60 characters"):
        parse_mass("1" + " " * (MAX_TEXT - 2) + "kg")


def test_a_unit_nobody_asked_a_dimension_of():
    with pytest.raises(UnitError) as caught:
        find_unit("furlong")
    assert str(caught.value) == "the unit 'furlong' is not known here"


def test_a_refusal_is_one_of_ours_and_a_value_error():
    assert issubclass(UnitError, HandlingError)
    assert issubclass(UnitError, ValueError)


@given(st.text(max_size=60) | st.text("0123456789,./ -ekglbton", max_size=45))
@settings(max_examples=80)
def test_no_text_does_worse_than_be_refused(text):
    try:
        quantity = parse_mass(text)
    except UnitError:
        return
    assert quantity.base >= 0
    assert quantity.step > 0
    assert parse_mass(quantity.text) == quantity


FIGURES = st.builds(
    lambda whole, places, digits: f"{whole}.{digits:0{places}d}" if places else str(whole),
    st.integers(0, 999_999_999),
    st.shared(st.integers(0, 9), key="places"),
    st.shared(st.integers(0, 9), key="places").flatmap(lambda n: st.integers(0, 10**n - 1)),
)


@given(FIGURES, st.sampled_from([u for u in UNITS.values() if u.dimension == "mass"]))
def test_a_figure_keeps_its_exact_value_text_and_decimals(figure, unit):
    quantity = parse_mass(f"{figure} {unit.name}")

    assert quantity.number == Fraction(figure)
    assert quantity.text == f"{figure} {unit.name}"
    assert parse_mass(str(quantity)) == quantity
    if "." in figure:
        assert quantity.step == Fraction(1, 10 ** len(figure.partition(".")[2]))


@given(st.integers(0, 999_999_999))
def test_commas_between_thousands_change_nothing(number):
    plain, spaced = parse_mass(f"{number} lb"), parse_mass(f"{number:,} lb")

    assert (plain.number, plain.step) == (spaced.number, spaced.step)


@pytest.mark.parametrize(
    ("whole", "places", "step"),
    [
        ("415", None, "5"),
        ("450", None, "50"),
        ("830", None, "10"),
        ("47", None, "1"),
        ("840", "0", "0.1"),
        ("840", "00", "0.01"),
        ("1000", None, "1000"),
        ("1500", None, "500"),
        ("5", None, "5"),
        ("0050", None, "50"),
        ("0", None, "1"),
        ("0", "50", "0.01"),
    ],
)
def test_the_step_that_digits_suggest(whole, places, step):
    """Common practice, no source; the first four rows are the examples the rule is told with."""
    assert digit_step(whole, places) == Fraction(step)


@given(st.integers(1, 10**9 - 1))
def test_a_whole_figure_is_a_whole_number_of_its_steps(number):
    step = digit_step(str(number), None)

    assert number % step == 0
    assert number / step % 10 != 0


DIMENSIONS = sorted({unit.dimension for unit in UNITS.values()})


@given(
    st.fractions(min_value=-10_000, max_value=10_000),
    st.sampled_from(DIMENSIONS).flatmap(
        lambda d: st.tuples(*[st.sampled_from([u for u in UNITS.values() if u.dimension == d])] * 3)
    ),
)
def test_conversion_is_exact_there_and_back_and_round_about(number, units):
    one, two, three = units

    assert convert(convert(number, one, two), two, one) == number
    assert convert(convert(number, one, two), two, three) == convert(number, one, three)
    assert convert(number, one, one) == number


def test_pounds_become_the_same_decimal_pounds_again():
    quantity = parse_mass("840.0 lb")

    assert convert(quantity.to(KG), KG, LB) == Fraction("840.0")
    assert quantity.to(KG) == Fraction("381.0175908")


def test_units_of_two_dimensions_do_not_convert():
    with pytest.raises(UnitError) as caught:
        convert(Fraction(1), UNITS["kg"], UNITS["mm"])
    assert str(caught.value) == "kg is a mass, mm a length"
    with pytest.raises(UnitError, match="kg is a mass, L a volume"):
        parse_mass("1 kg").to(UNITS["L"])


BASES = {"mass": "kg", "length": "m", "volume": "L", "angle": "deg"}


@pytest.mark.parametrize("unit", [u for u in UNITS.values() if u.dimension in BASES], ids=lambda u: u.name)
def test_pint_agrees_exactly(unit):
    quantity = parse_quantity(f"12.5 {unit.name}", unit.dimension)

    there = to_pint(quantity).to(BASES[unit.dimension]).magnitude

    assert isinstance(there, Fraction)
    assert there == quantity.base == Fraction(25, 2) * unit.factor


@pytest.mark.parametrize("name", ["ton", "T", "cwt", "lbf", "pound", "MT", "hundredweight"])
def test_pints_registry_knows_no_unit_beyond_the_table(name):
    assert name not in pint_registry()


def test_pint_multiplies_litres_by_kilograms_per_litre():
    registry = pint_registry()

    oil = to_pint(parse_quantity("24 L", "volume")) * registry.Quantity(Fraction("0.87"), "kg / L")

    assert oil.to("kg").magnitude == Fraction("20.88")


def test_the_registry_is_built_once():
    assert pint_registry() is pint_registry()


def test_only_the_radian_is_not_exact():
    assert [unit.name for unit in UNITS.values() if not unit.exact] == ["rad"]
