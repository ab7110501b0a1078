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
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.balance.equations import Network, Reading, by_node

Span = tuple[float, float]
ANYTHING: Span = (0.0, math.inf)
_EPS = sys.float_info.epsilon
_LESS, _MORE = 1 - 4 * _EPS, 1 + 4 * _EPS
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
    lines = [[(child, _float(q)) for child, q in below] for below in network.lines]
    own, contradicts = _own(network, readings)
    sums: list[Span | None] = [None] * len(lines)
    now: list[Span] = [span or ANYTHING for span in own]
    for node in network.order:
        if lines[node]:
            total = _sum(lines[node], now)
            sums[node] = total
            now[node] = _meet(total, own[node], "the sum of its parts", "its own figure", contradicts[node])
    around: list[Span | None] = [None] * len(lines)
    rounds = 1 if network.is_forest else MOST_ROUNDS
    for _ in range(rounds):
        before = list(now)
        _sweep_down(network, lines, now, around, contradicts)
        if rounds == 1 or now == before:
            break
        for node in network.order:
            if lines[node] and not contradicts[node]:
                now[node] = _meet(now[node], _sum(lines[node], now), "", "", [])
    return Bounds(
        tuple(
            Bound(
                *now[node],
                own[node],
                sums[node],
                around[node],
                _endless(own[node]) and _endless(sums[node]) and not _endless(now[node]),
                tuple(contradicts[node]),
            )
            for node in range(len(lines))
        ),
        network.is_forest and not any(contradicts),
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


_Lines = Sequence[tuple[int, float]]


def _sweep_down(
    network: Network,
    lines: Sequence[_Lines],
    now: list[Span],
    around: list[Span | None],
    contradicts: list[list[str]],
) -> None:
    """Give each child what its parent leaves once the other children are taken off.

    A node where figures contradict one another tells its children nothing, and takes nothing from above:
    one of them is wrong.
    """
    for parent in reversed(network.order):
        if not lines[parent] or contradicts[parent]:
            continue
        here = lines[parent]
        whole_low, whole_high = now[parent]
        lows = [q * now[child][0] for child, q in here]
        highs = [q * now[child][1] for child, q in here]
        endless = highs.count(math.inf)
        if endless > 1 and whole_high == math.inf:
            continue
        low_sum = math.fsum(lows)
        high_sum = math.fsum(highs) if not endless else math.fsum(h for h in highs if h < math.inf)
        least, most = 8 * _EPS * (whole_low + high_sum), 8 * _EPS * (whole_high + low_sum)
        for place, (child, q) in enumerate(here):
            high = highs[place]
            others = high_sum if high == math.inf else high_sum - high
            reach = endless - (high == math.inf)
            left_low = 0.0 if reach else (whole_low - others - least) / q * _LESS
            left = max(left_low, 0.0), (whole_high - (low_sum - lows[place]) + most) / q * _MORE
            if left[0] == 0.0 and left[1] == math.inf:
                continue
            around[child] = _narrower(around[child], left)
            if not contradicts[child]:
                now[child] = _meet(
                    now[child],
                    left,
                    "what is known of it",
                    "what the whole around leaves",
                    contradicts[child],
                )


def _narrower(one: Span | None, other: Span) -> Span:
    return other if one is None else (max(one[0], other[0]), min(one[1], other[1]))


def _sum(lines: _Lines, spans: Sequence[Span]) -> Span:
    """The limits of a sum; each product and the exact sum are rounded once, so four steps cover it."""
    return (
        math.fsum([q * spans[child][0] for child, q in lines]) * _LESS,
        math.fsum([q * spans[child][1] for child, q in lines]) * _MORE,
    )


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


def down(value: Fraction) -> float:
    """The largest float not above an exact value."""
    over, under = value.as_integer_ratio()
    near = over / under
    number, of = near.as_integer_ratio()
    return near if number * under <= over * of else math.nextafter(near, -math.inf)


def up(value: Fraction) -> float:
    """The smallest float not below an exact value."""
    over, under = value.as_integer_ratio()
    near = over / under
    number, of = near.as_integer_ratio()
    return near if number * under >= over * of else math.nextafter(near, math.inf)


def _float(value: Fraction) -> float:
    return float(value.numerator) if value.denominator == 1 else float(value)
