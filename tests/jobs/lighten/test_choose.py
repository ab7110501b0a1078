"""The fewest units that bring a sum under a limit, against every subset; and a figure that is no sum."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from handling_db.jobs.lighten.choose import MOST_TURNS, Removable, SetSearch, all_off


def choices(weights: list[float], **given: object) -> Removable:
    """Each item a unit of its own, unless `covers` says otherwise."""
    covers = given.pop("covers", tuple((i,) for i in range(len(weights))))
    count = len(covers)  # type: ignore[arg-type]
    plain = {
        "hook": (0.0,) * count,
        "rank": (0.0,) * count,
        "before": (frozenset(),) * len(weights),
    }
    return Removable(most=tuple(weights), covers=covers, **{**plain, **given})  # type: ignore[arg-type]


def found(given: Removable, weights: list[float], limit: float, wanted: int = 5):
    def rest(off: frozenset[int]) -> float:
        return math.fsum(w for i, w in enumerate(weights) if i not in off)

    return SetSearch(given, rest, lambda off: rest(off) <= limit, limit).fewest(wanted)


def test_the_fewest_and_of_those_the_least_on_the_hook() -> None:
    weights = [60.0, 50.0, 20.0, 15.0, 10.0]
    given = choices(weights, hook=(60.0, 50.0, 0.0, 0.0, 0.0))

    one = found(given, weights, 110.0)
    two = found(given, weights, 60.0)

    assert (one.fewest, one.options[0], one.proved) == (1, (1,), True)
    assert one.options == [(1,), (0,)]
    assert two.fewest == 2
    assert two.options == [(0, 1)]  # 155 less 110 is 45: the only pair


def test_what_is_behind_comes_after() -> None:
    weights = [40.0, 5.0, 30.0]
    given = choices(weights, before=(frozenset({1}), frozenset(), frozenset()))

    assert found(given, weights, 36.0).options == [(1, 0)]
    assert found(given, weights, 45.0).options[0] == (2,)


def test_a_joint_lets_go_only_after_its_ties() -> None:
    weights = [40.0, 8.0, 30.0]  # a side of 40 and a shaft of 8 that is part of it
    covers = ((0, 1), (1,), (2,))
    given = choices(
        weights, covers=covers, sides=((frozenset({0, 1}), frozenset({1})),), barred=frozenset({2})
    )

    assert found(given, weights, 31.0).options == [(1, 0)]
    freed = choices(weights, covers=covers, sides=given.sides, barred=frozenset({2}), freed=frozenset({0}))
    assert found(freed, weights, 31.0).options == [(0,)]


def test_nothing_serves_and_that_is_proved() -> None:
    weights = [40.0, 8.0]
    none = found(choices(weights), weights, 5.0)

    assert (none.fewest, none.proved, none.options) == (None, True, [])
    assert all_off(choices(weights)) == (0,)  # one of them always stays


def test_a_ring_of_what_is_behind_what_never_comes_off() -> None:
    weights = [40.0, 8.0, 1.0]
    ring = choices(weights, before=(frozenset({1}), frozenset({0}), frozenset()))

    assert found(ring, weights, 10.0).fewest is None
    assert all_off(ring) == (2,)


def test_what_has_no_limit_has_to_come_off() -> None:
    weights = [40.0, math.inf, 30.0]

    def rest(off: frozenset[int]) -> float:
        return math.inf if 1 not in off else math.fsum(w for i, w in enumerate(weights) if i not in off)

    one = SetSearch(choices(weights), rest, lambda off: rest(off) <= 75.0, 75.0).fewest(3)

    assert one.options == [(1,)]


def test_a_whole_that_was_weighed_leaves_no_sum() -> None:
    """Two parts of 0 to 100 kg in a whole of 100 kg, beside one of 10: either part off leaves up to 110."""

    def rest(off: frozenset[int]) -> float:
        return (0.0 if {0, 1} <= off else 100.0) + (0.0 if 2 in off else 10.0)

    both = SetSearch(choices([100.0, 100.0, 10.0]), rest, lambda off: rest(off) <= 50.0, 50.0).fewest(3)

    assert (both.fewest, both.proved, both.options) == (2, True, [(0, 1)])
    assert both.complete


@pytest.mark.slow
def test_a_search_cut_short_says_so() -> None:
    """A figure that the lower one never shows: every set has to be tried, and there are too many."""
    weights = [1.0] * 12

    cut = SetSearch(choices(weights), lambda off: 0.0, lambda off: len(off) == 6, 0.0).fewest(1)

    assert math.comb(12, 2) > MOST_TURNS
    assert (cut.fewest, cut.proved) == (None, False)


@pytest.mark.parametrize("seed", range(12))
def test_every_subset_of_a_random_case(seed: int) -> None:
    rng = np.random.default_rng(seed)
    size = int(rng.integers(3, 8))
    weights = [float(round(w, 3)) for w in rng.uniform(1, 100, size)]
    before = tuple(frozenset(int(j) for j in range(i) if rng.random() < 0.2) for i in range(size))
    hook = tuple(w if w > 25 else 0.0 for w in weights)
    limit = float(rng.uniform(0.1, 0.95)) * sum(weights)
    given = choices(weights, before=before, hook=hook)

    closed = [
        set(one)
        for count in range(1, size)
        for one in itertools.combinations(range(size), count)
        if all(before[i] <= set(one) for i in one)
    ]
    serving = [one for one in closed if sum(weights) - sum(weights[i] for i in one) <= limit]
    best = found(given, weights, limit, wanted=1)

    assert best.proved
    if not serving:
        assert best.fewest is None
        return
    fewest = min(map(len, serving))
    least = min(sum(hook[i] for i in one) for one in serving if len(one) == fewest)
    assert best.fewest == fewest
    assert sum(hook[i] for i in best.options[0]) == pytest.approx(least)
    off: set[int] = set()
    for unit in best.options[0]:
        assert before[unit] <= off
        off.add(unit)


def in_some_order(given: Removable, units: tuple[int, ...]) -> bool:
    """Whether any order of some acts keeps every rule: tried one after the other, all of them."""
    for order in itertools.permutations(units):
        off: set[int] = set()
        for unit in order:
            own = set(given.covers[unit])
            ready = all(given.before[item] <= off | own for item in own - off)
            for side, ties in given.sides:
                last = side <= off | own and not side <= off
                ready = ready and (unit in given.freed or ties <= off or not last)
            if not ready:
                break
            off |= own
        else:
            return True
    return False


@pytest.mark.parametrize("seed", range(30))
def test_every_order_of_random_acts_with_sides_ties_and_lifts(seed: int) -> None:
    """Assemblies over pieces, joints whose ties are pieces, and recorded lifts, which may take a side whole."""
    rng = np.random.default_rng(seed)
    size = int(rng.integers(3, 7))
    weights = [float(round(w, 3)) for w in rng.uniform(1, 100, size)]
    before = tuple(
        frozenset(int(j) for j in range(size) if j != i and rng.random() < 0.15) for i in range(size)
    )
    several = [
        tuple(sorted(int(i) for i in rng.choice(size, int(rng.integers(2, size)), replace=False)))
        for _ in range(int(rng.integers(1, 4)))
    ]
    covers = (*((i,) for i in range(size)), *several)
    sides = tuple(
        (frozenset(one), frozenset({int(rng.integers(0, size))})) for one in several if rng.random() < 0.7
    )
    freed = frozenset(u for u in range(size, len(covers)) if rng.random() < 0.3)
    barred = frozenset(u for u in range(size) if rng.random() < 0.2)
    given = choices(weights, covers=covers, before=before, sides=sides, freed=freed, barred=barred)
    limit = float(rng.uniform(0.05, 0.9)) * sum(weights)

    best = found(given, weights, limit, wanted=1)

    may = [unit for unit in range(len(covers)) if unit not in barred]
    for count in range(1, 5):
        serving = [
            one
            for one in itertools.combinations(may, count)
            if len(given.off(one)) < size
            and sum(weights) - sum(weights[i] for i in given.off(one)) <= limit
            and in_some_order(given, one)
        ]
        if serving:
            assert best.proved
            assert best.fewest == count
            assert frozenset(best.options[0]) in set(map(frozenset, serving))
            return
    assert best.proved
    assert best.fewest is None or best.fewest > 4
