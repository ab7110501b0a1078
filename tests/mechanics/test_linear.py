"""A question to the solver ends the same way whatever was asked before, and in whatever thread."""

from __future__ import annotations

import random
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

from handling_db.mechanics.linear import LinearProgram, LinearRow, Solved

Question = Callable[[], Solved]


def _question(chance: random.Random) -> Question:
    columns = chance.randint(2, 8)
    spans = [(0.0, chance.choice([10.0, 50.0, float("inf")])) for _ in range(columns)]
    rows: list[LinearRow] = []
    for _ in range(chance.randint(1, 8)):
        some = chance.sample(range(columns), chance.randint(1, columns))
        low = chance.uniform(0, 25)
        rows.append(({u: float(chance.randint(1, 4)) for u in some}, low, low + chance.uniform(0, 60)))
    whole = range(columns) if chance.random() < 0.3 else ()
    options = {"time_limit": 60.0, "mip_rel_gap": 0.5} if whole else {}
    program = LinearProgram(spans, rows, whole)
    cost = {u: chance.uniform(-3, 3) for u in range(columns)}
    return lambda: program.least(cost, **options)


def test_a_question_ends_the_same_way_whatever_was_asked_before() -> None:
    chance = random.Random(20261130)
    questions = [_question(chance) for _ in range(150)]
    alone = []
    for question in questions:  # each in a thread that asked nothing before
        with ThreadPoolExecutor(1) as fresh:
            alone.append(repr(fresh.submit(question).result()))

    one_after_another = [repr(question()) for question in questions]
    shuffled = chance.sample(range(len(questions)), len(questions))
    with ThreadPoolExecutor(4) as several:
        mixed = dict(zip(shuffled, several.map(lambda n: repr(questions[n]()), shuffled), strict=True))

    assert one_after_another == alone
    assert [mixed[n] for n in range(len(questions))] == alone
    assert sum("optimal=True" in one for one in alone) > 50
    assert sum("infeasible=True" in one for one in alone) > 20
