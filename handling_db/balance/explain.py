"""Every single thing that would explain why a stated whole and the sum of its parts disagree.

A cause fits if the two intervals touch once it is put right; the doubt of what is left out goes with it. All
that fit are listed and nothing is changed: one cause that fits is no proof, least of all where many pairs of
parts would fit as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.balance.causes import Cause, Limits, Search
from handling_db.balance.slips import packings_of, slips
from handling_db.findings import Verdict
from handling_db.quantities.mass import Mass
from handling_db.weights.compare import Judge
from handling_db.weights.sum_lines import SumLine, leaf_lines_below
from handling_db.weights.witness import Witness

# How many pairs of part lines would explain a gap by chance: the more there are, the less one proves.

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


@dataclass(frozen=True, slots=True)
class Explanation:
    """What could explain one disagreement.

    Parameters
    ----------
    witness : Witness
        The stated figure.
    gap : (Fraction, Fraction)
        Parts less stated figure, least and most: negative where the parts are lighter. [kg]
    causes : tuple of Cause
        Every single one that fits, by kind and then the largest first.
    pairs : int
        How many pairs of part lines would fit by chance.
    """

    witness: Witness
    gap: Limits
    causes: tuple[Cause, ...]
    pairs: int

    @property
    def lacking(self) -> tuple[Fraction, Fraction] | None:
        """What the list of parts would have to lack, where they are too light; otherwise None. [kg]"""
        return None if self.parts_heavier else (-self.gap[1], -self.gap[0])

    @property
    def parts_heavier(self) -> bool:
        """Whether the parts come to more than the stated figure."""
        return self.gap[0] > 0


KINDS = (
    "left out", "counted twice", "belongs here", "boundary", "count", "fluid", "unit", "factor", "digits",
    "tare", "packing",
)  # fmt: skip


def explain(
    judge: Judge, witness: Witness, *, packings: Sequence[tuple[str, Mass]] | None = None
) -> Explanation | None:
    """List every single cause that would explain why a stated figure and its parts disagree.

    Parameters
    ----------
    judge : Judge
    witness : Witness
        The stated figure.
    packings : sequence of (name, Mass)
        Pallets, crates and the like that may have been weighed along; those recorded for the component
        unless given. [kg]

    Returns
    -------
    Explanation or None
        None where the two do not disagree.
    """
    judged = judge.judge(witness)
    if judged is None or judged.verdict is not Verdict.DISAGREES:
        return None
    if judged.parts is None or judged.comparison is None:
        return None
    node = judge.node_of(witness)
    if node is None:
        return None
    if packings is None:
        packings = packings_of(judge.collection, witness.component)
    search = Search(judge, witness, node, judge.totals(judged.state), judged.parts.mass, tuple(packings))
    causes = sorted(search.causes(), key=lambda c: (KINDS.index(c.kind), -c.size, c.about, c.says))
    gap = judged.comparison.gap
    whole = {cause.about for cause in causes if cause.kind in ("left out", "counted twice")}
    candidates = [line for line in search.lines if line.component in whole]
    pairs = pairs_that_fit(search.lines, gap, candidates, complete=judged.parts.mass.complete)
    return Explanation(witness, gap, tuple(causes), pairs)


@dataclass(frozen=True, slots=True)
class ApartCause:
    """A slip in one of two figures for one thing that would bring them together.

    Parameters
    ----------
    witness : Witness
        The one that would be wrong.
    other : Witness
    kind, says : str
    """

    witness: Witness
    other: Witness
    kind: str
    says: str


def explain_apart(judge: Judge, one: Witness, other: Witness) -> tuple[ApartCause, ...]:
    """Every slip in either of two figures for one component that would make them touch.

    Empty where they touch already, or where nothing single explains it.
    """
    if one.mass.low <= other.mass.high and other.mass.low <= one.mass.high:
        return ()
    return tuple(
        ApartCause(wrong, right, slip.kind, slip.says)
        for wrong, right in ((one, other), (other, one))
        for slip in slips(judge.collection, wrong)
        if slip.low <= right.mass.high and right.mass.low <= slip.high
    )
