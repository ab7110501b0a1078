"""Families under the checker: what the one case of each rule does not show."""

from __future__ import annotations

import random

import pytest

from handling_db.checker import check
from handling_db.checker.evidence import Evidence
from handling_db.checker.rules import families
from handling_db.findings import Verdict
from handling_db.weights.tree import unfold

SHAFT = """\
- component: shaft
  name: Shaft
  kind: part
  parameters: {{length: {{unit: mm, default: 430 mm}}}}
  masses:
    - {{printed: {printed}, build: {{length: 860 mm}}, source: book}}
    - shape: {{cylinder: {{diameter: {diameter}, length: length}}, density: {density}}}
      source: measured
- {{source: measured, name: Measured, kind: "from shape, machined"}}
- {{material: iron, name: Iron, density: 7850 kg/m³, basis: weighed}}
"""


def found(rule, collection):
    return [finding for finding in check(collection) if finding.rule == rule]


def shaft(printed="29.8 kg", diameter="75 mm", density="iron"):
    return SHAFT.format(printed=printed, diameter=diameter, density=density)


def test_a_shape_is_compared_in_the_build_a_figure_is_for(read):
    """The figure is for 860 mm, the usual build is 430 mm."""
    assert found("statements-apart", read(shaft())) == []
    (one,) = found("statements-apart", read(shaft(printed="14.9 kg")))

    assert one.verdict is Verdict.DISAGREES
    assert one.sentence == (
        "Shaft, length 860 mm: 14.9 kg (Shop handbook) and 29.83 kg from its shape (Measured) lie apart by "
        "13.4 to 16.5 kg (29.5 to 36.3 lb)."
    )
    assert one.field == "masses[0].printed"


def test_a_state_or_a_boundary_may_keep_two_figures_apart(read):
    text = shaft(printed="14.9 kg").replace("source: book}", "state: drained, source: book}")
    text = text.replace("source: measured\n-", "source: measured\n      state: dry\n-")

    assert found("statements-apart", read(text)) == []


@pytest.mark.parametrize(
    ("diameter", "words"),
    [
        ("150 mm", "a radius stands for a diameter"),
        ("37.5 mm", "a radius stands for a diameter"),
        ("2372 mm", "all lengths are in mm where cm is meant, or the reverse"),
        ("237 mm", "one length is in mm where cm is meant, or the reverse"),
        ("378 mm", "one length is in mm where inches are meant, or the reverse"),
    ],
)
def test_slips_in_the_lengths_of_a_shape(diameter, words, read):
    text = shaft(printed="14.9 kg", diameter=diameter).replace("build: {length: 860 mm}, ", "")
    (one,) = found("likely-size-slip", read(text))

    assert f"if {words} in the shape." in one.sentence
    assert one.field == "masses[1].shape"
    assert found("statements-apart", read(text))


def test_a_gap_that_no_slip_explains_gets_no_explanation(read):
    text = shaft(printed="14.9 kg", diameter="100 mm").replace("build: {length: 860 mm}, ", "")

    assert found("likely-size-slip", read(text)) == []
    assert found("statements-apart", read(text))


def test_a_material_that_nobody_recorded(read):
    (one,) = found("worked-figure", read(shaft(density="unobtainium")))

    assert one.verdict is Verdict.FAULT
    assert "no material 'unobtainium' is recorded, so write its id, or a density" in one.sentence


NESTED = """\
- component: box
  name: Box
  kind: assembly
  parameters: {{discs: {{default: 8, from: 4, to: 14}}}}
  parts listed: all
  parts: [{{component: pack, quantity: 1, set: {{discs: discs}}}}]
- component: pack
  name: Pack
  kind: assembly
  parameters: {{discs: {{default: 8, from: 4, to: 14}}}}
  parts listed: all
  parts: [{{component: drum, quantity: 1, set: {{discs: discs}}}}]
- component: drum
  name: Drum
  kind: part
  parameters: {{discs: {{default: 8}}, long: {{unit: mm, formula: 64*mm + 7*mm*discs, to: {to}}}}}
  masses: [{{printed: 15 kg, source: book}}]
"""


def test_what_cannot_be_built_is_said_once_where_it_is(read):
    assert found("build-offered", read(NESTED.format(to="162 mm"))) == []
    (one,) = found("build-offered", read(NESTED.format(to="148 mm")))

    assert one.about == "pack"
    assert one.sentence == (
        "Pack offers discs = 14, but: Pack: long = 162 mm is out of range: it goes from any to 148 mm; it is "
        "worked out from '64*mm + 7*mm*discs' with discs = 14."
    )


def test_every_choice_is_tried(read):
    text = NESTED.format(to="148 mm").replace(
        "discs: {default: 8, from: 4, to: 14}", "discs: {default: 8, choices: [4, 8, 16]}"
    )

    assert [f.about for f in found("build-offered", read(text))] == ["pack"]


def _chain_of_families(chance: random.Random) -> str:
    """Families in one another, some parts shared; counts that come out below nothing or in fractions."""
    many = chance.randint(4, 9)
    records = []
    for number in range(many):
        lines = []
        for child in sorted(
            chance.sample(range(number + 1, many), min(many - number - 1, chance.randint(1, 3)))
        ):
            handed = chance.choice(["size", "size - 2", "7 - size", "3", "size/2"])
            count = chance.choice(["1", "1", "2", "size - 1", "4 - size", "size/2"])
            lines.append(f"    - {{component: c{child}, quantity: {count}, set: {{size: {handed}}}}}\n")
        low, high = chance.randint(0, 2), chance.randint(4, 8)
        records.append(
            f"- component: c{number}\n  name: C{number}\n  kind: {'assembly' if lines else 'part'}\n"
            f"  parameters: {{size: {{unit: each, default: 4, from: {low}, to: {high}}}}}\n"
            + ("  parts listed: all\n  parts:\n" + "".join(lines) if lines else "")
        )
    return "".join(records)


def test_what_is_known_of_a_build_need_not_be_followed_again(read, monkeypatch):
    """The ends of ranges are refused for the same reasons as where every build is followed to its end."""
    chance, some = random.Random(20261130), 0
    for _ in range(60):
        evidence = Evidence(read(_chain_of_families(chance)))
        told = [*families.build_offered(evidence)]
        with monkeypatch.context() as whole:
            whole.setattr(families, "unfold", lambda collection, roots, **_: unfold(collection, roots))
            assert told == [*families.build_offered(evidence)]
        some += len(told)
    assert some > 60
