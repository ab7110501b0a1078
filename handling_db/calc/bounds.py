"""What every figure together allows each node to weigh: one sweep up the sums and one down.

Where nothing goes into more than one place the bounds are exact, the same as linear programming gives;
where something does they are outer bounds, never too narrow. All arithmetic rounds outward. Where figures
contradict one another the bounds take in all of them and the contradiction is named; nothing is averaged
and nobody's figure is dropped.

A range that a node gets only from a whole around it is *inferred*. It is shown, and never becomes a figure:
the sweep reads recorded figures only, so it cannot come back to check the whole it came from.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.calc.network import Network, Reading, by_node

Span = tuple[float, float]
ANYTHING: Span = (0.0, math.inf)
MOST_ROUNDS = 5  # on shared graphs: each can narrow bounds further, none can make them wrong


@dataclass(frozen=True, slots=True)
class Bound:
    """What one node can weigh.

    Parameters
    ----------
    low, high : float
        Everything together; `high` is infinite where there is no upper limit. [kg]
    own : (float, float) or None
        What the figures read for the node itself allow; None where there is none. [kg]
    parts : (float, float) or None
        What its parts allow, before anything above is looked at; None for a leaf. [kg]
    around : (float, float) or None
        What a whole around it leaves for it; None where none does. [kg]
    inferred : bool
        Nothing below and nothing of its own gives an upper limit: the range is inferred from a whole.
    contradicts : tuple of str
        What cannot all be true here; empty where nothing contradicts.
    """

    low: float
    high: float
    own: Span | None
    parts: Span | None
    around: Span | None
    inferred: bool
    contradicts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Bounds:
    """The bounds of every node.

    Parameters
    ----------
    nodes : tuple of Bound
        In the numbering of the network.
    exact : bool
        The narrowest possible; otherwise outer bounds.
    """

    nodes: tuple[Bound, ...]
    exact: bool


def bounds(network: Network, readings: Sequence[Reading]) -> Bounds:
    """The bounds of every node from all readings at once.

    Parameters
    ----------
    network : Network
    readings : sequence of Reading
        Their worst-case limits are used.
    """
    lines = [[(child, float(q), down(q), up(q)) for child, q in below] for below in network.lines]
    own, contradicts = _own(network, readings)
    sums: list[Span | None] = [None] * len(lines)
    now: list[Span] = [span or ANYTHING for span in own]
    for node in network.order:
        if lines[node]:
            total = _sum(lines[node], now)
            sums[node] = total
            now[node] = _meet(total, own[node], "the sum of its parts", "its own figure", contradicts[node])
    around: list[Span | None] = [None] * len(lines)
    kept = [bool(told) for told in contradicts]
    rounds = 1 if network.is_forest else MOST_ROUNDS
    for _ in range(rounds):
        before = list(now)
        _sweep_down(network, lines, now, around, contradicts, kept)
        if rounds == 1 or now == before:
            break
        for node in network.order:
            if lines[node] and not kept[node]:
                now[node] = _meet(now[node], _sum(lines[node], now), "", "", [])
    return Bounds(
        tuple(
            Bound(
                *now[node],
                own[node],
                sums[node],
                around[node],
                _endless(own[node]) and _endless(sums[node]) and math.isfinite(now[node][1]),
                tuple(contradicts[node]),
            )
            for node in range(len(lines))
        ),
        network.is_forest and not any(kept),
    )


def _endless(span: Span | None) -> bool:
    return span is None or math.isinf(span[1])


def _own(network: Network, readings: Sequence[Reading]) -> tuple[list[Span | None], list[list[str]]]:
    """What the readings of each node allow together; all of it where they contradict one another."""
    own: list[Span | None] = [None] * len(network.lines)
    contradicts: list[list[str]] = [[] for _ in network.lines]
    for node, places in enumerate(by_node(readings, len(network.lines))):
        if not places:
            continue
        spans = [(down(readings[p].low), up(readings[p].high)) for p in places]
        low, high = max(s[0] for s in spans), min(s[1] for s in spans)
        if low > high:
            low, high = min(s[0] for s in spans), max(s[1] for s in spans)
            names = sorted(readings[p].id for p in places)
            contradicts[node].append(f"figures of {network.names[node]}: {', '.join(names)}")
        own[node] = (max(low, 0.0), high)
    return own, contradicts


_Lines = Sequence[tuple[int, float, float, float]]


def _sweep_down(
    network: Network,
    lines: Sequence[_Lines],
    now: list[Span],
    around: list[Span | None],
    contradicts: list[list[str]],
    kept: list[bool],
) -> None:
    """Give each child what its parent leaves once the other children are taken off.

    A node whose own figures contradict its parts tells its children nothing: one of the two is wrong.
    """
    for parent in reversed(network.order):
        if not lines[parent] or contradicts[parent]:
            continue
        low_sum, high_sum, endless = 0.0, 0.0, 0
        terms = []
        for child, _, q_down, q_up in lines[parent]:
            term = (_low(now[child][0] * q_down), _high(now[child][1] * q_up))
            terms.append(term)
            low_sum = _low(low_sum + term[0])
            if math.isinf(term[1]):
                endless += 1
            else:
                high_sum = _high(high_sum + term[1])
        whole = now[parent]
        for (child, _, q_down, q_up), term in zip(lines[parent], terms, strict=True):
            # the sum is rounded one way and what comes off it the other: what is left stays outward
            others_low = _low(low_sum - _high(now[child][0] * q_up))
            others_endless = endless - math.isinf(term[1])
            others_high = math.inf if others_endless else high_sum
            if not others_endless and not math.isinf(term[1]):
                others_high = _high(high_sum - _low(now[child][1] * q_down))
            left = (
                _low(max(0.0, _low(whole[0] - others_high)) / q_up),
                _high(_high(whole[1] - others_low) / q_down),
            )
            if math.isfinite(left[1]) or left[0] > 0:
                around[child] = _narrower(around[child], left)
            if kept[child] or (around[child] is None):
                continue
            now[child] = _meet(
                now[child], left, "what is known of it", "what the whole around it leaves", contradicts[child]
            )
            kept[child] = bool(contradicts[child])


def _narrower(one: Span | None, other: Span) -> Span:
    return other if one is None else (max(one[0], other[0]), min(one[1], other[1]))


def _sum(lines: _Lines, spans: Sequence[Span]) -> Span:
    low = high = 0.0
    for child, _, q_down, q_up in lines:
        low = _low(low + _low(spans[child][0] * q_down))
        high = _high(high + _high(spans[child][1] * q_up))
    return max(low, 0.0), high


def _meet(one: Span, other: Span | None, one_name: str, other_name: str, contradicts: list[str]) -> Span:
    """What both allow; where that is nothing, all that either allows, and the contradiction is written."""
    if other is None:
        return one
    low, high = max(one[0], other[0]), min(one[1], other[1])
    if low <= high:
        return low, high
    if one_name:
        contradicts.append(
            f"{one_name} ({one[0]:.6g} to {one[1]:.6g} kg) and {other_name} "
            f"({other[0]:.6g} to {other[1]:.6g} kg)"
        )
        return min(one[0], other[0]), max(one[1], other[1])
    return one


def inferred_nodes(found: Bounds) -> Iterable[int]:
    """The nodes whose range comes only from a whole around them."""
    return (node for node, bound in enumerate(found.nodes) if bound.inferred)


def down(value: Fraction | float) -> float:
    """The largest float not above an exact value."""
    near = float(value)
    return near if near <= value else math.nextafter(near, -math.inf)


def up(value: Fraction | float) -> float:
    """The smallest float not below an exact value."""
    near = float(value)
    return near if near >= value else math.nextafter(near, math.inf)


def _low(value: float) -> float:
    return math.nextafter(value, -math.inf) if value else 0.0


def _high(value: float) -> float:
    return math.nextafter(value, math.inf) if value else 0.0
