"""Parts against a stated whole: every line of the table of verdicts, and what is said with each."""

from __future__ import annotations

import pytest

from handling_db.checker import check
from handling_db.findings import Verdict

KNOWN = "counts: as listed, without: none, checked by: fitter"
UNIT = """\
- component: unit
  name: Unit
  kind: assembly
{listed}  parts:
    - {{component: left, quantity: 1}}
    - {{component: right, quantity: 1}}
{more}  masses:
    - {{printed: {whole}, step: 2 kg, source: book, {said}}}
- {{component: left, name: Left half, kind: part, masses: [{{printed: 40 kg, step: 1 kg, source: scale}}]}}
- {{component: right, name: Right half, kind: part{right}}}
"""
# The left half has no stated doubt: three steps of the scale, 3 kg.
RIGHT = ", masses: [{printed: 60 kg, plus or minus: 1 kg, source: scale}]"


def unit(whole, said=KNOWN, right=RIGHT, listed="  parts listed: all\n", more=""):
    return UNIT.format(whole=whole, said=said, right=right, listed=listed, more=more)


def the_sum(collection):
    (found,) = [f for f in check(collection) if f.rule == "parts-sum"]
    return found


@pytest.mark.parametrize(
    ("text", "verdict", "words"),
    [
        (
            unit("105 kg"),
            Verdict.AGREES,
            "the two touch; an error of up to 10 kg (23 lb) in one figure may hide in it.",
        ),
        (unit("106 kg"), Verdict.DISAGREES, "lighter by 1.0 to 11.0 kg"),
        (unit("94 kg"), Verdict.DISAGREES, "heavier by 1.0 to 11.0 kg"),
        (unit("105 kg", "state: dry"), Verdict.CANNOT_BE_CHECKED, "it is not stated what the printed figure"),
        (unit("94 kg", "state: dry"), Verdict.DISAGREES, "the printed figure may leave something out"),
        (unit("106 kg", "state: dry"), Verdict.DISAGREES, "may count something that is not listed"),
        (
            unit("100 kg", right=""),
            Verdict.CANNOT_BE_CHECKED,
            "Right half has no mass; the parts that have a mass come to 37.0 to 43.0 kg (81.6 to 94.8 lb), "
            "so it would have to weigh 56.0 to 64.0 kg",
        ),
        (
            unit("40 kg", right=""),
            Verdict.CANNOT_BE_CHECKED,
            "would have to weigh no more than 4.0 kg (8.8 lb)",
        ),
        (unit("35 kg", right=""), Verdict.DISAGREES, "already heavier by 1.0 kg (2.2 lb) at least"),
        (
            unit("120 kg", listed="  parts listed: some\n"),
            Verdict.CANNOT_BE_CHECKED,
            "nobody says that all parts of Unit are listed; the parts that have a mass come to 96.0 to 104.0 "
            "kg (211.6 to 229.3 lb), so what is not listed would have to weigh 15.0 to 25.0 kg",
        ),
        (
            unit("94 kg", listed="  parts listed: some\n"),
            Verdict.DISAGREES,
            "already heavier by 1.0 kg (2.2 lb) at least",
        ),
        (
            unit("120 kg", listed=""),
            Verdict.CANNOT_BE_CHECKED,
            "nobody says that all parts of Unit are listed",
        ),
    ],
)
def test_the_table_of_verdicts(text, verdict, words, read):
    found = the_sum(read(text))
    assert found.verdict is verdict
    assert words in found.sentence
    assert found.gap is not None


def test_a_part_that_the_figure_leaves_out_is_left_out_of_the_sum(read):
    found = the_sum(read(unit("40 kg", "counts: as listed, without: [right]")))
    assert found.verdict is Verdict.AGREES
    assert [name for name, _, _ in found.figures] == ["parts", "stated"]


def test_only_the_parts_that_the_figure_counts_are_summed(read):
    found = the_sum(read(unit("60 kg", "counts: [right], without: [left]")))
    assert found.verdict is Verdict.AGREES


OIL = "- {component: oil, name: Oil, kind: fluid, fluid: {litres: 10 L, density: 0.9 kg/L, stays: 1 L}}\n"
WITH_OIL = "    - {component: oil, quantity: 1}\n"


@pytest.mark.parametrize(
    ("whole", "state", "verdict"),
    [
        ("100 kg", "state: dry", Verdict.AGREES),
        ("109 kg", "state: filled", Verdict.AGREES),
        ("109 kg", "state: dry", Verdict.DISAGREES),
        ("90 kg", "state: filled", Verdict.DISAGREES),
    ],
)
def test_the_state_decides_what_is_compared(whole, state, verdict, read):
    assert the_sum(read(unit(whole, f"{state}, {KNOWN}", more=WITH_OIL) + OIL)).verdict is verdict


def test_without_a_state_it_cannot_be_checked(read):
    found = the_sum(read(unit("100 kg", KNOWN, more=WITH_OIL) + OIL))
    assert found.verdict is Verdict.CANNOT_BE_CHECKED
    assert "it is not stated whether it is dry, drained or filled" in found.sentence
    assert found.remedy == "Write 'state': dry, drained or filled."
    assert found.gap is None


def test_a_weighing_with_its_packing_cannot_be_checked(read):
    weighing = (
        "- {weighing: crated, of: unit, gross: 130 kg, tare: none, checked by: fitter, packed: yes, "
        "source: scale, on: 2026-01-02, by: fitter}\n"
    )
    found = [f for f in check(read(unit("100 kg") + weighing)) if "packing" in f.sentence]
    assert [f.verdict for f in found] == [Verdict.CANNOT_BE_CHECKED]
    assert found[0].field == "gross"
    assert found[0].remedy == "Weigh it without its packing, or write the packing into the tare."


def test_a_figure_for_a_build_that_does_not_exist_cannot_be_checked(read):
    text = unit("100 kg", "build: {discs: 99}", more="  parameters: {discs: {default: 8, to: 12}}\n")
    found = the_sum(read(text))
    assert found.verdict is Verdict.CANNOT_BE_CHECKED
    assert "it is for a build that cannot be worked out" in found.sentence


def test_a_drained_half_of_a_unit_with_one_oil_charge_cannot_be_checked(read):
    around = (
        "- {component: all, name: Whole unit, kind: assembly, parts listed: all, "
        "parts: [{component: unit, quantity: 1}, {component: oil, quantity: 1}]}\n"
    )
    found = the_sum(read(unit("100 kg", f"state: drained, {KNOWN}") + OIL + around))
    assert found.verdict is Verdict.CANNOT_BE_CHECKED
    assert "fluid is listed at Whole unit; the share in this part is not recorded" in found.sentence
    assert found.remedy.startswith("Weigh it with the fluid out")


NEST = """\
- component: outer
  name: Outer
  kind: assembly
  parts listed: all
  parts: [{{component: inner, quantity: {pieces}}}]
  masses: [{{printed: {outer}, step: 1 kg, source: book, {known}}}]
- component: inner
  name: Inner
  kind: assembly
  parts listed: all
  parts: [{{component: core, quantity: 1}}]
  masses: [{{printed: 70 kg, step: 1 kg, source: book, {known}}}]
- {{component: core, name: Core, kind: part, masses: [{{printed: 100 kg, step: 1 kg, source: book}}]}}
"""


def disagreeing(read, outer, pieces=1):
    text = NEST.format(outer=outer, pieces=pieces, known=KNOWN)
    return [f for f in check(read(text)) if f.rule == "parts-sum"]


def test_the_deepest_disagreement_is_the_finding_and_the_one_around_it_follows(read):
    inner, outer = disagreeing(read, "70 kg")
    assert (inner.about, outer.about) == ("inner", "outer")
    assert "heavier by" in inner.sentence
    assert (
        "because of Inner, which disagrees by as much (records.yml:12: masses[0].printed)" in outer.sentence
    )
    assert outer.verdict is Verdict.DISAGREES
    assert outer.remedy == "Settle Inner first, then check again."


def test_two_pieces_inside_explain_twice_the_gap(read):
    _, outer = disagreeing(read, "140 kg", pieces=2)
    assert "because of Inner" in outer.sentence


@pytest.mark.parametrize("outer", ["50 kg", "130 kg"])
def test_a_gap_of_another_size_or_direction_is_a_finding_of_its_own(outer, read):
    _, found = disagreeing(read, outer)
    assert "because of" not in found.sentence


def test_figures_come_in_both_units(read):
    assert "(99.0 to 101.0 kg" in the_sum(read(unit("100 kg"))).sentence
    assert "lb" in the_sum(read(unit("100 kg"))).sentence


INFERRED = """\
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{{component: left, quantity: 1}}, {{component: right, quantity: 1}}]
  masses:
    - {{id: whole, printed: 100 kg, step: 2 kg, source: book, {known}{whole}}}
- component: left
  name: Left half
  kind: part
  masses: [{{id: left, printed: 40 kg, plus or minus: 1 kg, source: {source}{left}}}]
- component: right
  name: Right half
  kind: part
  masses: [{{id: right, printed: 60 kg, step: 1 kg, source: book}}]
- component: twin
  name: Twin
  kind: part
  masses: [{{id: twin, printed: 40 kg, plus or minus: 1 kg, source: worked out{twin}}}]
- component: other
  name: Other
  kind: part
  masses: [{{id: other, printed: 90 kg, step: 1 kg, source: plate}}]
"""


@pytest.mark.parametrize(
    ("whole", "source", "left", "twin", "because"),
    [
        ("", "worked out", "inferred, from: [whole]", "", "inferred from this very whole"),
        (
            "",
            "worked out",
            "copied, from: [twin]",
            "inferred, from: [whole]",
            "inferred from this very whole",
        ),
        (
            "copied, from: [other]",
            "worked out",
            "inferred, from: [other]",
            "",
            "come from the same one (90 kg, Type plate)",
        ),
        ("", "worked out", "", "", "the figure of Left half is inferred, and it is not recorded from what"),
        ("summed, from: [left, right]", "book", "", "", "it was itself worked out from other figures"),
    ],
)
def test_figures_that_come_from_one_another_check_nothing(whole, source, left, twin, because, read):
    def derived(how):
        return f", derived: {{how: {how}}}" if how else ""

    text = INFERRED.format(
        known=KNOWN, whole=derived(whole), source=source, left=derived(left), twin=derived(twin)
    )
    (found,) = [f for f in check(read(text)) if f.rule in ("circular", "parts-sum")]
    assert found.rule == "circular"
    assert found.verdict is Verdict.CANNOT_BE_CHECKED
    assert because in found.sentence
    assert found.gap is None


def test_a_figure_inferred_from_something_else_may_be_used(read):
    text = INFERRED.format(
        known=KNOWN, whole="", source="worked out", left=", derived: {how: inferred, from: [other]}", twin=""
    )
    (found,) = [f for f in check(read(text)) if f.rule in ("circular", "parts-sum")]
    assert found.verdict is Verdict.AGREES
