"""Which figures may be used together, where they belong, and why the others may not."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from handling_db.balance.measurements import gather
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold
from tests.from_text import SCALE, collection
from tests.networks import limits

WHOLE = "counts: as listed, without: none, checked by: fitter"
TEXT = (
    SCALE
    + """
- component: half
  name: half
  kind: assembly
  parts listed: all
  parts:
    - {component: case, quantity: 1}
    - {component: pump, quantity: 1}
    - {component: pin, quantity: 4}
  masses:
MASSES
- {component: case, name: case, kind: part, masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]}
- {component: pump, name: pump, kind: part}
- component: pin
  name: pin
  kind: part
  masses:
    - {id: pin-list, printed: 1.0 kg, plus or minus: 0.2 kg, source: list}
    - {id: pin-copy, printed: 1.1 kg, source: book, derived: {how: copied, from: [pin-list]}}
    - {id: pin-eye, printed: 2 kg, source: eye}
"""
)


def gathered(masses, state="dry"):
    lines = "\n".join(f"    - {{{mass}}}" for mass in masses)
    found = collection(TEXT.replace("MASSES", lines))
    return gather(Totals(found, unfold(found), state))


def unused(found):
    return {one.id: one.because for one in found.unused}


def bound(found, name):
    """Low and high of a node by everything that was gathered; no high is infinite. [kg]"""
    terms = ((found.network.names.index(name), Fraction(1)),)
    within = limits(found.network, found.readings)
    most = within.most(terms)
    return float(within.least(terms) or 0), math.inf if most is None else float(most)


def test_a_whole_with_its_boundary_stated_is_used():
    found = gathered([f"id: w, printed: 130 kg, plus or minus: 1 kg, source: scale, {WHOLE}"])
    assert found.network.is_forest
    assert {r.id for r in found.readings} >= {"w", "pin-copy"}
    assert bound(found, "pump") == pytest.approx((129 - 101 - 4.4 * 1.0454545454545454, 131 - 99 - 4.2))


@pytest.mark.parametrize(
    ("mass", "because"),
    [
        ("printed: 130 kg, source: scale", "it is not stated what the figure counts"),
        (f"printed: 130 kg, source: eye, {WHOLE}", "figures of this kind are never used in sums"),
        (
            f"printed: 130 kg, source: book, derived: {{how: summed, from: [pin-list]}}, {WHOLE}",
            "it was worked out from other figures",
        ),
        (
            f"printed: 130 kg, source: scale, state: filled, {WHOLE}",
            "it is not for the state asked about (dry)",
        ),
        (
            "printed: 130 kg, source: scale, counts: as listed, without: [bolt]",
            "what it leaves out or counts is not a part line of this",
        ),
    ],
)
def test_a_whole_that_is_not_used_says_why(mass, because):
    found = gathered([f"id: w, {mass}"])

    assert unused(found)["w"] == because
    assert "w" not in {r.id for r in found.readings}


def test_a_copy_beside_its_origin_is_one_witness():
    """The book ranks higher, so the copy stands for both; a guess by eye never counts."""
    found = gathered([f"id: w, printed: 130 kg, source: scale, {WHOLE}"])

    assert unused(found) == {
        "pin-list": "it is one witness with 1.1 kg (handbook)",
        "pin-eye": "figures of this kind are never used in sums",
    }


def test_a_figure_without_some_parts_stands_on_a_whole_of_its_own():
    found = gathered(
        [
            "id: bare, printed: 104 kg, plus or minus: 0.5 kg, source: scale, counts: as listed, without: [pump]",
            f"id: all, printed: 130 kg, plus or minus: 0.5 kg, source: scale, {WHOLE}",
        ]
    )

    assert unused(found).keys() == {"pin-list", "pin-eye"}
    assert found.network.is_forest
    assert found.network.names[-1] == "half, as far as floor scale counts it"
    assert bound(found, "pump") == pytest.approx((25.0, 27.0))


def test_two_figures_that_leave_different_parts_out_cannot_both_be_used():
    found = gathered(
        [
            "id: one, printed: 104 kg, source: scale, counts: as listed, without: [pump]",
            "id: two, printed: 126 kg, source: scale, counts: as listed, without: [pin]",
        ]
    )

    assert "another figure of this leaves other parts out" in unused(found).values()


def test_a_figure_that_counts_some_parts_only():
    found = gathered(
        ["id: some, printed: 104 kg, source: scale, counts: [case, pin], without: none, checked by: x"]
    )

    assert {r.id for r in found.readings} >= {"some"}
    assert bound(found, "pump")[1] == math.inf


def test_unlisted_parts_are_a_node_that_nobody_weighed():
    text = TEXT.replace("parts listed: all", "parts listed: some")
    lines = f"    - {{id: w, printed: 130 kg, plus or minus: 1 kg, source: scale, {WHOLE}}}"
    found = collection(text.replace("MASSES", lines))
    gathered_here = gather(Totals(found, unfold(found), "dry"))

    assert gathered_here.network.names[-1] == "parts of half that are not listed"
    low, high = bound(gathered_here, "pump")
    assert low == 0
    assert high < 31


def test_other_serial_numbers_are_other_things():
    found = gathered(
        [
            f"id: new, printed: 130 kg, source: book, on: 2025-01-01, serials: {{from: 500}}, {WHOLE}",
            f"id: old, printed: 140 kg, source: book, serials: {{to: 499}}, {WHOLE}",
        ]
    )

    assert unused(found)["old"] == "it is for other serial numbers than 130 kg (handbook)"


def test_a_packed_weighing_and_another_build_are_not_used():
    more = """
- weighing: in-its-crate
  of: half
  gross: 150.0 kg
  tare: none
  packed: yes
  state: dry
  counts: as listed
  without: none
  checked by: fitter
  source: scale
  on: 2026-01-01
  by: fitter
"""
    text = TEXT.replace("  kind: assembly", "  kind: assembly\n  parameters: {pins: {default: 4}}")
    lines = f"    - {{id: w, printed: 130 kg, source: scale, build: {{pins: 5}}, {WHOLE}}}"
    found = collection(text.replace("MASSES", lines) + more)
    told = unused(gather(Totals(found, unfold(found), "dry")))

    assert told["in-its-crate"] == "it was weighed with its packing"
    assert told["w"] == "it is for another build"
