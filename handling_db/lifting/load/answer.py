"""What a lift group weighs and where its centre lies: its pieces weighed by all the evidence together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from handling_db.balance.together.pieces import with_charges
from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.lifting.evidenced import PiecesTogether, one_together, pieces_together
from handling_db.lifting.extras import charges_in, given_extras, unstated_fluid
from handling_db.lifting.load.carried import Carried
from handling_db.lifting.load.followed import followed
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.load.places import outline_of
from handling_db.lifting.load.unit import build_words
from handling_db.lifting.load.walk import Walk
from handling_db.lifting.occurrences import Side, Ways
from handling_db.lookup.plan import Planning, plan_for
from handling_db.mechanics.sums import Together
from handling_db.quantities.mass import add_masses
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.texts import State
from handling_db.weights.tree import Node

# What pieces of one assembly weigh together, where a weighed whole holds them closer than each alone.

# A limit that takes less than this part of the pieces' own range away is not worth the while.
WORTH = Fraction(1, 1000)


def sums_of(walked: Walk) -> tuple[Together, ...]:
    """Limits of the pieces of each assembly together, by their places among what is carried.

    A light piece goes with a heavy rest where the assembly around both was weighed: what each leg carries at
    most follows from masses that can be true at once.

    Parameters
    ----------
    walked : Walk
        That went, without ranges that whoever asks gave for single pieces.

    Returns
    -------
    tuple of Together
        Of assemblies about which figures contradict one another, none: every choice counts there.
    """
    carried, ways = walked.carried, walked.ways
    if any(one.mass is None or not one.mass.complete for one in carried):
        return ()
    inside: dict[int, list[int]] = {}
    for place, one in enumerate(carried):
        around = one.index
        while around != 0:
            around = ways.found[around].parent
            inside.setdefault(around, []).append(place)
    by_pieces: dict[tuple[int, ...], None] = {}
    for places in inside.values():
        if sum(_width(carried[p]) > 0 for p in places) > 1:
            by_pieces[tuple(places)] = None
    found = [_limits(walked, places) for places in by_pieces]
    return tuple(one for one in found if one is not None)


def _width(one: Carried) -> Fraction:
    return Fraction(0) if one.mass is None else one.mass.high - one.mass.low


def _limits(walked: Walk, places: tuple[int, ...]) -> Together | None:
    """The limits of some pieces together, as far as they are narrower than each by itself."""
    evidence, tree = walked.evidence, walked.totals.tree
    counts: dict[Node, Fraction] = {}
    for place in places:
        one = walked.carried[place]
        node = tree.nodes[walked.ways.found[one.index].node]
        if evidence.node(node) is None:
            return None
        counts[node] = counts.get(node, Fraction(0)) + one.pieces
    if evidence.disputed(counts):
        return None
    low, high = evidence.several(counts)
    least = most = Fraction(0)
    for place in places:
        one = walked.carried[place]
        assert one.mass is not None
        which = tree.nodes[walked.ways.found[one.index].node]
        alone = evidence.several({which: one.pieces})
        # One that scatters, or that a waiting figure lifts, may be outside what the equations say of it.
        low = None if low is None or alone[0] is None else low - max(Fraction(0), alone[0] - one.mass.low)
        high = None if high is None or alone[1] is None else high + max(Fraction(0), one.mass.high - alone[1])
        least, most = least + one.mass.low, most + one.mass.high
    low = least if low is None else max(low, least)
    high = most if high is None else min(high, most)
    if low > high or most - least - (high - low) <= WORTH * (most - least):
        return None
    return Together(places, float(low), float(high))


# Component without a mass, or fluid, packing, gear that nobody stated: low and high. [kg]
Assumed = Mapping[str, tuple[Fraction, Fraction]]


def group_mass(
    collection: Collection,
    group: LiftGroup,
    *,
    job: Job | None = None,
    assumed: Assumed | None = None,
    serial: int | None = None,
) -> GroupMass:
    """Follow the takes and leaves of a lift group and weigh what is in.

    Parameters
    ----------
    collection : Collection
    group : LiftGroup
    job : Job, optional
        Its build replaces that of the group, and what it says is off is not in.
    assumed : mapping of component id to (low, high), optional
        A range for a component without a mass, given by whoever asks; which of them were needed stands in
        the answer. [kg]
    serial : int, optional
        The unit at hand, if no job says: what was weighed on others is a hint at most.

    Raises
    ------
    WayError, BuildError
        As `followed`.
    StaticsError
        As `followed`, or a range that runs backwards.
    """
    way = followed(collection, group, job=job, serial=serial)
    ways, totals, places = way.unit.ways, way.unit.totals, way.places
    evidence = evidence_of(collection, group.root, way.given, way.serial)
    walked = Walk(totals, places, dict(assumed or {}), evidence)
    walked.go()
    extras, sides = list(way.extras), places.sides
    charges = None if group.trapped is not None else charges_in(collection, ways, sides, evidence)
    if group.trapped is None:
        extras.insert(0, unstated_fluid(collection, evidence, charges))
    extras = [replace(one, listed=places.listed(one.fluids)) if one.fluids else one for one in extras]
    extras_given = given_extras(extras, walked.assumed)
    given_for = {extra.kind for extra in extras_given if extra not in extras}
    pieces, opened = walked.whole_and_open()
    one = None
    if list(pieces.values()) == [1] and not opened and not walked.used:  # one piece, one answer
        one = plan_for(totals, _one_node(walked), evidence, history=False)
    found = _together(collection, evidence, ways, sides, walked) if one is None else one_together(one)
    with_fluid = None
    if found is not None and charges and not opened:
        with_fluid = with_charges(evidence, pieces, charges, found.plan)
    return GroupMass(
        group,
        totals,
        ways,
        sides,
        tuple(walked.carried),
        tuple(walked.inside),
        tuple(walked.outside),
        tuple(walked.unknown.values()),
        tuple(walked.open_lists.values()),
        tuple(extras_given),
        build_words(way.root, ways.tree.nodes[way.unit.node][1], way.certain),
        walked.used | given_for,
        outline_of(collection, ways, group),
        found,
        None if one is None or one.plan is not None else (one.low, one.best),
        with_fluid,
        tuple(walked.rest.values()),
        way.given,
        sums_of(walked) if found is not None and one is None else (),
    )


def _together(
    collection: Collection, evidence: AllEvidence, ways: Ways, sides: Sequence[Side], walked: Walk
) -> PiecesTogether | None:
    """What all the evidence allows the pieces to weigh together, dry; None where that says nothing."""
    masses = [one.mass for one in walked.carried if one.mass is not None]
    if walked.used or len(masses) < len(walked.carried) or any(one.scatters for one in walked.carried):
        return None  # a few of many that were weighed together are not so many means

    def node(index: int) -> Node:
        return ways.tree.nodes[ways.found[index].node]

    carried = [(node(one.index), one.pieces) for one in walked.carried]
    whole = _all_in(collection, ways, sides)
    counted = {one.index: one.pieces for one in walked.carried}
    highest, waiting = [], [0]
    while waiting:
        index = waiting.pop()
        if whole[index]:
            highest.append((node(index), ways.found[index].pieces))
        elif index in counted:
            highest.append((node(index), counted[index]))
        else:
            waiting += ways.below.get(index, [])
    opened = [(node(index), ways.found[index].pieces * sides[index].part) for index in walked.rest]
    return pieces_together(collection, evidence, carried, highest, add_masses(masses), opened)


def _all_in(collection: Collection, ways: Ways, sides: Sequence[Side]) -> list[bool]:
    """By occurrence, whether all that is listed in it goes along, however it was taken; fluid aside."""
    found = [side.part == 1 for side in sides]
    for index in reversed(range(len(found))):
        component = collection.components[ways.tree.component(ways.found[index].node)]
        below = [
            i
            for i in ways.below.get(index, [])
            if collection.components[ways.tree.component(ways.found[i].node)].fluid is None
        ]
        if below:
            found[index] = component.parts_listed == "all" and all(found[i] for i in below)
    return found


def _one_node(walked: Walk) -> int:
    """The node of the one piece that is in."""
    (node,) = {walked.ways.found[i].node for i in walked.inside if walked.component(i).fluid is None}
    return node


def planned(mass: GroupMass, state: State) -> Planning:
    """What the look-up of the root says in a state, in the build of the lift group. [kg]"""
    totals, root = mass.totals, mass.ways.found[0].node
    evidence = evidence_of(totals.collection, mass.group.root, mass.given)
    known = evidence.node(totals.tree.nodes[root])
    if known is None:
        return plan_for(totals.like(totals.tree, state), root, evidence, history=False)
    return plan_for(evidence.judge.totals(state), known, evidence, history=False)  # worked out once for all
