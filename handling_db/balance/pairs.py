"""How many pairs of part lines would explain a gap by chance: the more there are, the less one proves."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from handling_db.quantities.mass import Mass
from handling_db.weights.sum_lines import SumLine, leaf_lines_below

Gap = tuple[Fraction, Fraction]


def pairs_that_fit(
    lines: tuple[SumLine, ...], gap: Gap, candidates: Sequence[SumLine], *, complete: bool
) -> int:
    """Count the pairs of leaf lines that, both left out (or both counted twice), bring the two together.

    Parameters
    ----------
    lines : tuple of SumLine
        Of the sum.
    gap : (Fraction, Fraction)
        Parts less whole, least and most. [kg]
    candidates : sequence of SumLine
        Assemblies that explain the gap alone: two lines that are exactly one of these are not counted.
    complete : bool
        Whether the sum has an upper limit.

    Returns
    -------
    int
        Counted by two passes over sorted limits, without trying every pair.
    """
    leaves = [mass for line in lines if not line.opened and (mass := line.mass) is not None]
    pairs = len(leaves) * (len(leaves) - 1) // 2
    lows = sorted(mass.low for mass in leaves)
    highs = sorted(mass.high for mass in leaves)
    if gap[0] > 0:
        # The pair's own doubt comes off, too: its low must reach the least gap, and its high must not pass
        # the most. No pair fails both, since its doubt is part of the gap's.
        misfits = _below(lows, gap[0]) + (_above(highs, gap[1]) if complete else 0)
    else:
        misfits = _above(lows, -gap[0]) + _below(highs, -gap[1])
    return pairs - misfits - len(_exactly(lines, candidates))


def _below(values: Sequence[Fraction], limit: Fraction) -> int:
    """How many pairs of sorted values sum to less than a limit."""
    found, left, right = 0, 0, len(values) - 1
    while left < right:
        if values[left] + values[right] < limit:
            found += right - left
            left += 1
        else:
            right -= 1
    return found


def _above(values: Sequence[Fraction], limit: Fraction) -> int:
    """How many pairs of sorted values sum to more than a limit."""
    return _below([-value for value in reversed(values)], -limit)


def _exactly(lines: tuple[SumLine, ...], candidates: Sequence[SumLine]) -> set[frozenset[tuple[int, int]]]:
    """The pairs of leaf lines that together are one of the candidates."""
    found: set[frozenset[tuple[int, int]]] = set()
    for candidate in candidates:
        below = leaf_lines_below(lines, candidate.child) if candidate.opened else []
        if len(below) == 2 and _limits(below[0].mass, below[1].mass) == _limits(candidate.mass):
            found.add(frozenset((line.parent, line.child) for line in below))
    return found


def _limits(*masses: Mass | None) -> tuple[Fraction, Fraction] | None:
    low = high = Fraction(0)
    for mass in masses:
        if mass is None:
            return None
        low, high = low + mass.low, high + mass.high
    return low, high
