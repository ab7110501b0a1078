"""What it is worth that parts and whole agree: what may hide in it, what both rest on, what to weigh next."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.checker import check, closing_words
from handling_db.checker.evidence import Evidence
from handling_db.checker.gaps import gaps
from handling_db.checker.sharpen import weakest
from handling_db.findings import Verdict
from handling_db.lookup.weight import answer
from handling_db.lookup.weight_text import weight_text
from handling_db.lookup.worth_words import shared_words
from handling_db.quantities.mass import Mass
from handling_db.weights.verdict import Shared, compare
from tests.checker.test_sums import KNOWN, the_sum

UNIT = """\
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{{component: left, quantity: 1}}, {{component: right, quantity: 2}}]
  masses: [{{printed: 100 kg, plus or minus: {whole} kg, source: {of_whole}, {known}}}]
- {{component: left, name: Left half, kind: part, masses: [{{printed: 40 kg, plus or minus: 1 kg, source: scale}}]}}
- {{component: right, name: Right half, kind: part, masses: [{{printed: 30 kg, plus or minus: {right} kg, source: book}}]}}
"""


def unit(whole="2", of_whole="plate", right="1"):
    return UNIT.format(whole=whole, of_whole=of_whole, right=right, known=KNOWN)


@st.composite
def masses(draw):
    best, under, over = draw(st.tuples(st.integers(50, 90), st.integers(0, 15), st.integers(0, 15)))
    return Mass(best, best - under, best + over)


@given(masses(), masses())
def test_the_largest_error_that_hides_is_the_largest_shift_that_still_touches(parts, whole):
    """By trying: each whole number of kilograms that the stated figure may be out by."""
    result = compare(parts, whole, boundary_known=True)
    true = [
        error
        for error in range(-200, 201)
        if parts.low <= whole.high - error and parts.high >= whole.low - error
    ]
    if result.verdict is Verdict.AGREES:
        assert result.hides == max(map(abs, true))
    else:
        assert 0 not in true


@pytest.mark.parametrize(
    ("of_whole", "shared", "words"),
    [
        ("plate", (), ""),
        ("scale", ("Shop scale",), "both sides rest on Shop scale (one scale): an error of that scale may"),
        ("book", ("Shop handbook",), "both sides rest on Shop handbook (one document): an error of that"),
    ],
)
def test_what_both_sides_rest_on_is_named_everywhere(of_whole, shared, words, read):
    collection = read(unit(of_whole=of_whole))
    found = the_sum(collection)
    assert found.verdict is Verdict.AGREES
    assert found.shared == shared
    assert "an error of up to 5.0 kg (12 lb) in one figure may hide in it" in found.sentence
    assert words in found.sentence
    assert found.as_json()["hides_up_to_kg"] == 5.0
    assert found.as_json()["both_rest_on"] == list(shared)
    (said,) = answer(collection, "unit").statements
    assert float(said.hides) == 5.0
    assert tuple(one.name for one in said.shared) == shared
    text = weight_text(answer(collection, "unit"))
    assert "agrees; an error of up to 5.0 kg (12 lb) in one figure may hide in it" in text
    assert words in text
    assert words in closing_words(collection, check(collection))


def test_one_density_on_both_sides_is_shared(read):
    text = (
        "- {material: iron, name: Grey iron, density: 7200 kg/m3, lowest: 7000 kg/m3, highest: 7400 kg/m3, "
        "basis: a book}\n"
        "- {component: unit, name: Unit, kind: assembly, parts listed: all, "
        "parts: [{component: left, quantity: 2}], masses: [{shape: {box: {length: 0.2 m, width: 0.1 m, height: 0.1 m}, density: iron}, "
        f"plus or minus: 2 kg, source: book, {KNOWN}}}]}}\n"
        "- {component: left, name: Left, kind: part, "
        "masses: [{shape: {box: {length: 0.1 m, width: 0.1 m, height: 0.1 m}, density: iron}, plus or minus: 1 kg, source: plate}]}\n"
    )
    found = the_sum(read(text))
    assert (found.verdict, found.shared) == (Verdict.AGREES, ("Grey iron",))
    assert "an error of that density may hide at any size" in found.sentence


def test_a_copied_figure_rests_on_what_it_was_copied_from(read):
    text = unit().replace(
        "source: scale}", "source: scale, derived: {how: copied, from: [first]}}, {id: first, printed: 40 kg, "
        "source: plate}"
    )  # fmt: skip
    assert the_sum(read(text)).shared == ("Type plate",)


def test_several_that_are_shared_are_named_together():
    told = shared_words([Shared("scale", "a", "Scale"), Shared("density", "b", "Iron")])
    assert told == (
        "both sides rest on Scale (one scale) and Iron (density): an error of any of them may hide at any size"
    )


@pytest.mark.parametrize(
    ("whole", "right", "component", "words"),
    [
        ("2", "1.5", "right", "weigh Right half: of the ±6.0 kg (13 lb) of both sides ±3.0 kg (6.6 lb) are"),
        ("9", "1", "unit", "weigh Unit as a whole: of the ±12 kg (26 lb) of both sides ±9.0 kg (20 lb) are"),
    ],
)
def test_what_would_sharpen_it_is_the_largest_doubt_of_all(whole, right, component, words, read):
    collection = read(unit(whole, right=right))
    (one,) = weakest(Evidence(collection))
    assert one.component == component
    assert words in the_sum(collection).remedy
    (gap,) = [gap for gap in gaps(collection) if gap.act == "sharpen"]
    assert (gap.id, gap.totals) == (component, ("unit",))
    assert words in gap.what
    assert gap is gaps(collection)[-1] or gap == gaps(collection)[-1]


def test_the_weakest_comparison_stands_first(read):
    other = unit(whole="20").replace("unit", "rig").replace("left", "low").replace("right", "up")
    collection = read(unit() + other)
    assert [one.judged.component for one in weakest(Evidence(collection))] == ["rig", "unit"]
    agreeing = [f.about for f in check(collection) if f.verdict is Verdict.AGREES]
    assert agreeing == ["rig", "unit"]
    assert "2 agree" not in closing_words(collection, check(collection))  # few wholes are told one by one
