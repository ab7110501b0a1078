"""A figure for several alike pieces together: its doubt is theirs together, and one alone scatters."""

from __future__ import annotations

import itertools
import random
from fractions import Fraction

import pytest

from handling_db.files.reading import read_texts
from handling_db.lifting.answer import lift_answer
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection, collect
from handling_db.tables.sources import read_paths

UNIT = """\
- {{source: scale, name: Shop scale, kind: not said}}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts:
    - {{component: wheel, quantity: {many}}}
    - {{component: frame, quantity: 1}}
- component: wheel
  name: Wheel
  kind: part
  masses: [{{printed: 84 kg, plus or minus: 2 kg, pieces: 4, source: scale{scatter}}}]
- {{component: frame, name: Frame, kind: part, masses: [{{printed: 50 kg, plus or minus: 1 kg, source: scale}}]}}
- {{lift group: one, name: One wheel, root: unit, takes: [unit], leaves: [frame{leaves}]}}
"""


def records(many: int = 4, scatter: str = "", left: int = 0) -> Collection:
    leaves = f", {{of: [wheel], quantity: {left}}}" if left else ""
    scatter = f", scatter: {scatter}" if scatter else ""
    made = read_texts([("r.yml", UNIT.format(many=many, scatter=scatter, leaves=leaves))])
    assert [str(finding) for finding in made.findings] == []
    kinds = [("source kind", kind) for kind in read_paths([]).collection.source_kinds.values()]
    return collect([*made.collection.records(), *kinds], made.collection.lines)


def figures(collection: Collection, code: str) -> tuple[float, float, float]:
    found = answer(collection, code).states[-1]
    return float(found.low), float(found.best), float(found.high)


def test_four_together_are_known_as_well_as_they_were_weighed() -> None:
    """Typed as 21 kg each, with 2 kg of doubt each, the four would be out by 8 kg."""
    assert figures(records(), "unit") == (134 - 3, 134, 134 + 3)
    assert figures(records(scatter="0.7 kg"), "unit") == (131, 134, 137)


def test_one_alone_is_the_mean_with_its_scatter() -> None:
    assert figures(records(), "wheel") == (20.5, 21, 21.5)
    assert figures(records(scatter="0.7 kg"), "wheel") == (19.8, 21, 22.2)
    assert answer(records(), "wheel").statements[0].printed == "84 kg for 4 together, scatter not known"
    assert (
        answer(records(scatter="0.7 kg"), "wheel").statements[0].printed
        == "84 kg for 4 together, scatter 0.7 kg"
    )
    assert answer(records(scatter="0.7 kg"), "wheel").states[-1].planning == Fraction("22.2")


@pytest.mark.parametrize(
    ("left", "low", "high"),
    [(3, 20.5 - 0.7, 21.5 + 0.7), (2, 41 - 1.4, 43 + 1.4), (1, 61.5 - 0.7, 64.5 + 0.7), (0, 82, 86)],
)
def test_some_of_them_in_a_lift(left: int, low: float, high: float) -> None:
    """Three of four can be off by no more than the fourth is in turn."""
    found = lift_answer(records(scatter="0.7 kg", left=left), "one")

    assert found.group is not None
    assert (found.group.low, found.group.high) == pytest.approx((low, high))
    assert "the mean of 4 weighed together, scatter counted" in found.inside[0].source


def test_a_lift_says_where_the_scatter_is_not_known() -> None:
    assert "scatter not known" in lift_answer(records(left=3), "one").inside[0].source


@pytest.mark.parametrize("seed", range(30))
def test_limits_hold_for_every_set_that_could_have_been_weighed(seed: int) -> None:
    """Random pieces within the scatter of their mean, the total within its doubt: any of them, brute force."""
    chance = random.Random(seed)
    doubt, scatter = 2.0, chance.choice([0.3, 0.7, 2.0])
    extremes = []
    for _ in range(200):
        total = 84 + chance.choice([-doubt, doubt, chance.uniform(-doubt, doubt)])
        off = [chance.choice([-scatter, scatter, chance.uniform(-scatter, scatter)]) for _ in range(3)]
        last = -sum(off)
        if abs(last) <= scatter:
            extremes.append([total / 4 + one for one in (*off, last)])
    for taken in range(1, 5):
        found = lift_answer(records(scatter=f"{scatter} kg", left=4 - taken), "one").group
        assert found is not None
        for pieces in extremes:
            for some in itertools.combinations(pieces, taken):
                assert found.low - 1e-9 <= sum(some) <= (found.high or 0) + 1e-9


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "{printed: 84 kg, pieces: 1, source: s}",
            "'1' is not how many were weighed together; write a whole number from 2 up",
        ),
        ("{printed: 84 kg, pieces: some, source: s}", "'some' is not how many were weighed together"),
        (
            "{printed: 84 kg, scatter: 1 kg, source: s}",
            "'scatter' goes with 'pieces': how far one of them may be from their mean",
        ),
        (
            "{formula: 84*kg, plus or minus: 1 kg, pieces: 4, source: s}",
            "'pieces' goes with 'printed'; what is worked out is for one piece",
        ),
    ],
)
def test_what_is_refused(text: str, told: str) -> None:
    made = read_texts([("r.yml", f"- {{component: a, name: A, kind: part, masses: [{text}]}}\n")])

    assert told in " ".join(str(finding) for finding in made.findings)


def test_a_weighing_of_several() -> None:
    made = read_texts([("r.yml", """\
- {source: scale, name: Shop scale, kind: not said}
- {component: wheel, name: Wheel, kind: part}
- weighing: w1
  of: wheel
  gross: 90 kg
  tare: 6 kg
  plus or minus: 2 kg
  pieces: 4
  source: scale
  on: 2026-11-01
  by: fitter
""")])  # fmt: skip
    assert not made.findings
    kinds = [("source kind", kind) for kind in read_paths([]).collection.source_kinds.values()]
    collection = collect([*made.collection.records(), *kinds], made.collection.lines)

    assert figures(collection, "wheel") == (20.5, 21, 21.5)
    assert (
        answer(collection, "wheel").statements[0].printed
        == "90 kg gross, 6 kg tare for 4 together, scatter not known"
    )
