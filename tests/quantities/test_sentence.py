"""Sentences from facts: both units, the reader's first, each rounded by itself; other people's words kept."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.quantities.notice import Notice, once
from handling_db.quantities.sentence import both_units, said, whole


def test_each_unit_is_rounded_by_itself_to_the_side_asked_for():
    # 99.9 kg are 220.24 lb, 100.2 kg are 220.90 lb.
    facts = {"load_kg": 100.2, "limit_kg": 99.9}
    assert said("{load_kg:up} on {limit_kg:down}", facts) == "101 kg (221 lb) on 99 kg (220 lb)"
    assert said("{load_kg:up}", facts, first="lb") == "221 lb (101 kg)"


def test_other_units_lists_and_what_is_not_known():
    facts = {"off_m": 0.0425, "tilt_deg": 7.3, "pull_n": 1250.0, "names": ("a", "b"), "high_kg": None}
    assert said("{off_m:up}, {tilt_deg:up}, {pull_n}", facts) == "43 mm, 8°, 1.3 kN"
    assert said("{names:and} / {names}", facts) == "a, b / a; b"
    assert said("{high_kg}", facts) == "not known"


def test_a_mass_with_its_limits():
    facts = {"low_kg": 380.3, "best_kg": 383.9, "high_kg": 387.5}
    assert said("{best_kg:doubt}", facts) == "383.9 ± 3.6 kg (846.4 ± 7.9 lb)"
    assert said("{best_kg:doubt}", {**facts, "high_kg": None}) == "at least 383.9 kg (846.3 lb)"


def test_a_fact_that_is_not_there_is_an_error():
    with pytest.raises(KeyError):
        said("{load_kg}", {})


def test_no_minus_before_a_zero():
    assert whole(-0.2) == "0 kg (0 lb)"


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("held to 415 kg on the cell", "held to 415 kg (915 lb) on the cell"),
        ("19 to 25 kg", "19 to 25 kg (42 to 55 lb)"),
        ("10.0 ± 0.5 lb", "10.0 ± 0.5 lb (4.5 ± 0.2 kg)"),
        ("2000 kg (4409 lb) and 1.12 t", "2000 kg (4409 lb) and 1.12 t (2469 lb)"),
        ("383.9 ± 3.6 kg (846.3 ± 7.9 lb)", "383.9 ± 3.6 kg (846.3 ± 7.9 lb)"),
        ("30 kN/m2, 500 kg/m2, M16 x 70, kg", "30 kN/m2, 500 kg/m2, M16 x 70, kg"),
    ],
)
def test_the_other_unit_is_put_behind_what_somebody_wrote(written, shown):
    assert both_units(written) == shown
    assert both_units(shown) == shown  # nothing is turned twice


@given(st.integers(1, 10**6), st.sampled_from(["kg", "lb"]))
def test_the_figure_behind_is_the_nearest_whole_one(number, unit):
    text = both_units(f"about {number} {unit} of it")
    other = re.search(r"\((\d+) (kg|lb)\)", text)
    exact = Fraction(number) * (Fraction(45359237, 10**8) if unit == "lb" else 1 / Fraction(45359237, 10**8))
    assert abs(int(other[1]) - exact) <= Fraction(1, 2)


def test_the_same_thing_is_said_once():
    one, two = Notice("slack", {"legs": ("a",)}), Notice("slack", {"legs": ("b",)})
    assert once([one, two, Notice("slack", {"legs": ("a",)})]) == (one, two)
