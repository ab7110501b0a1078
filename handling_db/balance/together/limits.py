"""Limits of every unknown by sweeps: exact fractions, never too narrow, exact where nothing is shared.

Each row tightens each of its unknowns by what the others leave (bounds propagation). Where the graph of
unknowns and rows has no circle, passes forward and back give exactly what linear programming gives;
elsewhere they give outer bounds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from operator import floordiv, truediv
from typing import Any

from handling_db.balance.together.body import GRID, Limit, Span, SumLimits, grid_ceil, grid_floor, head

Divide = Callable[[Any, Any], Any]
MOST_PASSES = 12  # on circles each pass may narrow a little more; stopping early is never wrong


@dataclass(frozen=True, slots=True)
class Swept:
    """What the sweeps came to.

    Parameters
    ----------
    spans : list of Span
        By unknown; not to be used where `broken` is given.
    broken : int or None
        The place of a row that nothing can fulfil: some members contradict one another.
    narrowed_by : list of list of int
        By unknown, the places of the rows that narrowed it.
    """

    spans: list[Span]
    broken: int | None
    narrowed_by: list[list[int]]

    def led_to(self, rows: Sequence[SumLimits]) -> list[int]:
        """The places of all rows that had a part in the contradiction, the broken one too; in order."""
        reached = set() if self.broken is None else {self.broken}
        waiting = list(reached)
        seen: set[int] = set()
        while waiting:
            for unknown, _ in rows[waiting.pop()].terms:
                if unknown not in seen:
                    seen.add(unknown)
                    new = [place for place in self.narrowed_by[unknown] if place not in reached]
                    reached.update(new)
                    waiting += new
        return sorted(reached)


def sweep(domains: Sequence[Span], rows: Sequence[SumLimits]) -> Swept:
    """Narrow every unknown by every row until nothing changes.

    Parameters
    ----------
    domains : sequence of Span
        By unknown.
    rows : sequence of SumLimits
        Children before parents.
    """
    return _swept(list(domains), [(row.terms, row.low, row.high) for row in rows], truediv, truediv)


def sweep_in_grid(domains: Sequence[Span], rows: Sequence[SumLimits]) -> Swept:
    """The same in whole numbers: ten times as quick, limits outward by less than anybody can write.

    What it calls broken is; a contradiction of less than some of its steps it may not see.

    Parameters
    ----------
    domains, rows
        As in `sweep`.
    """
    spans = [(grid_floor(low), grid_ceil(high)) for low, high in domains]
    found = _swept(spans, [row.in_grid for row in rows], floordiv, ceildiv)
    back: list[Span] = [
        (None if low is None else Fraction(low, GRID), None if high is None else Fraction(high, GRID))
        for low, high in (spans if found.broken is None else ())
    ]
    return Swept(back, found.broken, found.narrowed_by)


def ceildiv(number: int, count: int) -> int:
    """The quotient of whole numbers, rounded up."""
    return -(-number // count)


def _swept(spans: list[Any], rows: Sequence[Any], down: Divide, up: Divide) -> Swept:
    by_unknown: list[list[int]] = [[] for _ in spans]
    for place, (terms, _, _) in enumerate(rows):
        for unknown, _ in terms:
            by_unknown[unknown].append(place)
    narrowed: list[list[int]] = [[] for _ in spans]
    waiting = bytearray(b"\x01" * len(rows))
    for passes in range(MOST_PASSES):
        busy = False
        order = range(len(rows)) if passes % 2 == 0 else range(len(rows) - 1, -1, -1)
        for place in order:
            if not waiting[place]:
                continue
            waiting[place] = 0
            changed = _tighten(rows[place], spans, down, up)
            if changed is None:
                return Swept(spans, place, narrowed)
            for unknown in changed:
                busy = True
                narrowed[unknown].append(place)
                for other in by_unknown[unknown]:
                    if other != place:
                        waiting[other] = 1
        if not busy:
            break
    return Swept(spans, None, narrowed)


def _tighten(row: Any, spans: list[Any], down: Divide, up: Divide) -> list[int] | None:
    """Narrow the unknowns of one row; which ones changed, or None where it cannot be fulfilled."""
    terms, lowest, highest = row
    least, most = 0, 0
    no_least = no_most = 0
    ends: list[tuple[Any, Any]] = []
    for unknown, count in terms:
        low, high = spans[unknown]
        if count < 0:
            low, high = high, low  # a negative share turns the interval over
        bottom = None if low is None else low * count
        top = None if high is None else high * count
        ends.append((bottom, top))
        if bottom is None:
            no_least += 1
        else:
            least += bottom
        if top is None:
            no_most += 1
        else:
            most += top
    if (highest is not None and not no_least and least > highest) or (
        lowest is not None and not no_most and most < lowest
    ):
        return None
    changed: list[int] = []
    for (unknown, count), (bottom, top) in zip(terms, ends, strict=True):
        room: list[Any] = [None, None]
        # Where the others leave it; a negative share turns low into high, so each is rounded its own way.
        if lowest is not None and no_most == (top is None):  # every other one has an upper end
            room[count < 0] = (down if count > 0 else up)(
                lowest - (most if top is None else most - top), count
            )
        if highest is not None and no_least == (bottom is None):
            left = highest - (least if bottom is None else least - bottom)
            room[count > 0] = (up if count > 0 else down)(left, count)
        low, high = spans[unknown]
        new_low, new_high = tighter(low, room[0], max), tighter(high, room[1], min)
        if new_low is not None and new_high is not None and new_low > new_high:
            return None
        if new_low != low or new_high != high:
            spans[unknown] = (new_low, new_high)
            changed.append(unknown)
    return changed


def tighter(one: Limit, other: Limit, best: object) -> Limit:
    """The stricter of two limits of one side: `max` of two lows, `min` of two highs."""
    if one is None:
        return other
    if other is None:
        return one
    return max(one, other) if best is max else min(one, other)


def wider(one: Limit, other: Limit, most: object) -> Limit:
    """The looser of two limits of one side: `min` of two lows, `max` of two highs."""
    if one is None or other is None:
        return None
    return min(one, other) if most is min else max(one, other)


def span_of(terms: Iterable[tuple[int, Fraction]], spans: Mapping[int, Span] | Sequence[Span]) -> Span:
    """Limits of a weighted sum from the limits of its unknowns, each taken for itself."""
    low: Limit = Fraction(0)
    high: Limit = Fraction(0)
    for unknown, count in terms:
        down, top = spans[unknown]
        if count != 1:  # most lines list one piece
            if count < 0:
                down, top = top, down
            down = None if down is None else down * count
            top = None if top is None else top * count
        low = None if low is None or down is None else low + down
        high = None if high is None or top is None else high + top
    return low, high


def circular(rows: Sequence[SumLimits], unknowns: int, fixed: Sequence[bool]) -> list[bool]:
    """By unknown, whether it is connected with a circle of unknowns and rows, so that sweeps may be wide.

    Rows over the same two unknowns with the same signs count as one: both rise together, so the sweeps end
    in a corner that fulfils both. An unknown that can be only one thing carries nothing from row to row.
    """
    root = list(range(unknowns))
    ringed = [False] * unknowns

    seen: set[tuple[int, int, bool]] = set()
    for row in rows:
        left = [(unknown, count > 0) for unknown, count in row.terms if not fixed[unknown]]
        if len(left) < 2:
            continue
        free = [unknown for unknown, _ in left]
        if len(free) == 2:
            pair = (free[0], free[1], left[0][1] == left[1][1])
            if pair in seen:
                continue
            seen.add(pair)
        first = head(root, free[0])
        for unknown in free[1:]:
            here = head(root, unknown)
            if here == first:
                ringed[first] = True  # two ways lead from one unknown to another
            else:
                root[here] = first
                ringed[first] = ringed[first] or ringed[here]
    return [ringed[head(root, unknown)] for unknown in range(unknowns)]
