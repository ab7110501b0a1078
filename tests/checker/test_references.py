"""Every kind of id that can point at nothing, and where the finding stands."""

from __future__ import annotations

import pytest

from handling_db.checker import check
from handling_db.findings import Verdict, exit_status

PART = "- {component: shaft, name: Shaft, kind: part, masses: [{printed: 5 kg, source: book}]}\n"
NOTE = "- {{note: hot, kind: hand, text: Mind it., told by: shop, author: fitter, on: 2026-01-02, status: draft, {0}}}\n"
WEIGHING = "- {{weighing: w, gross: 5 kg, tare: none, checked by: fitter, on: 2026-01-02, by: fitter, {0}}}\n"
MASS = "- {{component: bolt, name: Bolt, kind: part, masses: [{{printed: 1 kg, {0}}}]}}\n"

UNKNOWN = [
    (MASS.format("source: nowhere"), "masses[0].source", "there is no source 'nowhere';"),
    (
        MASS.format("source: book, replaces: old"),
        "masses[0].replaces",
        "there is no mass statement or weighing with the id 'old';",
    ),
    (
        MASS.format("source: book, derived: {how: copied, from: [old]}"),
        "masses[0].derived.from[0]",
        "there is no mass statement or weighing with the id 'old';",
    ),
    ("- {source: other, name: Other, kind: hearsay}\n", "kind", "there is no source kind 'hearsay';"),
    ("- {source: other, name: Other, kind: weighed, shop: gone}\n", "shop", "there is no shop 'gone';"),
    (WEIGHING.format("of: gone, source: scale"), "of", "there is no component 'gone';"),
    (WEIGHING.format("of: shaft, source: gone"), "source", "there is no source 'gone';"),
    (
        WEIGHING.format("of: shaft, source: scale, replaces: gone"),
        "replaces",
        "there is no mass statement or weighing with the id 'gone';",
    ),
    (NOTE.format("about: {component: gone}"), "about.component", "there is no component 'gone';"),
    (NOTE.format("about: {fixture: gone}"), "about.fixture", "there is no fixture 'gone';"),
    (NOTE.format("about: {component: shaft}, shop: gone"), "shop", "there is no shop 'gone';"),
    (NOTE.format("about: {component: shaft}, source: gone"), "source", "there is no source 'gone';"),
    (NOTE.format("about: {component: shaft}, replaces: gone"), "replaces", "there is no note 'gone';"),
    ("- {mover: m, name: M, kind: hoist, shop: gone}\n", "shop", "there is no shop 'gone';"),
    ("- {mover: m, name: M, kind: hoist, load cell: gone}\n", "load cell", "there is no source 'gone';"),
    ("- {shop: s, name: S, movers: [gone]}\n", "movers[0]", "there is no mover 'gone';"),
    ("- {shop: s, name: S, fixtures: [gone]}\n", "fixtures[0]", "there is no fixture 'gone';"),
    ("- {shop: s, name: S, scales: [scale, gone]}\n", "scales[1]", "there is no source 'gone';"),
    (
        "- {fixture: f, name: F, kind: stand, needed by: [{component: gone, for: turning}]}\n",
        "needed by[0].component",
        "there is no component 'gone';",
    ),
    (
        "- {fixture: f, name: F, kind: stand, only for: [gone]}\n",
        "only for[0]",
        "there is no component 'gone';",
    ),
    (
        "- {fixture: f, name: F, kind: stand, used instead: [{what: wood, shop: gone}]}\n",
        "used instead[0].shop",
        "there is no shop 'gone';",
    ),
]


@pytest.mark.parametrize(("text", "field", "sentence"), UNKNOWN)
def test_an_id_that_nothing_goes_by(text, field, sentence, read):
    findings = [f for f in check(read(PART + text)) if f.verdict is Verdict.FAULT]
    assert [(f.rule, f.field, f.sentence) for f in findings] == [("unknown-reference", field, sentence)]
    assert findings[0].place is not None
    assert findings[0].place.line == 2
    assert findings[0].remedy.startswith("correct the id, or add the ")
    assert exit_status(findings) == 2


@pytest.mark.parametrize(
    "boundary", ["counts: [bolt], without: [shaft]", "counts: as listed, without: [bolt]"]
)
def test_a_boundary_that_names_what_is_not_in_it(boundary, read):
    text = (
        PART + "- {component: bolt, name: Bolt, kind: part, masses: [{printed: 1 kg, source: book}]}\n"
        "- {component: box, name: Box, kind: assembly, parts: [{component: shaft, quantity: 1}], "
        f"masses: [{{printed: 5 kg, source: book, {boundary}}}]}}\n"
    )
    (found,) = [f for f in check(read(text)) if f.rule == "unknown-reference"]
    assert found.sentence == "'bolt' is not among the parts of Box;"
    assert found.remedy == "name only what is listed below it, or add the part line."
    assert found.verdict is Verdict.FAULT


def test_a_note_about_a_joint_waits_for_joints_to_be_recorded(read):
    findings = check(read(PART + NOTE.format("about: {tie: pipes}")))
    assert [f for f in findings if f.rule == "unknown-reference"] == []


def test_a_part_line_with_an_id_that_is_taken(read):
    text = (
        PART + "- component: box\n  name: Box\n  kind: assembly\n  parts:\n"
        "    - {id: first, component: shaft, quantity: 1}\n    - {id: first, component: shaft, quantity: 2}\n"
    )
    (found,) = [f for f in check(read(text)) if f.rule == "duplicate-id"]
    assert (found.field, found.place.line) == ("parts[1].id", 7)
    assert found.sentence == "the id 'first' is taken by another part line: records.yml:6 has it already;"


def test_the_same_statement_twice_is_a_duplicate(read):
    text = (
        "- component: shaft\n  name: Shaft\n  kind: part\n  masses:\n"
        + "    - {printed: 5 kg, source: book}\n" * 2
    )
    (found,) = [f for f in check(read(text)) if f.rule == "duplicate-id"]
    assert found.field == "masses[1]"


def test_figures_that_replace_each_other_leave_none(read):
    text = (
        "- component: shaft\n  name: Shaft\n  kind: part\n  masses:\n"
        "    - {id: a, printed: 5 kg, source: book, replaces: b}\n"
        "    - {id: b, printed: 6 kg, source: book, replaces: a}\n"
    )
    found = {f.rule: f for f in check(read(text))}
    ring = found["derivation"]
    assert ring.verdict is Verdict.FAULT
    assert ring.field == "masses[0].replaces"
    assert ring.sentence == "a replaces b replaces a: figures that replace each other leave none in force;"
    assert found["mass-missing"].verdict is Verdict.CANNOT_BE_CHECKED


def test_a_figure_derived_from_itself_is_a_ring_of_one(read):
    text = MASS.format("id: a, source: book, derived: {how: copied, from: [a]}")
    (found,) = [f for f in check(read(text)) if f.rule == "derivation"]
    assert found.sentence.startswith("a from a:")
