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
from handling_db.balance.pairs import pairs_that_fit
from handling_db.balance.slips import packings_of, slips
from handling_db.findings import Verdict
from handling_db.quantities.mass import Mass
from handling_db.weights.compare import Judge
from handling_db.weights.witness import Witness


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
