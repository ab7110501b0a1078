"""The step that digits suggest, as floats for whole columns and exactly for single figures."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.quantities.quantity import parse_mass
from handling_db.tables.numbers import NumberFault, Numbers, assumed_step, half_steps


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("840.0", Fraction(1, 10)),
        ("415", 5),
        ("450", 50),
        ("830", 10),
        ("47", 1),
        ("1.50e3", 10),
        ("15e3", 5000),
        ("1e-05", Fraction(1, 100_000)),
        ("-2.5", Fraction(1, 10)),
        ("0.00", Fraction(1, 100)),
    ],
)
def test_assumed_step(text, step):
    """Digits after the point count, an exponent moves them; common practice, no source."""
    assert step == assumed_step(text)
    assert [pytest.approx(float(step) / 2, rel=1e-15)] == half_steps([text])


@given(st.one_of(st.integers(1, 999_999_999).map(str), st.decimals("0.001", "9e8", places=3).map(str)))
def test_steps_agree_with_those_of_hand_written_masses(text):
    """One rule for both ways in."""
    assert parse_mass(f"{text} kg").step == assumed_step(text)
    assert half_steps([text]) == [pytest.approx(float(assumed_step(text)) / 2, rel=1e-15)]


@given(
    st.lists(st.text(st.sampled_from("0123456789.,+-eE _n"), max_size=8), min_size=1),
    st.sampled_from([(",", "point"), (";", "point"), (";", "comma")]),
    st.booleans(),
)
def test_whole_columns_are_read_like_single_cells(texts, way, signed):
    """What is taken in one go is exactly what each cell gives by itself."""
    numbers = Numbers(*way)
    plain = numbers.plain(texts, signed=signed)
    if plain is None:
        return
    singles = [numbers.one(text) for text in texts]
    assert ([value for value, _, _ in singles], [text for _, text, _ in singles]) == (
        plain[0],
        list(plain[1]),
    )
    assert all(not remark for *_, remark in singles)


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_what_a_machine_writes_is_read(value):
    """The text of any float of a size that exists, to the last bit."""
    text = repr(value)
    if "e-" in text and int(text.partition("e")[2]) < -99:
        with pytest.raises(NumberFault, match="has an exponent beyond 99"):
            Numbers(",", "point").one(text)
        return
    assert (value, text) == (Numbers(",", "point").one(text)[:2])
