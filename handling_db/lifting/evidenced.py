"""What all the evidence allows the pieces of a lift to weigh together, also where figures disagree."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from handling_db.balance.together.body import Limit
from handling_db.balance.together.pieces import most_with_unlisted, unlisted_most
from handling_db.balance.together.reach import AllEvidence, Reach
from handling_db.lookup.plan import Lifted, Planning, lifted_of, widest_of
from handling_db.quantities.mass import Mass
from handling_db.records.collection import Collection
from handling_db.weights.tree import Node

Share = tuple[Node, Fraction]  # a component in a build, and how many of it go along


@dataclass(frozen=True, slots=True)
class PiecesTogether:
    """The dry mass of all pieces of a lift by all the evidence. [kg]

    Parameters
    ----------
    low : Fraction
    plan : Fraction
        Highest believable: where figures contradict one another the highest route to it.
    most : Fraction or None
        Where some consistent set allows more than the plan; equal to it where none does, None without limit.
    disputes : tuple of tuple of str
        Figures that cannot all be true and that change it, each by piece, print and source.
    where : str
        The whole in which something is missing then.
    lifted : tuple of Lifted
        Figures that wait for a person and lift the plan.
    lift : Fraction
        How much of the plan only these ask for: what a hook should read counts without it. [kg]
    """

    low: Fraction
    plan: Fraction
    most: Limit
    disputes: tuple[tuple[str, ...], ...] = ()
    where: str = ""
    lifted: tuple[Lifted, ...] = ()
    lift: Fraction = Fraction(0)


def dry_limits(mass: Mass, reach: Reach | None, pieces: Fraction, *, scatters: bool) -> Mass:
    """The mass of some pieces of one kind, narrowed or widened to what all the evidence says of them.

    A piece with two readings that cannot both be true is as light as the lighter allows and as heavy as the
    heavier. One that a weighed whole leaves less room is narrower than its own figure.
    """
    if reach is None or reach.plan is None or scatters or reach.guess:
        # Of several weighed together the mean is known better than one alone; guesses narrow nothing.
        lift = Fraction(0) if reach is None else reach.lift * pieces
        return replace(mass, high=mass.high + lift)
    low, high = reach.low * pieces, reach.plan * pieces
    if low > high or (low, high) == (mass.low, mass.high):
        return mass
    if reach.disputes or not low <= mass.best <= high:
        best = (low + high) / 2  # of figures that contradict one another none is the best
    else:
        best = mass.best
    return Mass(best, low, high, mass.variance, mass.half_squared, mass.shared, mass.complete)


def pieces_together(
    collection: Collection,
    evidence: AllEvidence,
    carried: Sequence[Share],
    highest: Iterable[Share],
    added: Mass,
    opened: Sequence[Share],
) -> PiecesTogether | None:
    """What the pieces weigh together, dry; None where the evidence says nothing of one of them.

    Parameters
    ----------
    collection : Collection
    evidence : AllEvidence
    carried : sequence of (node, how many)
        What is in, by the figures that count.
    highest : iterable of (node, how many)
        The same by the highest things that are wholly in.
    added : Mass
        The masses of `carried` added up.
    opened : sequence of (node, how many)
        What is in with some of its parts: whatever else belongs to it may be in.
    """
    counts: dict[Node, Fraction] = {}
    for which, many in carried:
        counts[which] = counts.get(which, Fraction(0)) + many
    if any(evidence.node(which) is None for which in counts):
        return None
    low, _ = evidence.several(counts)
    high = most_with_unlisted(evidence, counts, opened)
    bounds = [(unlisted_most(evidence, which), many) for which, many in opened]
    rest = sum((most * many for most, many in bounds if most is not None), start=Fraction(0))
    highest = tuple(highest)
    reaches = [(evidence.of(which, "dry"), many) for which, many in highest]
    known = [(reach, many) for reach, many in reaches if reach is not None]
    lifted = tuple(
        one
        for (which, _), (reach, _) in zip(highest, reaches, strict=True)
        if reach is not None and (one := lifted_of(collection, which[0], reach)) is not None
    )
    waiting = sum(
        ((reach.lift - reach.settled_lift) * many for reach, many in known if reach.waiting),
        start=Fraction(0),
    )
    if evidence.disputed(counts):
        plans = [None if reach.plan is None else reach.plan * many for reach, many in known]
        plan = added.high
        if len(known) == len(reaches) and None not in plans:
            # A whole that outweighs its parts is planned with as it was weighed.
            plan = max(plan, sum((one for one in plans if one is not None), start=Fraction(0)))
        least = added.low if low is None else min(low, added.low)
        conflicts = [one for reach, _ in known for one in reach.disputes]
        names = {code: component.name for code, component in collection.components.items()}
        return PiecesTogether(
            least,
            plan + rest,
            None if high is None else max(high, plan + rest),
            tuple(dict.fromkeys(evidence.told(conflicts))),
            widest_of(evidence, conflicts, names),
            lifted,
            waiting,
        )
    if low is None or high is None:
        return None
    # A figure nobody confirmed is in no equation and yet lifts the plan of what it speaks of.
    lift = sum((reach.lift * many for reach, many in known), start=Fraction(0))
    least, most = max(added.low, low), min(added.high + rest, high + lift)
    return None if least > most else PiecesTogether(least, most, most, lifted=lifted, lift=waiting)


def one_together(plan: Planning) -> PiecesTogether | None:
    """One piece alone: as its look-up says; None where it has no upper limit."""
    if plan.plan is None:
        return None
    rests = plan.rests
    most = None if rests.second_open else max(Fraction(rests.second or 0), plan.plan)
    lifted = () if plan.lifted is None else (plan.lifted,)
    lift = sum((one.plan - one.without for one in lifted), start=Fraction(0))
    # Where figures contradict one another the listed sum may lie above what it was weighed to.
    low = min(plan.low, plan.plan)
    return PiecesTogether(low, plan.plan, most, rests.disputes, rests.where, lifted, lift)
