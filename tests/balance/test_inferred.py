"""What a part that nobody weighed must weigh; and that this never comes back to check its whole."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.balance.bounds import bound_of
from handling_db.balance.explained import infer, infer_in_states
from handling_db.findings import Verdict
from handling_db.weights.compare import Judge
from tests.from_text import SCALE, collection

STATES = ("dry", "drained", "filled")


@pytest.fixture(scope="module")
def judge(demo):
    return Judge(demo)


def test_the_auxiliary_drive_from_the_floor_scale(judge):
    """844.0 drained less 819.55 of known parts and 2.2 of oil that stays: 22.3 kg."""
    found = infer_in_states([judge.totals(s) for s in STATES], "auxiliary-drive")

    assert len(found) == 1
    assert found[0].whole.id == "transfer-box-1187-floor"
    assert found[0].state == "drained"
    assert float(found[0].mass.best) == pytest.approx(22.3, abs=0.05)
    assert found[0].mass.half_width_rss == pytest.approx(2.2, abs=0.05)
    assert float(found[0].mass.half_width_worst) == pytest.approx(9.5, abs=0.05)


def test_its_bounds_are_those_of_all_the_evidence(judge, demo):
    bound = bound_of(demo, "auxiliary-drive", "drained")
    inferred = infer(judge.totals("drained"), "auxiliary-drive")[0].mass

    assert bound.inferred
    assert (bound.low, bound.high) == pytest.approx((float(inferred.low), float(inferred.high)), abs=1e-9)


def test_it_never_checks_the_whole_it_came_from(judge):
    """Shown as inferred, and yet the transfer box stays "cannot be checked" against the floor scale."""
    whole = next(w for w in judge.totals("drained").witnesses_of("transfer-box") if w.id.endswith("floor"))
    judged = judge.judge(whole)

    assert infer(judge.totals("drained"), "auxiliary-drive")
    assert judged.verdict is Verdict.CANNOT_BE_CHECKED
    assert "Auxiliary drive has no mass" in judged.because


def test_nothing_is_inferred_for_what_was_weighed(judge):
    assert infer_in_states([judge.totals(s) for s in STATES], "rear-cover") == ()


UNIT = (
    SCALE
    + """
- component: unit
  name: unit
  kind: assembly
  parts listed: LISTED
  parts: [{component: case, quantity: 1}, {component: pump, quantity: 2}]
  masses: [{printed: WHOLE kg, plus or minus: 1 kg, source: scale, counts: as listed, without: none,
            checked by: fitter, DERIVED}]
- {component: case, name: case, kind: part, masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]}
- {component: pump, name: pump, kind: part}
"""
)


def pump(whole="140", listed="all", derived="where: yard"):
    text = UNIT.replace("WHOLE", whole).replace("LISTED", listed).replace("DERIVED", derived)
    return infer(Judge(collection(text)).totals("dry"), "pump")


def test_several_pieces_share_what_is_left():
    (found,) = pump()

    assert (found.mass.low, found.mass.best, found.mass.high) == (19, 20, 21)
    assert found.pieces == 2
    assert not found.too_light


def test_less_than_nothing_is_raised_to_nothing_and_said():
    assert pump("100.5")[0].mass.low == 0
    assert pump("80")[0].too_light
    assert pump("80")[0].mass.high == Fraction(0)


def test_an_open_list_or_a_derived_whole_gives_nothing():
    assert pump(listed="some") == ()
    assert pump(derived="derived: {how: copied, from: [x]}") == ()
