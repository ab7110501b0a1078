"""A move as lines: every figure of every side stands there, and what holds for all sides only once."""

from __future__ import annotations

from collections import Counter

import pytest

from handling_db.moving import words
from handling_db.moving.answer import move_answer
from handling_db.moving.question import MoveQuestion
from handling_db.moving.text import move_text
from handling_db.records.collection import Collection


@pytest.mark.parametrize(
    "group", ["upper-half-lift", "lower-half", "whole-unit-lift", "turn-onto-front-face"]
)
def test_nothing_of_a_truck_is_lost_and_nothing_repeated(demo: Collection, group: str) -> None:
    answer = move_answer(demo, MoveQuestion(what=group))
    text = move_text(answer)
    block = text.split("\nForks\n")[1].split("\nStanding\n")[0].splitlines()

    for truck in answer.trucks:
        titled = [
            line
            for line in block
            if line.startswith(f"  {truck.name}:") and words.side_words(truck.side, answer.centre) in line
        ]
        assert len(titled) == 1 or not truck.side
        for line in (*words.truck_lines(truck), *words.told(truck.says)):
            assert f"    {words.joined([line], 'kg')}" in block
    cautions = [line for line in block if "No data-plate row" in line or "Sanity figures" in line]
    trucks = Counter((truck.id, truck.attachment) for truck in answer.trucks)
    assert max(Counter(cautions).values(), default=0) <= len(trucks)
