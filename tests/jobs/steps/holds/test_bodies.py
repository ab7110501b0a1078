"""Which pieces form one body, and what carries it: random graphs against networkx."""

from __future__ import annotations

import random

import networkx as nx
import pytest

from handling_db.jobs.steps.holds.bodies import Bond, bodies, carried, certain_of, clusters, permanent_of
from handling_db.jobs.steps.holds.holding import Hold

UP = (0.0, 0.0, 1.0)
WAYS = [(0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (1.0, 0.0, 0.0), None]


def up(_piece):
    return UP


def random_bonds(rnd, count):
    """Bonds of every sort between random pieces."""
    found = []
    for _ in range(rnd.randrange(0, 2 * count)):
        one, two = rnd.sample(range(count), 2)
        hold = rnd.choice([Hold.FAST, Hold.FAST, Hold.FIT, Hold.STICKS])
        found.append(
            Bond(
                one,
                two,
                hold,
                rnd.choice(WAYS) if hold is Hold.FIT else None,
                both_ways=hold is Hold.FIT and rnd.random() < 0.2,
                sure=rnd.random() < 0.7,
                temporary=rnd.random() < 0.2,
            )
        )
    return found


def hands_on(bond, far):
    """Whether a bond carries its far piece, said again by hand: up is z, and weight goes the other way."""
    if bond.hold is not Hold.FIT or bond.both_ways:
        return True
    if bond.lets_go is None:
        return None  # nobody knows
    leaves = bond.lets_go[2] if far == bond.second else -bond.lets_go[2]  # how far up it goes to come free
    return leaves >= 0.0


def reached(count, bonds, supported, *, hopeful):
    """What hangs from the supported pieces, by networkx along directed edges."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(count))
    for bond in bonds:
        for near, far in ((bond.first, bond.second), (bond.second, bond.first)):
            holds = hands_on(bond, far)
            if holds or (holds is None and hopeful):
                graph.add_edge(near, far)
    found = set(supported)
    for piece in supported:
        found |= nx.descendants(graph, piece)
    return found


@pytest.mark.parametrize("seed", range(60))
def test_bodies_and_what_carries_them_are_what_networkx_finds(seed):
    rnd = random.Random(seed)
    count = rnd.randrange(2, 14)
    bonds = random_bonds(rnd, count)
    supported = rnd.sample(range(count), rnd.randrange(0, 3))

    for some in (bonds, certain_of(bonds), permanent_of(bonds)):
        for hopeful in (False, True):
            assert carried(range(count), some, supported, up, hopeful=hopeful) == reached(
                count, some, supported, hopeful=hopeful
            )
    held = reached(count, bonds, supported, hopeful=True)
    graph = nx.Graph()
    graph.add_nodes_from(range(count))
    for bond in bonds:
        if bond.hold is not Hold.FIT or bond.both_ways or {bond.first, bond.second} <= held:
            graph.add_edge(bond.first, bond.second)
    assert set(bodies(range(count), bonds, supported, up)) == {
        frozenset(part) for part in nx.connected_components(graph)
    }
    tops = clusters(range(count), bonds)
    whole = nx.Graph([(b.first, b.second) for b in bonds])
    whole.add_nodes_from(range(count))
    for part in nx.connected_components(whole):
        assert {tops[piece] for piece in part} == {min(part)}


def test_a_fit_holds_one_way_up_and_not_the_other():
    lid = Bond(0, 1, Hold.FIT, lets_go=(0.0, 0.0, 1.0))  # the lid leaves upward

    assert carried({0, 1}, [lid], {0}, up) == {0, 1}  # it rests on the box
    assert carried({0, 1}, [lid], {1}, up) == {1}  # held by the lid, the box falls off
    assert carried({0, 1}, [lid], {0}, lambda _: (0.0, 0.0, -1.0)) == {0}  # upside down the lid falls
    assert carried({0, 1}, [lid], {0}, lambda _: (1.0, 0.0, 0.0)) == {0, 1}  # on its side it sits in its fit
    assert carried({0, 1}, [lid], {0}, lambda _: (1.0, 0.0, 0.0), pressed_only=True) == {0}


def test_a_fit_nobody_knows_the_way_of_holds_only_in_hope():
    fit = Bond(0, 1, Hold.FIT)

    assert carried({0, 1}, [fit], {0}, up) == {0}
    assert carried({0, 1}, [fit], {0}, up, hopeful=True) == {0, 1}
    assert carried({0, 1}, [Bond(0, 1, Hold.FIT, both_ways=True)], {1}, up) == {0, 1}  # a press fit
