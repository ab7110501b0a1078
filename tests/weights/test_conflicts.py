"""Of many conflicts a few are told, and what they have in common; of few all, as they come."""

from __future__ import annotations

import random

from handling_db.lookup.words import conflict_words
from handling_db.weights.conflicts import COMMON, CONFLICTS, FIGURES, few_of


def test_few_are_told_whole_and_in_their_order() -> None:
    conflicts = [("c", "a"), ("b",), ("d", "e", "f")]
    few = few_of(conflicts)

    assert (few.shown, few.left_out, few.more, few.common) == (tuple(conflicts), (0, 0, 0), 0, ())
    assert conflict_words([]) == []
    assert conflict_words([("Case: 40 kg", "Case: 60 kg")]) == [
        "these cannot all be true: Case: 40 kg; Case: 60 kg"
    ]


def test_the_figure_that_all_are_about_is_named_first() -> None:
    around = [f"piece {n}: {n} kg" for n in range(40)]
    conflicts = [(*around[:20], *around[20 + n :], "shaft: 60 kg") for n in range(12)]
    few = few_of(conflicts)

    assert few.more == 11  # long ones look alike, so that one of them tells enough
    assert set(few.common) == set.intersection(*map(set, conflicts))
    assert all(set(shown) <= set(few.common) for shown in few.shown)  # enough of these to fill a line
    *_, last = conflict_words(conflicts)
    assert last.startswith(
        "and 11 more sets of figures that cannot all be true; in every one stand piece 0: 0 kg"
    )
    assert last.endswith(f"{len(few.common) - COMMON} figures more")


def test_of_short_ones_a_few_are_told_with_what_all_are_about() -> None:
    conflicts = [("shaft: 60 kg", f"piece {n}: {n} kg") for n in range(9)]

    assert conflict_words(conflicts) == [
        *(f"these cannot all be true: shaft: 60 kg; piece {n}: {n} kg" for n in range(CONFLICTS)),
        "and 6 more sets of figures that cannot all be true; in every one stand shaft: 60 kg",
    ]


def test_no_figure_is_lost_in_the_count() -> None:
    chance = random.Random(4)
    for _ in range(200):
        figures = [f"f{n}" for n in range(20)]
        conflicts = [
            tuple(chance.sample(figures, chance.randint(2, 18))) for _ in range(chance.randint(1, 9))
        ]
        few = few_of(conflicts)

        assert len(few.shown) + few.more == len(conflicts)
        for shown, left_out in zip(few.shown, few.left_out, strict=True):
            wholes = [
                one for one in conflicts if set(shown) <= set(one) and len(one) == len(shown) + left_out
            ]
            assert wholes
            assert len(shown) == min(len(wholes[0]), FIGURES)
        if few.more:
            assert max(len(s) + n for s, n in zip(few.shown, few.left_out, strict=True)) <= max(
                map(len, conflicts)
            )
            assert set(few.common) == set.intersection(*map(set, conflicts))
