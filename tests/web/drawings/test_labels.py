"""Words in drawings by geometry, over random units: none over another, none dropped, none out of the frame."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.pictured.outlines import FaceFigure, OutlineFigure, Outlines
from handling_db.lookup.listings import Branch
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.rigging.hook import Limit
from handling_db.web.drawings.hook_scale import hook_scale
from handling_db.web.drawings.labels import Box, Label, Placing, wrapped
from handling_db.web.drawings.lift import ABOVE, SIDE, lift_to_scale
from handling_db.web.drawings.strip import INFERENCES, WEIGHINGS, weight_strip
from handling_db.weights.answer import PartFigure, StateFigure
from tests.lifting.hanging.test_hang import hung
from tests.web.drawings.svg import outside, overlapping, told

RANDOM_UNITS = 80
WORDS = (
    "rear",
    "Gear",
    "case",
    "idler",
    "WHEEL",
    "mount",
    "ear",
    "at",
    "90",
    "degrees",
    "M16",
    "Planet",
    "left",
)


def _meet(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    wide = min(one.right, other.right) - max(one.left, other.left)
    tall = min(one.bottom, other.bottom) - max(one.top, other.top)
    return wide > 0.0 and tall > 0.0


def name(chance: random.Random) -> str:
    return " ".join(chance.choice(WORDS) for _ in range(chance.randint(1, 6)))


def branch(chance: random.Random, place: int, deeper: int) -> Branch:
    best = 10 ** chance.uniform(-2, 3)
    basis = chance.choice([*sorted(WEIGHINGS), *sorted(INFERENCES), "supplier's list", "nobody knows"])
    known = basis != "nobody knows"
    part = PartFigure(
        line=str(place), id=f"p{place}", name=name(chance), kind="part",
        quantity=chance.choice([1, 1, 2, 14]), quantity_text="1", known=known, complete=chance.random() < 0.9,
        best=best if known else 0.0, low=best * 0.8 if known else 0.0, high=best * 1.3 if known else 0.0,
        basis=basis, has_parts=deeper > 0,
    )  # fmt: skip
    below = tuple(branch(chance, n, deeper - 1) for n in range(chance.randint(1, 8))) if deeper else ()
    return Branch(part, below)


@pytest.mark.slow
def test_strips_of_random_units() -> None:
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        branches = [branch(chance, n, chance.randint(0, 1)) for n in range(chance.randint(1, 16))]
        best = sum(float(one.part.best * one.part.quantity) for one in branches)
        state = StateFigure("dry", best, best * 0.9, best * 1.1, chance.random() < 0.5, "sum of parts")
        drawing = str(weight_strip(name(chance), state, branches, first=chance.choice(["kg", "lb"])))

        assert overlapping(drawing) == [], seed
        assert outside(drawing) == [], seed
        for one in branches:  # what nobody knows is always named, however narrow its box
            if not one.part.known:
                assert one.part.name.split()[0] in told(drawing), seed


def test_a_strip_is_to_scale_and_shows_the_range_of_what_is_inferred() -> None:
    import re

    def part(code: str, best: float, basis: str) -> Branch:
        return Branch(
            PartFigure(
                code, code, code, "part", 1, "1", True, True, best, best * 0.5, best * 1.5, basis, False
            )
        )

    state = StateFigure("dry", 100.0, 100.0, 100.0, True, "sum of parts")
    drawing = str(weight_strip("unit", state, [part("a", 60.0, "sum of parts"), part("b", 40.0, "nobody weighed it; inferred")]))  # fmt: skip
    cells = re.findall(r'class="cell (\w+)" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)"', drawing)
    wide = {kind: float(width) for kind, _, y, width in cells if float(y) == 52.0}
    edge = re.search(r'class="range" d="M([\d.]+)', drawing)
    left = next(float(x) for kind, x, y, _ in cells if kind == "inferred" and float(y) == 52.0)

    assert wide["inferred"] / wide["weighed"] == pytest.approx(60.0 / 60.0, rel=0.01)  # drawn up to its most
    assert edge
    assert (float(edge[1]) - left) / wide["inferred"] == pytest.approx(
        20.0 / 60.0, rel=0.01
    )  # sure from its least


@pytest.fixture(scope="module")
def lifted() -> LiftAnswer:
    return hung([(300, 0, 400), (-300, 0, 400)], (1200, 1200))


def readings(lifted: LiftAnswer) -> Iterator[tuple[int, LiftAnswer, float | None]]:
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        best = 10 ** chance.uniform(0, 4)
        load = Amount(
            best * chance.uniform(0.7, 1), best, chance.choice([None, best * chance.uniform(1, 1.4)])
        )
        stops = tuple(Limit(best * chance.uniform(0.8, 4), Notice("x")) for _ in range(chance.randint(0, 1)))
        reading = replace(
            lifted.reading,
            expected=load,
            look_again_kg=chance.choice([None, best * chance.uniform(1, 1.5)]),
            look_again_below_kg=chance.choice([None, best * chance.uniform(0.6, 1)]),
            stops=stops,
        )
        yield seed, replace(lifted, reading=reading), chance.choice([None, best * chance.uniform(0, 4)])


def test_hook_scales_of_random_readings(lifted: LiftAnswer) -> None:
    for seed, answer, seen in readings(lifted):
        drawing = str(hook_scale(answer, seen_kg=seen))

        assert overlapping(drawing) == [], seed
        assert outside(drawing) == [], seed
        reading = answer.reading
        wanted = ["expect", *(["seen"] if seen is not None else []), *(["stop"] if reading.stops else [])]
        wanted += ["look again below"] if reading.look_again_below_kg is not None else []
        assert [word for word in wanted if word not in told(drawing)] == [], seed


def test_the_hook_scale_is_to_scale(lifted: LiftAnswer) -> None:
    import re

    reading = replace(
        lifted.reading, expected=Amount(380.0, 384.0, 388.0), look_again_kg=392.0, look_again_below_kg=376.0,
        stops=(Limit(422.0, Notice("x")),),
    )  # fmt: skip
    drawing = str(hook_scale(replace(lifted, reading=reading), seen_kg=415.0))
    expect = re.search(r'class="expect" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', drawing)
    stop = re.search(r'class="stop" d="M([\d.]+)', drawing)
    seen = re.search(r'class="seen" d="M([\d.]+)', drawing)
    again = [float(x) for x in re.findall(r'class="again" d="M([\d.]+)', drawing)]

    assert expect
    assert stop
    assert seen
    per_kg = (float(stop[1]) - 12.0) / 422.0
    assert float(expect[1]) == pytest.approx(12.0 + 380.0 * per_kg, abs=0.1)
    assert float(seen[1]) == pytest.approx(12.0 + 415.0 * per_kg, abs=0.1)
    assert sorted(again) == [pytest.approx(12.0 + kg * per_kg, abs=0.1) for kg in (376.0, 392.0)]
    assert "green" not in drawing


def box_at(chance: random.Random) -> tuple[tuple[float, float, float], ...]:
    low = [chance.uniform(-1, 1) for _ in range(3)]
    high = [at + chance.uniform(0.01, 0.8) for at in low]
    corners = [(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    return tuple(corners)


@pytest.mark.slow
@pytest.mark.parametrize("view", [SIDE, ABOVE], ids=["side", "above"])
def test_lifts_of_random_units(lifted: LiftAnswer, view: object) -> None:
    point = hung([(300, 0, 400), (-300, 0, 400)], (1200, 1200)).points[0]
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        spread = 10 ** chance.uniform(-1, 1)

        def somewhere(spread: float = spread, chance: random.Random = chance) -> tuple[float, float, float]:
            x, y, z = (chance.uniform(-spread, spread) for _ in range(3))
            return x, y, z

        names = [f"{n} {name(chance)}" for n in range(chance.randint(1, 8))]
        points = tuple(replace(point, id=f"i{n}", name=one) for n, one in enumerate(names))
        shown = Outlines(
            tuple(OutlineFigure(f"b{n} {name(chance)}", box_at(chance)) for n in range(chance.randint(0, 6))),
            tuple(FaceFigure(f"f{n} {name(chance)}", box_at(chance)[:4], chance.choice([None, True, False])) for n in range(chance.randint(0, 3))),
            tuple(FaceFigure(f"j{n}", box_at(chance)[:4]) for n in range(chance.randint(0, 2))),
        )  # fmt: skip
        answer = replace(
            lifted, points=points, picks_room=tuple((one.id, somewhere()) for one in points),
            hook_room=somewhere(), legs=None, centre=chance.choice([None, lifted.centre]),
        )  # fmt: skip
        drawing = str(lift_to_scale(answer, shown, view))  # type: ignore[arg-type]

        assert overlapping(drawing) == [], seed
        assert outside(drawing) == [], seed
        wanted = [one.split()[0] for one in names] + [one.name.split()[0] for one in shown.faces]
        wanted += [one.name.split()[0] for one in shown.pieces] if view is SIDE else []
        missing = [word for word in wanted if word not in told(drawing).split()]
        assert missing == [], seed


def placings() -> list[Callable[[random.Random], tuple[float, float]]]:
    return [
        lambda chance: (chance.uniform(0, 390), chance.uniform(0, 300)),
        lambda chance: (195.0, 150.0),  # all at one place
        lambda chance: (chance.choice([0.0, 390.0]), chance.uniform(0, 300)),
    ]


@pytest.mark.slow
@pytest.mark.parametrize("at", placings(), ids=["anywhere", "one place", "edges"])
def test_placing_never_drops_a_label(at: Callable[[random.Random], tuple[float, float]]) -> None:
    for seed in range(60):
        chance = random.Random(seed)
        placing = Placing(Box(5.0, 5.0, 385.0, 300.0), taken=[Box(100.0, 100.0, 200.0, 200.0)])
        labels = [Label(name(chance), at(chance)) for _ in range(chance.randint(1, 30))]
        placing.put(labels)

        boxes = [one.box for one in placing.placed]
        assert [one.label for one in placing.placed] == labels
        assert not any(_meet(a, b) for n, a in enumerate(boxes) for b in boxes[:n])
        assert not any(_meet(box, placing.taken[0]) for box in boxes)
        assert all(box.inside(Box(5.0, 5.0, 385.0, placing.bottom)) for box in boxes)


def test_a_long_word_is_cut_with_a_sign() -> None:
    assert wrapped("w" * 60, 100.0) == ("wwww…",)
    assert " ".join(wrapped("ear at 90 degrees: up to 134 kg", 120.0)) == "ear at 90 degrees: up to 134 kg"
