"""Means of independent weighings, which of them go together, and every refusal."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from handling_db.balance.combining import (
    NotCombinedError,
    combine_weighings,
    combined_weighings,
    not_comparable,
)
from handling_db.balance.explained import explain_answer
from handling_db.evidence.provenance import Provenance
from handling_db.lookup.numbers.text import explain_text
from handling_db.weights.compare import Judge
from tests.from_text import collection

TEXT = """
- {source: floor, name: floor scale, kind: weighed,
   instrument: {name: floor scale, step: 0.5 kg, calibration doubt: 0.6 kg}}
- {source: bench, name: bench scale, kind: weighed, instrument: {name: bench, step: 0.05 kg}}
- {source: cell, name: hook cell, kind: hook reading,
   instrument: {name: cell, step: 1 kg, calibration doubt: 0 kg}}
- {source: book, name: handbook, kind: maker's manual}
- {source: eye, name: a look, kind: by eye}
- component: case
  name: case
  kind: part
  masses:
MASSES
"""

FLOOR = "{id: floor1, printed: 100.0 kg, plus or minus: 1 kg, source: floor}"
FLOOR2 = "{id: floor2, printed: 100.4 kg, plus or minus: 1 kg, source: floor}"
CELL = "{id: cell1, printed: 101 kg, plus or minus: 2 kg, source: cell}"
BENCH = "{id: bench1, printed: 100.2 kg, plus or minus: 1 kg, source: bench}"
BENCH2 = "{id: bench2, printed: 100.3 kg, plus or minus: 1 kg, source: bench}"
FAR = "{id: far, printed: 110 kg, plus or minus: 2 kg, source: cell}"
BOOK = "{id: book1, printed: 100 kg, step: 5 kg, source: book}"


def figures(*masses):
    found = collection(TEXT.replace("MASSES", "\n".join(f"    - {mass}" for mass in masses)))
    by_id = {w.id: w for w in Judge(found).totals("dry").witnesses_of("case")}
    order = [mass.split("id: ")[1].split(",")[0] for mass in masses]
    return Provenance(found), [by_id[name] for name in order]


def test_two_scales_weigh_in_by_their_variances():
    found = combine_weighings(*figures(BENCH, CELL))
    first, second = 1 / 3, 4 / 3  # variances of rectangular ±1 and ±2

    assert found.best == pytest.approx((100.2 / first + 101 / second) / (1 / first + 1 / second))
    assert found.u == pytest.approx(math.sqrt(1 / (1 / first + 1 / second)))
    assert dict(found.weights) == pytest.approx({"bench1": 0.8, "cell1": 0.2})
    assert (float(found.low), float(found.high)) == pytest.approx((99.2, 101.2))


def test_one_scale_twice_keeps_its_calibration_doubt():
    """Own half-widths of 0.4 average, the shared 0.6 stays: u² = 0.4²/6 + 0.6²/3."""
    found = combine_weighings(*figures(FLOOR, FLOOR2))

    assert found.best == pytest.approx(100.2)
    assert found.u == pytest.approx(math.sqrt(0.4**2 / 6 + 0.6**2 / 3))
    assert found.u > 0.6 / math.sqrt(3)


@pytest.mark.parametrize(
    ("masses", "message"),
    [
        ((FLOOR,), "a mean needs two weighings at least"),
        ((FLOOR, BOOK), "book1 was not read on an instrument (handbook); only weighings are averaged"),
        (
            (BENCH, BENCH2),
            "bench1 and bench2 were both read on bench scale, and nobody stated its calibration",
        ),
        ((FLOOR, FAR), "floor1 and far contradict one another; conflicts are not averaged"),
        (
            (FLOOR, "{id: again, printed: 101 kg, source: cell, derived: {how: copied, from: [floor1]}}"),
            "floor1 and again are one witness: again was copied from floor1",
        ),
        (
            (FLOOR, "{id: wet, printed: 101 kg, source: cell, state: filled}"),
            "not put together: floor1 and wet differ in state; make the difference explicit first",
        ),
        (
            (FLOOR, "{id: part, printed: 101 kg, source: cell, without: [lid]}"),
            "floor1 and part differ in what they leave out",
        ),
        (
            (FLOOR, "{id: some, printed: 101 kg, source: cell, counts: [lid]}"),
            "floor1 and some differ in what they count",
        ),
        (
            (FLOOR, "{id: long, printed: 101 kg, source: cell, build: {size: 3}}"),
            "floor1 and long differ in build",
        ),
    ],
)
def test_what_is_not_averaged(masses, message):
    with pytest.raises(NotCombinedError) as caught:
        combine_weighings(*figures(*masses))
    assert message in str(caught.value)


def test_other_serial_numbers_are_other_things():
    _, (one, other) = figures(
        "{id: a, printed: 100 kg, source: cell, serials: {to: 5}}",
        "{id: b, printed: 100 kg, source: cell, serials: {from: 6}}",
    )

    assert not_comparable(one, other) == "a and b are about different serial numbers"


def test_readings_that_share_all_their_doubt_are_one():
    provenance, found = figures(
        "{id: a, printed: 100 kg, plus or minus: 0.6 kg, source: floor}",
        "{id: b, printed: 100 kg, plus or minus: 0.6 kg, source: floor}",
    )
    with pytest.raises(NotCombinedError, match="share all of their doubt"):
        combine_weighings(provenance, found)


def test_weighings_of_one_question_are_put_together_and_told():
    """Two of one question are averaged; a book's figure and one of another state stay out of it."""
    provenance, found = figures(FLOOR, BENCH, BOOK)
    ((group, combined),) = combined_weighings(provenance, found)
    assert [witness.id for witness in group] == ["floor1", "bench1"]
    assert combined == combine_weighings(provenance, [found[0], found[1]])
    assert combined_weighings(*figures(FLOOR, BOOK)) == ()
    assert combined_weighings(*figures(FLOOR, FAR)) == ()


def test_explain_tells_it():
    text = TEXT.replace("MASSES", f"    - {FLOOR}\n    - {BENCH}")
    answer = explain_answer(collection(text), "case")
    (one,) = answer.combined
    assert (one.low, one.high) == (Fraction("99.2"), 101)
    told = explain_text(answer, "kg")
    assert "Weighings put together: mean 100.1 kg" in told
    assert "100.0 kg" in told
    assert "the plan stays with the worst case" in told
