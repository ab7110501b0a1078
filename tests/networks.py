"""Random sums with true masses and figures read from them, for tests and studies of doubt."""

from __future__ import annotations

import random
from collections.abc import Iterable
from fractions import Fraction

from handling_db.balance.equations import Network, Reading, network
from handling_db.balance.together.allowed import Allowed
from handling_db.balance.together.body import BodyBuilder

QUANTITIES = (1, 1, 1, 2, 5)


def random_network(rnd: random.Random, nodes: int, *, shared: int = 0, fan: int = 3) -> Network:
    """A tree of so many nodes, and so many more lines that make it a shared graph."""
    lines: list[list[tuple[int, Fraction]]] = [[] for _ in range(nodes)]
    for node in range(1, nodes):
        parent = rnd.randrange(max(0, (node - 1) // fan - 2), (node - 1) // fan + 1)
        lines[parent].append((node, Fraction(rnd.choice(QUANTITIES))))
    inner = [node for node in range(nodes) if lines[node]]
    for _ in range(shared):
        parent = rnd.choice(inner)
        lines[parent].append((rnd.randrange(parent + 1, nodes), Fraction(rnd.choice(QUANTITIES))))
    return network([f"n{node}" for node in range(nodes)], lines)


def true_masses(rnd: random.Random, net: Network) -> list[Fraction]:
    """Masses that keep every sum."""
    found = [Fraction(0)] * len(net.lines)
    for node in net.order:
        if net.lines[node]:
            found[node] = sum((q * found[child] for child, q in net.lines[node]), Fraction(0))
        else:
            found[node] = Fraction(rnd.randrange(100, 50_000), 1000)
    return found


def figure(node: int, best: Fraction, half: Fraction, name: str = "", u: float | None = None) -> Reading:
    """A figure with a worst-case half-width, rectangular unless u is given."""
    variance = float(half) ** 2 / 3 if u is None else u * u
    return Reading(name or f"f{node}", node, best, max(best - half, Fraction(0)), best + half, variance)


def random_figures(
    rnd: random.Random, net: Network, true: list[Fraction], *, leaves: float = 0.9, wholes: float = 0.4
) -> list[Reading]:
    """Figures for a share of the leaves and of the wholes, each within its doubt of the truth."""
    found = []
    for node in net.order:
        if rnd.random() < (wholes if net.lines[node] else leaves):
            half = max(Fraction(1, 50), true[node] * Fraction(rnd.randrange(5, 40), 1000))
            off = half * Fraction(rnd.randrange(-1000, 1001), 1000)
            found.append(figure(node, true[node] + off, half))
    return found


def limits(net: Network, figures: Iterable[Reading]) -> Allowed:
    """What the figures allow by one body of evidence, its unknowns numbered as the nodes."""
    make = BodyBuilder()
    for _ in net.lines:
        make.unknown()
    for node in net.order:
        if net.lines[node]:
            make.whole(node, net.lines[node])
    for one in figures:
        make.member(one.id, ({one.node: Fraction(1)}, one.low, one.high))
    return Allowed(make.done())
