"""Words in every other drawing by geometry, over random units: none over another, none dropped, none outside."""

from __future__ import annotations

import random
import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest

from handling_db.database.described import DescribedColumn, Table
from handling_db.evidence.answer import SweepAnswer, SweepLine
from handling_db.jobs.lighten.figures import LeftFigure, LightenAnswer
from handling_db.jobs.pictured import BodyPicture, StepPicture
from handling_db.jobs.steps.answer import StepFigure, StepsAnswer
from handling_db.lifting.pictured.outlines import OutlineFigure
from handling_db.lifting.pictured.turned import OnEdge
from handling_db.moving.answer import move_answer
from handling_db.moving.figures import MoveAnswer, PlanCentre
from handling_db.moving.question import MoveQuestion
from handling_db.quantities.amount import Amount
from handling_db.records.collection import Collection
from handling_db.web.drawings.intervals import MOST_ROWS, IntervalRow, interval_drawing
from handling_db.web.drawings.masses import mass_drawing
from handling_db.web.drawings.plan_view import plan_view
from handling_db.web.drawings.states import ON_PAPER, ON_PHONE, states_strip
from handling_db.web.drawings.sweep import sweep_drawing
from handling_db.web.drawings.tables import tables_drawing
from handling_db.web.drawings.turn import four_angles, turn_curve
from handling_db.web.drawings.under_limit import under_limit
from handling_db.weights.answer import PartFigure, StateFigure
from tests.web.drawings.svg import outside, overlapping, told
from tests.web.drawings.test_labels import RANDOM_UNITS, box_at, name
from tests.web.test_turn_page import turned

__all__ = ["turned"]  # a fixture

UPRIGHT = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def held(drawing: str, words: Iterable[str], seed: int) -> None:
    """No word over another or outside, and every one of them there."""
    assert overlapping(drawing) == [], seed
    assert outside(drawing) == [], seed
    there = told(drawing).split()
    assert [word for text in words for word in text.split() if word not in there] == [], seed


def spread(chance: random.Random) -> float:
    return 10 ** chance.uniform(-2, 1.5)


@pytest.fixture(scope="module")
def moved(demo: Collection) -> MoveAnswer:
    return move_answer(demo, MoveQuestion(what="upper-half-lift"))


def test_plan_views_of_random_units(moved: MoveAnswer) -> None:
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        size = spread(chance)
        low = (chance.uniform(-size, size), chance.uniform(-size, size), 0.3)
        at = (low[0] + chance.uniform(0, 0.1) * size, low[1] + chance.uniform(0, 0.1) * size, 0.4)
        centre = chance.choice(
            [
                None,
                PlanCentre(
                    at,
                    low,
                    (2 * at[0] - low[0], 2 * at[1] - low[1], 0.5),
                    ("left", "right"),
                    ("front", "rear"),
                ),
            ]
        )
        corners = [
            (chance.uniform(-size, size), chance.uniform(-size, size)) for _ in range(chance.randint(3, 9))
        ]
        answer = replace(
            moved, name=name(chance), centre=centre, piece_outline=tuple(corners),
            footprint=(size * chance.uniform(0.3, 1.2), size * chance.uniform(0.3, 1.2)),
            forks=chance.choice([None, (size * chance.uniform(0.2, 1.5), size * chance.uniform(0.1, 0.5))]),
            entries=tuple(replace(one, side=chance.choice(["low x", "high x", "low y", "high y"])) for one in moved.entries),
        )  # fmt: skip
        drawing = str(plan_view(answer))

        wanted = ["centre of gravity" if centre is not None else "centre of gravity not known"]
        wanted += [f"forks from {answer.entries[0].side}"] if answer.forks is not None else []
        held(drawing, wanted, seed)


def placed(chance: random.Random, size: float) -> PartFigure:
    known = chance.random() < 0.8
    best = 10 ** chance.uniform(-2, 3) if known else 0.0
    centre = (chance.uniform(-size, size), 0.0, chance.uniform(-size, size))
    return PartFigure(
        "l", "p", name(chance), "part", chance.choice([1, 1, 3]), "1", known, True, best, best, best, "weighed",
        has_parts=False, centre=chance.choice([centre, centre, centre, None]),
    )  # fmt: skip


@pytest.mark.slow
def test_places_of_mass_of_random_units() -> None:
    drawn = 0
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        parts = [placed(chance, spread(chance)) for _ in range(chance.randint(2, 40))]
        state = StateFigure(
            "dry", 1.0, 1.0, 1.0, True, "sum of parts", centre=chance.choice([None, (0.0, 0.0, 0.0)])
        )
        drawing = mass_drawing(parts, state, name(chance))
        if drawing is None:
            continue
        drawn += 1
        there = [part for part in parts if part.centre is not None]
        heaviest = sorted((p for p in there if p.known), key=lambda p: -p.best * p.quantity)[:6]
        unknown = [part for part in there if not part.known]
        wanted = [part.name for part in heaviest] + [f"{part.name}: no weight" for part in unknown[:8]]
        wanted += [f"and {len(unknown) - 8} more without a weight"] if len(unknown) > 8 else []
        held(str(drawing), wanted, seed)
    assert drawn > RANDOM_UNITS / 2


@pytest.mark.slow
def test_witnesses_of_random_units() -> None:
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        scale = 10 ** chance.uniform(-3, 6)
        rows = []
        for _ in range(chance.randint(2, MOST_ROWS)):
            low = scale * chance.uniform(0.8, 1.2)
            high = chance.choice([None, low, low * (1 + 10 ** chance.uniform(-6, 0))])
            rows.append(IntervalRow(" ".join(name(chance) for _ in range(3)), name(chance), low, high))
        drawing = str(interval_drawing(rows, name(chance), first=chance.choice(["kg", "lb"])))

        held(drawing, [text for row in rows for text in (row.name, row.says)], seed)
        assert re.search(r"\d (kg|lb)", told(drawing)), seed


def test_sweeps_of_random_families() -> None:
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        scale, start = 10 ** chance.uniform(-2, 6), chance.uniform(0, 1000)
        values = sorted({round(start + chance.uniform(0, 10) * n, 1) for n in range(chance.randint(2, 60))})
        lines = []
        for value in values:
            best = scale * chance.uniform(0.5, 2)
            figure = StateFigure("dry", best, best * 0.9, best * 1.1, chance.random() < 0.9, "sum of parts")
            lines.append(SweepLine(f"{value:g} mm", value, figure))
        if len(lines) < 2:
            continue
        answer = SweepAnswer("a", name(chance), name(chance), "mm", "", "dry", (), tuple(lines))
        drawing = str(sweep_drawing(answer, first=chance.choice(["kg", "lb"])))

        # of a long row of values every second, third ... is written; a short one has them all
        written = [line.text.split()[0] for line in lines] if len(lines) <= 6 else [lines[0].text.split()[0]]
        held(drawing, [*written, f"{answer.parameter} [mm]"], seed)


CARRIERS = [
    "hook",
    "hands",
    "machine",
    "not recorded",
    "stand",
    "pallet",
    "hook and a very long word for a place",
]


@pytest.mark.slow
def test_strips_of_random_jobs(demo: Collection) -> None:
    empty: Any = {"heaviest": None, "narrowest": None}
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        pictures, steps = [], []
        for number in range(chance.randint(1, 9)):
            bodies = tuple(
                BodyPicture(
                    tuple(box_at(chance) for _ in range(chance.randint(1, 3))), 0, UPRIGHT, None,
                    chance.choice([None, chance.uniform(0, 1)]),
                    tuple(chance.sample(CARRIERS, chance.randint(0, 2))), (),
                )
                for _ in range(chance.randint(1, 4))
            )  # fmt: skip
            pictures.append(StepPicture(number, bodies))
            steps.append(StepFigure(number, str(number), "lift", "w", ()))
        answer = StepsAnswer(
            "p", "P", "u", "U", (), "", "", "", "", steps[0], tuple(steps[1:]), not_looked_at=(),
            held_unrecorded=(), lacks=(), not_reversed=(), cautions=(), **empty,
        )  # fmt: skip
        drawing = str(states_strip(answer, pictures, columns=chance.choice([ON_PHONE, ON_PAPER])))

        carriers = {"not recorded": "on what nobody recorded", "machine": "in the machine"}
        seen = [
            [carriers.get(one, one) for one in body.carried] or ["held by nothing"]
            for picture in pictures
            for body in picture.bodies
        ]
        words = "\n".join(text for one in seen for text in one)
        assert overlapping(drawing) == [], seed
        assert outside(drawing) == [], seed
        there = set(told(drawing).replace(";", " ").split())
        assert [word for word in words.split() if word not in there] == [], seed


@pytest.mark.slow
def test_boxes_of_random_tables() -> None:
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        names = [f"t{n} {name(chance)}".replace(" ", "_") for n in range(chance.randint(1, 20))]
        tables = [
            Table(
                one, "", False,
                tuple(
                    DescribedColumn(name(chance).replace(" ", "_") + str(n), "integer", "", chance.choice(names[:at]), key=False, needed=False)
                    for n in range(chance.randint(0, 5)) if at
                ),
            )
            for at, one in enumerate(names)
        ]  # fmt: skip
        drawing = str(tables_drawing(tables, linked=chance.random() < 0.5))

        held(drawing, names + [column for table in tables for column in table.ties], seed)


@pytest.mark.slow
def test_turns_of_random_units(turned: Any) -> None:
    answer, load = turned
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        factor, longest = 10 ** chance.uniform(-2, 3), chance.uniform(0.2, 1.8)
        steps = tuple(
            replace(
                step, turned=step.turned * longest, hook_low_kg=step.hook_low_kg * factor,
                hook_kg=step.hook_kg * factor, hook_high_kg=step.hook_high_kg * factor,
                hold_kg=step.hold_kg * factor, hold_high_kg=step.hold_high_kg * factor, line_kg=None,
            )
            for step in answer.steps
        )  # fmt: skip
        over = chance.choice([None, answer.goes_over * longest])
        one = replace(answer, steps=steps, goes_over=over)
        shown = OnEdge(
            tuple(OutlineFigure(name(chance), box_at(chance)) for _ in range(chance.randint(0, 4))),
            load.hook, chance.choice([None, load.centre]),
        )  # fmt: skip
        first = chance.choice(["kg", "lb"])

        curve = str(turn_curve(one, first=first))
        held(
            curve, ["at the start", *([] if over is None else [f"goes over by itself at {over:.0f}°"])], seed
        )
        held(str(four_angles(one, shown, first=first)), ["hook"], seed)


def test_choices_beside_random_limits(parted: LightenAnswer) -> None:
    for seed in range(RANDOM_UNITS):
        chance = random.Random(seed)
        limit = 10 ** chance.uniform(-1, 5)
        rows = []
        for _ in range(chance.randint(1, 8)):
            low = limit * chance.uniform(0.5, 1.5)
            high = chance.choice([None, low * chance.uniform(1, 1.3)])
            rows.append(
                (
                    name(chance),
                    LeftFigure(None, Amount(low, low, high), high, None if high is None else limit - high),
                )
            )
        drawing = under_limit(
            replace(parted, limit=replace(parted.limit, kg=limit)),
            rows,
            first=chance.choice(["kg", "lb"]),
        )
        if drawing is None:
            assert all(rest.asked_kg is None for _, rest in rows)
            continue
        held(str(drawing), ["limit", *(words for words, _ in rows)], seed)
