"""What a body allows: against an independent program on random bodies, and against trying all subsets."""

from __future__ import annotations

import itertools
import random
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import linprog

from handling_db.balance.together.allowed import Allowed, widened
from handling_db.balance.together.body import BodyBuilder
from handling_db.balance.together.consistent import consistent_sets, possible

F = Fraction


def random_body(rnd, *, wrong=0):
    """A tree with a charge of oil in two states, figures of leaves and wholes, and so many figures off."""
    make = BodyBuilder()
    leaves = [make.unknown() for _ in range(rnd.randrange(3, 7))]
    drained, filled = make.unknown(F(1), F(3)), make.unknown(F(15), F(20))
    if rnd.random() < 0.5:
        make.tie({drained: F(1), filled: F(-1, 8)}, None, F(0))
    nodes, truth = list(leaves), {leaf: F(rnd.randrange(0, 400), 10) for leaf in leaves}
    truth[drained] = F(rnd.randrange(10, 19), 10)
    truth[filled] = F(rnd.randrange(152, 200), 10)
    wholes = []
    while len(nodes) > 1:
        many = min(len(nodes), rnd.randrange(2, 4))
        parts = [(nodes.pop(rnd.randrange(len(nodes))), F(rnd.choice([1, 1, 2]))) for _ in range(many)]
        whole = make.unknown()
        make.whole(whole, parts)
        truth[whole] = sum((truth[part] * q for part, q in parts), start=F(0))
        wholes.append(whole)
        nodes.append(whole)
    said = []
    for leaf in leaves:
        said += [({leaf: F(1)},)] * rnd.choice([0, 1, 1, 2])
    for whole in wholes:
        if rnd.random() < 0.6:
            said.append(({whole: F(1)},))
        if rnd.random() < 0.5:
            said.append(({whole: F(1), rnd.choice([drained, filled]): F(1)},))
    off = set(rnd.sample(range(len(said)), min(wrong, len(said))))
    for place, (counts,) in enumerate(said):
        true = sum((truth[u] * c for u, c in counts.items()), start=F(0))
        half = F(rnd.randrange(1, 20), 10)
        best = true + half * F(rnd.randrange(-100, 101), 100)
        if place in off:
            best = true + rnd.choice([-1, 1]) * F(rnd.randrange(30, 300), 10)
        make.member(f"f{place}", (counts, best - half, best + half))
    return make.done(), truth


def by_program(body, active, terms):
    """The two ends of a sum, by a program written here; None where it has none or nothing fits."""
    n = len(body.domains)
    a_eq, b_eq, a_ub, b_ub = [], [], [], []
    for row in body.rows(active):
        line = np.zeros(n)
        for unknown, count in row.terms:
            line[unknown] = float(count)
        if row.low is not None and row.low == row.high:
            a_eq.append(line)
            b_eq.append(float(row.low))
            continue
        if row.high is not None:
            a_ub.append(line)
            b_ub.append(float(row.high))
        if row.low is not None:
            a_ub.append(-line)
            b_ub.append(-float(row.low))
    cost = np.zeros(n)
    for unknown, count in terms:
        cost[unknown] = float(count)
    box = [(None if a is None else float(a), None if b is None else float(b)) for a, b in body.domains]
    ends = []
    for sign in (1, -1):
        got = linprog(
            sign * cost,
            A_ub=a_ub or None,
            b_ub=b_ub or None,
            A_eq=a_eq or None,
            b_eq=b_eq or None,
            bounds=box,
        )
        if got.status == 2:
            return "nothing fits"
        ends.append(sign * got.fun if got.status == 0 else None)
    return ends


def close(mine, other):
    return (mine is None) == (other is None) and (
        mine is None or float(mine) == pytest.approx(other, abs=2e-6)
    )


@pytest.mark.parametrize("seed", range(8))
def test_limits_are_those_of_an_independent_program(seed):
    rnd = random.Random(seed)
    body, truth = random_body(rnd)
    found = Allowed(body)
    assert found.conflicts == ()
    questions = [((unknown, F(1)),) for unknown in range(len(body.domains))]
    last = len(body.domains) - 1
    questions += [((unknown, F(1)), (last, F(1))) for unknown in range(0, last, 3)]
    for terms in questions:
        low, high = by_program(body, None, terms)
        least, most = found.least(terms), found.most(terms)
        assert close(least, low), terms
        assert close(most, high), terms
        true = sum(truth[unknown] * count for unknown, count in terms)
        assert least is None or least <= true
        assert most is None or true <= most


@pytest.mark.parametrize("seed", range(6))
def test_consistent_sets_are_those_found_by_trying_all_subsets(seed):
    rnd = random.Random(1000 + seed)
    body, _ = random_body(rnd, wrong=rnd.choice([1, 2]))
    if len(body.members) > 9:
        pytest.skip("too many subsets to try")
    all_of = frozenset(range(len(body.members)))
    fits = [
        frozenset(kept)
        for many in range(len(all_of) + 1)
        for kept in itertools.combinations(sorted(all_of), many)
        if by_program(body, kept, ()) != "nothing fits"
    ]
    largest = {kept for kept in fits if not any(kept < other for other in fits)}

    found = consistent_sets(body)

    assert {all_of - gone for gone in found.removed} == largest
    wide = widened(body)
    assert possible(wide.domains, wide.rows())


def test_many_disputes_about_single_pieces_are_set_aside():
    make = BodyBuilder()
    parts = [make.unknown() for _ in range(8)]
    whole = make.unknown()
    make.whole(whole, [(part, F(1)) for part in parts])
    for part in parts:
        make.member(f"light {part}", ({part: F(1)}, F(9), F(10)))
        make.member(f"heavy {part}", ({part: F(1)}, F(11), F(12)))
    found = Allowed(make.done())

    assert found.all_looked_at(((whole, F(1)),))
    assert (found.least(((whole, F(1)),)), found.most(((whole, F(1)),))) == (72, 96)
    assert len(found.conflicts) == 8


def test_disputes_that_a_whole_decides_are_looked_at_in_every_combination():
    """A whole that fits the light figures only: it stands against each heavy one."""
    make = BodyBuilder()
    parts = [make.unknown() for _ in range(4)]
    whole = make.unknown()
    make.whole(whole, [(part, F(1)) for part in parts])
    for part in parts:
        make.member(f"light {part}", ({part: F(1)}, F(9), F(10)))
        make.member(f"heavy {part}", ({part: F(1)}, F(11), F(12)))
    make.member("whole", ({whole: F(1)}, F(36), F(40)))
    found = Allowed(make.done())

    assert all(piece.settled.set_aside == () for piece in found.pieces.values())
    assert found.most(((whole, F(1)),)) == 48
