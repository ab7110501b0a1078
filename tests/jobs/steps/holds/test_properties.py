"""Whatever the stack: on and off again is the same state, the order of independent steps does not matter."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.jobs.steps.holds.chain import held_by_nothing, links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.unit import Unit
from tests.oracles.stacks_apart import Stack, records_of, steps_of


def chain(stack, steps):
    records, plan = records_of(stack, steps)
    unit = Unit(records, plan)
    return unit, list(links(records, plan, unit, UnitPlaces(unit)))


def off(part):
    return {"do": "take off", "what": "off", "by": "hands", "ties": [{"joint": f"j{part}", "tie": "b"}],
            "pieces": [[f"p{part}"]]}  # fmt: skip


def on(part):
    return {**off(part), "do": "put on", "what": "on"}


def leaf_parts(stack):
    return [i for i in range(1, len(stack.on)) if not stack.children(i, set(range(len(stack.on))))]


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_taking_off_and_putting_back_gives_the_same_state(seed):
    stack = Stack(np.random.default_rng(seed))
    for part in leaf_parts(stack):
        _, found = chain(stack, [off(part), on(part)])
        assert [n.kind for link in found for n in link.events.findings] == []
        assert found[-1].after == found[0].after
        assert found[1].after != found[0].after


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), order=st.randoms(use_true_random=False))
def test_the_end_does_not_depend_on_the_order_of_independent_steps(seed, order):
    stack = Stack(np.random.default_rng(seed))
    parts = leaf_parts(stack)
    other = list(parts)
    order.shuffle(other)
    if not parts:
        return
    _, one = chain(stack, [off(part) for part in parts])
    _, two = chain(stack, [off(part) for part in other])

    assert one[-1].after == two[-1].after


@settings(max_examples=16, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_without_a_finding_every_piece_is_carried_at_every_step(seed):
    rng = np.random.default_rng(seed)
    stack = Stack(rng)
    steps, _, _ = steps_of(stack, rng)
    if not steps:
        return
    unit, found = chain(stack, steps)
    for link in found:
        carried = not held_by_nothing(unit, link.after)
        fell = {n.kind for earlier in found[: link.number + 1] for n in earlier.events.findings}
        assert carried == ("held by nothing" not in fell)


@pytest.mark.parametrize("seed", range(5))
def test_what_is_left_out_of_a_chain_stays_on(seed):
    stack = Stack(np.random.default_rng(seed))
    unit, found = chain(stack, [{"do": "look", "what": "Look"}])

    assert found[-1].after == found[0].after
    assert found[-1].after.bodies(unit)[0] >= unit.leaves
