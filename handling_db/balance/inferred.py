"""What a part that nobody weighed must weigh, from a weighed whole around it: whole less everything else.

The figure is labelled and stays an answer. It is worked out from recorded figures only and is never stored,
so it cannot come back to check the whole it came from; it names that whole so that a reader can see it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from handling_db.quantities.mass import Mass
from handling_db.records.parts.texts import State
from handling_db.weights.totals import Total, Totals
from handling_db.weights.witness import Witness


@dataclass(frozen=True, slots=True)
class Inferred:
    """A mass worked out from a whole.

    Parameters
    ----------
    component : str
        What nobody weighed.
    mass : Mass
        Of one piece. A lower limit below zero is raised to zero. [kg]
    whole : Witness
        The figure it was worked out from, and must not be used to check.
    state : State
        Of that figure.
    others : Total
        What was taken off.
    pieces : Fraction
        How many of them share what was left.
    too_light : bool
        Even the heaviest that is left is less than nothing: the figures contradict one another.
    """

    component: str
    mass: Mass
    whole: Witness
    state: State
    others: Total
    pieces: Fraction
    too_light: bool = False


def infer(totals: Totals, code: str) -> tuple[Inferred, ...]:
    """Every figure that a weighed whole gives for a component without a mass, in one state.

    A whole counts if it is about the same state and build, its boundary is known, its list of parts is
    complete, and nothing else in it is without a mass.

    Parameters
    ----------
    totals : Totals
        Of the state; ask for each state, since a whole may have been weighed drained.
    code : str
        The component.

    Returns
    -------
    tuple of Inferred
        The most trusted whole of the smallest assembly first; empty where there is none, or where the
        component has a mass of its own.
    """
    found: list[Inferred] = []
    for node in totals.tree.order:
        if not totals.tree.uses[node] or totals.tree.component(node) == code:
            continue
        wholes = [w for w in totals.usable(node) if _may_infer(w)]
        if wholes:
            for whole in wholes:
                found.extend(_from(totals, node, whole, code))
    return tuple(found)


def infer_in_states(several: Iterable[Totals], code: str) -> tuple[Inferred, ...]:
    """The same over several states, each whole once."""
    found: dict[str, Inferred] = {}
    for totals in several:
        for inferred in infer(totals, code):
            found.setdefault(inferred.whole.id, inferred)
    return tuple(found.values())


def _may_infer(whole: Witness) -> bool:
    return whole.chosen and not whole.hint and not whole.derived and whole.boundary_known


def _from(totals: Totals, node: int, whole: Witness, code: str) -> Iterable[Inferred]:
    without = whole.without if isinstance(whole.without, tuple) else ()
    only = whole.counts if isinstance(whole.counts, tuple) else None
    known = totals.sum_of(node, leave_out=without, only=only)
    if len(known.unknown) != 1 or known.unknown[0][0] != code or known.open_lists:
        return
    pieces = known.unknown[0][1]
    others = replace(known.mass, complete=True)
    left = whole.mass - others
    too_light = left.high < 0
    zero = Fraction(0)
    if left.low < 0:
        left = replace(left, low=zero, best=max(left.best, zero), high=max(left.high, zero))
    yield Inferred(code, left.times(1 / pieces), whole, totals.state, known, pieces, too_light)
