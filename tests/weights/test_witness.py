"""From what a source prints to a mass with doubt."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.weights.doubt import usual_doubt
from handling_db.weights.witness import Witness, witnesses
from tests.from_text import REFERENCE, SCALE, collection


def read(masses: str, extra: str = "") -> tuple[Witness, ...]:
    text = f"{SCALE}\n- component: case\n  name: case\n  kind: part\n  masses:\n    - {masses}\n{extra}"
    found = collection(text)
    return witnesses(found, found.components["case"])


def only(masses: str) -> Witness:
    (one,) = read(masses)
    return one


def test_stated_doubt_is_taken_as_it_stands() -> None:
    one = only("{printed: 158.0 kg, plus or minus: 0.5 kg, source: scale}")
    assert (one.mass.low, one.mass.high) == (Fraction("157.5"), Fraction("158.5"))
    assert one.doubt_from == "stated"
    assert not one.step_assumed


def test_only_u_gives_twice_u_as_half_width() -> None:
    one = only("{printed: 100 kg, u: 0.3 kg, source: book}")
    assert one.mass.half_width_worst == Fraction("0.6")
    assert one.mass.u == pytest.approx(0.3)
    assert one.doubt_from == "stated as u"


def test_manual_gives_rounding_only() -> None:
    one = only("{printed: 920 lb, step: 10 lb, source: book}")
    assert one.mass.half_width_worst == Fraction("0.45359237") * 5
    assert one.doubt_from == "half the step"
    assert not one.step_assumed


def test_step_not_stated_is_read_off_the_digits_and_told() -> None:
    one = only("{printed: 830 kg, source: book}")
    assert one.mass.half_width_worst == 5
    assert one.step_assumed


def test_usual_doubt_of_the_kind_where_larger() -> None:
    one = only("{printed: 100 kg, step: 1 kg, source: list}")
    assert one.mass.half_width_worst == 5  # 5 % of a supplier's figure
    assert one.doubt_from == "usual for its kind"


def test_scale_without_stated_doubt_gets_three_steps() -> None:
    one = only("{printed: 844.0 kg, source: scale}")
    assert one.mass.half_width_worst == Fraction("1.5")


def test_shipping_paper_errs_to_one_side() -> None:
    kind = REFERENCE.source_kinds["shipping paper"]
    assert usual_doubt(kind, Fraction(100), Fraction(1)) == (15, 0)


def test_weighbridge_has_a_floor() -> None:
    kind = REFERENCE.source_kinds["weighbridge"]
    assert usual_doubt(kind, Fraction(5000), Fraction(10)) == (30, 30)


def test_a_look_is_never_chosen() -> None:
    one = only("{printed: 100 kg, source: eye}")
    assert not one.chosen
    assert one.mass.half_width_worst == 50


def test_most_trusted_first() -> None:
    found = read(
        "{printed: 100 kg, source: list}\n    - {printed: 99 kg, source: book}\n"
        "    - {printed: 98.5 kg, source: scale}"
    )
    assert [one.kind.id for one in found] == ["weighed", "maker's manual", "supplier's list"]


def test_replaced_statement_is_out_of_force() -> None:
    found = read(
        "{id: old, printed: 100 kg, source: scale}\n    - {printed: 99.0 kg, source: scale, replaces: old}"
    )
    assert [one.printed for one in found] == ["99.0 kg"]


WEIGHING = """
- weighing: w1
  of: case
  source: scale
  on: 2026-03-01
  by: fitter
"""


def test_gross_less_tare() -> None:
    (one,) = read("{printed: 1 kg, source: eye}", f"{WEIGHING}  gross: 120.5 kg\n  tare: 20.0 kg\n")[:1]
    assert one.mass.best == Fraction("100.5")
    assert one.mass.half_width_worst == 3  # two readings of three steps of half a kilogram each
    assert one.printed == "120.5 kg gross, 20.0 kg tare"


def test_by_difference() -> None:
    difference = "  difference: {with it: 844.0 kg, without it: 821.5 kg}\n"
    (one,) = read("{printed: 1 kg, source: eye}", f"{WEIGHING}{difference}")[:1]
    assert one.mass.best == Fraction("22.5")


def test_on_two_supports() -> None:
    supports = "  two supports: {first: 60 kg, second: 40 kg, apart: 1 m, along: x, first at: 0 mm}\n"
    (one,) = read("{printed: 1 kg, source: eye}", f"{WEIGHING}{supports}")[:1]
    assert one.mass.best == 100


def test_calibration_doubt_is_kept_apart() -> None:
    text = """
    - source: cell
      name: cell
      kind: hook reading
      instrument: {name: cell, step: 1 kg, calibration doubt: 2 kg}
    - component: case
      name: case
      kind: part
      masses:
        - {printed: 100 kg, source: cell}
    """
    found = collection(text)
    (one,) = witnesses(found, found.components["case"])
    assert dict(one.mass.shared) == {"cell": 2}
    assert one.mass.half_width_worst == 3  # 1 % of the figure, and the calibration on top
