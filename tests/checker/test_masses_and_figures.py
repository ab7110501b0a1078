"""Parts without a mass, slips, serials and dates: the cases beside the plain ones."""

from __future__ import annotations

import datetime

import pytest

from handling_db.checker import check
from handling_db.findings import Verdict

KNOWN = "counts: as listed, without: none, checked by: fitter"
DAY = datetime.date(2026, 11, 25)


def found(rule, collection, **options):
    return [f for f in check(collection, **options) if f.rule == rule]


def test_nothing_is_overdue_without_a_day(read):
    text = "- {component: a, name: A, kind: part, review by: 2001-01-01}\n"
    assert found("review-passed", read(text)) == []
    assert len(found("review-passed", read(text), as_of=DAY)) == 1


def test_a_withdrawn_note_is_not_reviewed(read):
    note = (
        "- {{note: n, about: {{component: a}}, kind: hand, text: Mind it., told by: shop, author: fitter, "
        "on: 2026-01-02, status: {0}, reason: tried, review by: 2026-02-02}}\n"
    )
    part = "- {component: a, name: A, kind: part}\n"
    assert found("review-passed", read(part + note.format("withdrawn")), as_of=DAY) == []
    (late,) = found("review-passed", read(part + note.format("draft")), as_of=DAY)
    assert late.sentence == "note n was to be looked at again by 2026-02-02, 296 days before 2026-11-25;"


def test_a_reading_after_the_check_was_due_is_remarked_whatever_the_day(read):
    text = (
        "- {source: old, name: Old scale, kind: weighed, "
        "instrument: {name: scale, step: 1 kg, check due: 2026-01-31}}\n"
        "- {component: a, name: A, kind: part, "
        "masses: [{printed: 5 kg, source: old, on: 2026-02-02}]}\n"
    )
    (late,) = found("instrument-check-passed", read(text))
    assert late.about == "a"
    assert "5 kg was read on 2026-02-02, 2 days after the check of Old scale was due" in late.sentence
    assert found("instrument-check-passed", read(text.replace("2026-02-02", "2026-01-31"))) == []


def test_a_part_that_goes_into_nothing(read):
    (missing,) = found("mass-missing", read("- {component: a, name: A, kind: part}\n"))
    assert missing.sentence == "A has no mass: no source says what it weighs; it goes into nothing."
    assert missing.remedy == "Weigh it, or write its figure under 'masses' with the source."


def test_a_part_that_was_only_weighed_with_its_packing(read):
    text = (
        "- {component: a, name: A, kind: part}\n- {weighing: w, of: a, gross: 5 kg, tare: none, packed: yes, "
        "checked by: x, source: scale, on: 2026-01-02, by: x}\n"
    )
    (missing,) = found("mass-missing", read(text))
    assert "it was only weighed with its packing" in missing.sentence


def test_a_part_whose_figure_is_for_another_build(read):
    text = (
        "- {component: a, name: A, kind: part, parameters: {n: {default: 1, to: 3}}, "
        "masses: [{printed: 5 kg, step: 1 kg, source: book, build: {n: 2}}]}\n"
    )
    (missing,) = found("mass-missing", read(text))
    assert "no figure is for this build" in missing.sentence


def test_a_part_deep_below_names_the_nearest_totals(read):
    chain = "".join(
        f"- {{component: c{i}, name: C{i}, kind: assembly, parts listed: all, "
        f"parts: [{{component: c{i + 1}, quantity: 1}}]}}\n"
        for i in range(70)
    )
    (missing,) = found("mass-missing", read(chain + "- {component: c70, name: End, kind: part}\n"))
    assert 'the totals of C69, C68 and C67 and at least 47 more are "at least"' in missing.sentence


def test_a_total_that_rests_on_a_stated_whole_is_not_called_at_least(read):
    text = (
        "- {component: top, name: Top, kind: assembly, parts listed: all, parts: [{component: box, quantity: 1}]}\n"
        "- {component: box, name: Box, kind: assembly, parts listed: all, parts: [{component: a, quantity: 1}], "
        f"masses: [{{printed: 5 kg, step: 1 kg, source: book, {KNOWN}}}]}}\n"
        "- {component: a, name: A, kind: part}\n"
    )
    (missing,) = found("mass-missing", read(text))
    assert missing.sentence == "A has no mass: no source says what it weighs; it goes into Box."


def test_fluid_of_which_nobody_looked_how_much_stays(read):
    oil = "- {{component: oil, name: Oil, kind: fluid, fluid: {{litres: 2 L, density: 0.9 kg/L{0}}}}}\n"
    (missing,) = found("mass-missing", read(oil.format("")))
    assert missing.sentence.startswith("Oil has no mass drained: nobody looked how much stays inside;")
    assert missing.field == "fluid.stays"
    assert found("mass-missing", read(oil.format(", stays: none, checked by: x"))) == []


UNIT = (
    "- {{component: unit, name: Unit, kind: assembly, parts listed: all, "
    "parts: [{{component: left, quantity: 1}}, {{component: right, quantity: 1}}], "
    "masses: [{{printed: {whole}, step: 1 kg, source: book, {known}}}]}}\n"
    "- {{component: left, name: Left, kind: part, masses: [{{printed: {left}, source: {by}}}]}}\n"
    "- {{component: right, name: Right, kind: part, masses: [{{printed: 60 kg, step: 1 kg, source: book}}]}}\n"
)


def test_a_whole_in_the_wrong_unit(read):
    text = UNIT.format(whole="220 kg", left="40 kg, step: 1 kg", by="book", known=KNOWN)
    (slip,) = found("likely-unit-slip", read(text))
    assert "Unit 220 kg (kg for lb)" in slip.sentence
    assert slip.field == "masses[0].printed"


def test_pounds_written_for_kilograms(read):
    text = UNIT.format(whole="100 kg", left="40 lb, step: 1 lb", by="book", known=KNOWN)
    (slip,) = found("likely-unit-slip", read(text))
    assert "Left 40 lb (lb for kg)" in slip.sentence
    assert slip.place.line == 2


def test_a_figure_printed_in_both_units_is_no_slip(read):
    left = "40 lb, step: 1 lb, also printed: {printed: 18 kg, step: 1 kg}"
    assert (
        found("likely-unit-slip", read(UNIT.format(whole="100 kg", left=left, by="book", known=KNOWN))) == []
    )


def test_a_reading_of_a_scale_can_be_a_slip_too(read):
    text = UNIT.format(whole="101 kg", left="9 kg, step: 1 kg", by="book", known=KNOWN) + (
        "- {weighing: w, of: left, gross: 90 kg, tare: none, plus or minus: 1 kg, checked by: x, source: scale, "
        "on: 2026-01-02, by: x}\n"
    )
    (slip,) = [f for f in found("likely-unit-slip", read(text)) if "would bring" in f.sentence]
    assert "Left 90 kg (kg for lb)" in slip.sentence
    assert slip.field == "gross"


def test_two_statements_a_pound_factor_apart(read):
    text = (
        "- component: a\n  name: A\n  kind: part\n  masses:\n"
        "    - {printed: 100 kg, step: 1 kg, source: book}\n    - {printed: 220 kg, step: 1 kg, source: plate}\n"
    )
    (slip,) = found("likely-unit-slip", read(text))
    assert "220 kg (Type plate) is about 2.2046 times 100 kg (Shop handbook)" in slip.sentence
    assert found("likely-unit-slip", read(text.replace("220 kg", "230 kg"))) == []


def test_statements_for_other_serials_states_or_boundaries_are_not_set_against_each_other(read):
    head = "- component: a\n  name: A\n  kind: part\n  masses:\n"
    for one, other in (
        ("serials: {to: 9}", "serials: {from: 10}"),
        ("counts: as listed, without: none, checked by: x", "counts: [b], without: none, checked by: x"),
    ):
        text = (
            f"{head}    - {{printed: 40 kg, step: 1 kg, source: book, {one}}}\n"
            f"    - {{printed: 50 kg, step: 1 kg, source: plate, {other}}}\n"
        )
        assert found("statements-apart", read(text)) == []


def test_the_larger_upper_figure_is_planned_with(read):
    text = (
        "- component: a\n  name: A\n  kind: part\n  masses:\n"
        "    - {printed: 50 kg, step: 1 kg, source: plate}\n    - {printed: 40 kg, step: 1 kg, source: book}\n"
    )
    (apart,) = found("statements-apart", read(text))
    assert apart.remedy.endswith("Until then plan with 50.5 kg (112 lb).")
    assert apart.gap is not None
    assert [float(limit) for limit in apart.gap] == [9, 11]


def test_a_figure_from_a_shape_is_a_hint_beside_another(read):
    text = (
        "- {source: shape, name: Shape, kind: 'from shape, machined'}\n"
        "- component: a\n  name: A\n  kind: part\n  masses:\n"
        "    - {printed: 50 kg, plus or minus: 1 kg, source: shape}\n    - {printed: 40 kg, step: 1 kg, source: book}\n"
    )
    (apart,) = found("statements-apart", read(text))
    assert "is a hint beside the other, but look why it is heavier." in apart.remedy


@pytest.mark.parametrize(
    ("serials", "verdict"),
    [
        ("from: 1, to: 9", Verdict.DISAGREES),
        ("from: 1, to: 10", Verdict.REMARK),
        ("from: 15", Verdict.REMARK),
    ],
)
def test_a_note_for_other_serials(serials, verdict, read):
    text = (
        "- {component: a, name: A, kind: part, fits: [{model: M, serials: {from: 10, to: 20}}]}\n"
        "- {note: n, about: {component: a}, kind: hand, text: Mind it., told by: shop, author: fitter, "
        f"on: 2026-01-02, status: draft, fits: [{{model: M, serials: {{{serials}}}}}]}}\n"
    )
    (outside,) = found("serials-outside", read(text))
    assert outside.verdict is verdict
    assert "outside what A fits (M 10 to 20)" in outside.sentence


def test_a_weighing_of_a_serial_the_component_does_not_fit(read):
    text = (
        "- {component: a, name: A, kind: part, fits: [{model: M, serials: {from: 10, to: 20}}]}\n"
        "- {weighing: w, of: a, gross: 5 kg, tare: none, serial: 21, checked by: x, source: scale, "
        "on: 2026-01-02, by: x}\n"
    )
    (outside,) = found("serials-outside", read(text))
    assert outside.field == "serial"
    assert (
        found("serials-outside", read(text.replace("{model: M, serials: {from: 10, to: 20}}", "{model: M}")))
        == []
    )


def test_a_line_that_sets_what_the_part_does_not_have(read):
    text = (
        "- {component: box, name: Box, kind: assembly, parts: [{component: a, quantity: 1, set: {size: 3}}]}\n"
        "- {component: a, name: A, kind: part, parameters: {length: {default: 1}}}\n"
    )
    (wrong,) = found("build", read(text))
    assert (wrong.verdict, wrong.field) == (Verdict.FAULT, "parts[0].set")
    assert wrong.sentence == "A has no parameter 'size' to set; it has: length;"


def test_a_figure_for_a_value_out_of_range(read):
    text = (
        "- {component: a, name: A, kind: part, parameters: {n: {default: 1, to: 3}}, "
        "masses: [{printed: 5 kg, source: book, build: {n: 4}}]}\n"
    )
    (wrong,) = found("build", read(text))
    assert wrong.field == "masses[0].build"
    assert "n = 4 is out of range" in wrong.sentence


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        ("quantity: 1", "quantity: 1", Verdict.REMARK),
        ("quantity: 1, at: [1 m, 0 m, 0 m]", "quantity: 1, at: [2 m, 0 m, 0 m]", Verdict.REMARK),
        ("quantity: 1, at: [1 m, 0 m, 0 m]", "quantity: 1, at: [100 cm, 0 m, 0 m]", Verdict.DISAGREES),
        ("quantity: 2, at: [1 m, 0 m, 0 m]", "quantity: 1, at: [1 m, 0 m, 0 m]", Verdict.REMARK),
        (
            "quantity: 2, places: [{at: [1 m, 0 m, 0 m]}, {at: [2 m, 0 m, 0 m]}]",
            "quantity: 1, at: [2 m, 0 m, 0 m]",
            Verdict.DISAGREES,
        ),
    ],
)
def test_one_part_on_two_lines(first, second, verdict, read):
    text = (
        "- component: box\n  name: Box\n  kind: assembly\n  parts:\n"
        f"    - {{component: a, {first}}}\n    - {{component: a, {second}}}\n"
        "- {component: a, name: A, kind: part}\n"
    )
    (twice,) = found("part-listed-twice", read(text))
    assert twice.verdict is verdict
    assert (twice.field, twice.place.line) == ("parts[1]", 6)


def test_a_long_ring_is_shortened(read):
    ring = "".join(
        f"- {{component: c{i:02}, name: C{i}, kind: assembly, parts: [{{component: c{(i + 1) % 30:02}, quantity: 1}}]}}\n"
        for i in range(30)
    )
    (cycle,) = found("cycle", read(ring))
    assert "c05 contains (20 more) contains c26" in cycle.sentence
    assert cycle.verdict is Verdict.FAULT
