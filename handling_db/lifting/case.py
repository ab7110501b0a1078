"""One lift worked out as far as the records go: masses, centre, legs, expected reading, stop figures."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from handling_db.errors import UnknownNameError, not_there
from handling_db.lifting.extras import GEAR, given_amount, refuse_idle
from handling_db.lifting.figures import RatingFigure
from handling_db.lifting.hanging.hang import TILT_ALLOWED
from handling_db.lifting.hanging.legs import Worked, direction_words, work_out
from handling_db.lifting.hook import cell_of, hoist_figures
from handling_db.lifting.line.gear import GIVEN_GEAR, Rigging, joined, rigging
from handling_db.lifting.line.table import line_figures
from handling_db.lifting.load.answer import Assumed, group_mass
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.points import Found, point_named, points_of
from handling_db.lifting.ratings import LineCase, PlannedLeg, as_items
from handling_db.lifting.set_down import axis_words
from handling_db.mechanics.body import Body
from handling_db.mechanics.centre_patch import Patch, centre_patch
from handling_db.mechanics.hang.hanging import ImpossibleLegsError
from handling_db.mechanics.vectors import IDENTITY, Matrix, Vector, apply, transpose
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError, total
from handling_db.records.collection import Collection
from handling_db.records.in_hand import job_of_serial
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.lift_group import LiftGroup, Pick
from handling_db.records.kinds.workplace import Mover, Shop
from handling_db.records.parts.attitude import Attitude
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.factors import Factors
from handling_db.rigging.hook import Expected, Stop, expected_reading, stop_figures
from handling_db.weights.centre import rotation


@dataclass(frozen=True, slots=True)
class LiftQuestion:
    """What is asked besides the lift group.

    Parameters
    ----------
    job : Job, optional
        The unit in hand: its build, what is off, which ties are out, temporary ties.
    serial : int, optional
        Serial number of the unit at hand: its one open job counts without being named.
    as_of : date, optional
        Past which inspections and notes are over; without it no date is looked at.
    assumed : mapping of component id to (low, high)
        Ranges for components without a mass, or for fluid, packing, gear that nobody stated. [kg]
    factors : Factors, optional
        Published rating rules.
    picks : mapping of pick point id to length or None, optional
        Other points than the recorded ones; None takes the length of the recorded sling. [m]
    zeroed : bool, optional
        Whether the cell was zeroed with the gear on; it goes before the record.
    drop_m, stretch_m : float, optional
        For the case that something gives way under slack legs. [m]
    dynamic : (str, float or None), optional
        Id of a published dynamic factor that is counted on the hoist, and what its table goes by where that
        is not the load. Off unless somebody chooses one.
    """

    job: Job | None = None
    serial: int | None = None
    as_of: datetime.date | None = None
    assumed: Assumed | None = None
    factors: Factors | None = None
    picks: Mapping[str, float | None] | None = None
    zeroed: bool | None = None
    drop_m: float | None = None
    stretch_m: float | None = None
    dynamic: tuple[str, float | None] | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """One lift half worked out: what the answers about turns and readings go on from."""

    collection: Collection
    group: LiftGroup
    question: LiftQuestion
    mass: GroupMass
    turn: Matrix
    attitude: Attitude | None
    patch: Patch | None
    room: Patch | None
    no_centre: str
    expected: Expected
    rigging: Rigging
    other: Amount | None
    other_name: str
    other_missing: tuple[str, ...]
    stop: Stop | None
    no_stop: str
    worked: Worked | None
    no_legs: str
    cannot_meet: bool = False
    line: tuple[RatingFigure, ...] = ()

    @property
    def load(self) -> Amount:
        """What the legs carry: pieces, fluid inside, packing. [kg]"""
        return total(self.mass.parts()).amount


def side_words(case: Case, side: Vector | None) -> str:
    """A level direction in the words of the root's datum; empty for none."""
    if side is None:
        return ""
    words = axis_words(case.collection.components[case.group.root], case.turn)
    return direction_words(apply(transpose(case.turn), side), words)


def lift_group_named(collection: Collection, name: str) -> LiftGroup:
    """The lift group of that id.

    Raises
    ------
    UnknownNameError
        There is none; the message lists those there are.
    """
    group = collection.lift_groups.get(name)
    if group is None:
        raise UnknownNameError(not_there("lift group", name, sorted(collection.lift_groups)))
    return group


def work(collection: Collection, name: str, question: LiftQuestion) -> Case:
    """Work one lift out as far as the records go; what cannot be given stays a reason.

    Raises
    ------
    UnknownNameError
        No such lift group.
    WayError, BuildError
        The lift group cannot be followed through the tree.
    StaticsError
        A range was given for something that needs none.
    """
    return case_of(collection, lift_group_named(collection, name), question)


def case_of(collection: Collection, group: LiftGroup, question: LiftQuestion) -> Case:
    """Work out a lift that need not be recorded as it is: more of it may be off.

    Raises
    ------
    WayError, BuildError, StaticsError
        As `work`.
    """
    if question.job is None:
        question = replace(question, job=job_of_serial(collection, group.root, question.serial))
    mass = group_mass(collection, group, job=question.job, assumed=question.assumed, serial=question.serial)
    other, other_name, other_missing, other_used = _other_half(collection, group, question)
    attitude, turn, no_attitude = _attitude(collection, group)
    patch = room = None
    no_centre = ""
    pieces, sums = mass.by_parts()
    try:
        patch = centre_patch(pieces, sums=sums)
        room = centre_patch(pieces, turn, sums)
    except StaticsError as error:
        no_centre = str(error)
    picks = picks_of(group, question)
    gear = rigging(collection, group, [pick for pick, _ in picks], zeroed=question.zeroed)
    assumed = dict(question.assumed or {})
    if GEAR in assumed and gear.gaps:
        gear = replace(gear, given=given_amount(GEAR, assumed.pop(GEAR)))
    refuse_idle(assumed, mass.assumed | other_used)
    mover = collection.movers.get(group.mover or "")
    expected = _expected(mass, gear, mover)
    worked, no_legs, cannot_meet = _legs(
        collection, group, question, mass, room, turn, no_centre or no_attitude
    )
    case = LineCase(
        rigging=gear,
        picks={pick.point: pick for pick, _ in picks},
        points=_points(collection, mass, [pick for pick, _ in picks]),
        pulls=worked.pulls if worked else None,
        load=_load(mass),
        factors=question.factors,
        as_of=question.as_of,
        temperature=group.temperature,
    )
    hoist = hoist_figures(mover, group, expected, gear, question.as_of)
    line = (*hoist, *line_figures(case))
    stop, no_stop = _stop(collection, group, question, expected, line, other)
    return Case(
        collection=collection,
        group=group,
        question=question,
        mass=mass,
        turn=turn,
        attitude=attitude,
        patch=patch,
        room=room,
        no_centre=no_centre,
        expected=expected,
        rigging=gear,
        other=other,
        other_name=other_name,
        other_missing=other_missing,
        stop=stop,
        no_stop=no_stop,
        worked=worked,
        no_legs=no_legs,
        cannot_meet=cannot_meet,
        line=line,
    )


def hook_expected(collection: Collection, name: str, question: LiftQuestion) -> Expected:
    """What the hook should read alone, as `work` has it: for lists, without legs, ratings and the other half.

    Raises
    ------
    UnknownNameError, WayError, BuildError
        As `work`.
    """
    group = lift_group_named(collection, name)
    job = question.job or job_of_serial(collection, group.root, question.serial)
    mass = group_mass(collection, group, job=job, assumed=question.assumed, serial=question.serial)
    picks = [pick for pick, _ in picks_of(group, question)]
    gear = rigging(collection, group, picks, zeroed=question.zeroed)
    return _expected(mass, gear, collection.movers.get(group.mover or ""))


def _expected(mass: GroupMass, gear: Rigging, mover: Mover | None) -> Expected:
    # A cell zeroed with the gear on shows the piece alone; where nobody said, it counts as zeroed empty.
    below = {} if gear.zeroed else gear.below
    return expected_reading(_sure(joined(_named_parts(mass), below), mass), cell_of(mover))


def _load(mass: GroupMass) -> Amount:
    """What hangs from the gear; where not one mass is known at least nothing. [kg]"""
    try:
        return total(mass.parts()).amount
    except UnknownMassError:
        return Amount(0.0, 0.0, None)


def _points(collection: Collection, mass: GroupMass, picks: Sequence[Pick]) -> dict[str, Found]:
    """The points of the picks that are found on the piece, each by its id."""
    there = points_of(collection, mass)
    found = {}
    for pick in picks:
        named = [entry for entry in there if entry.point.id == pick.point]
        if len(named) == 1:
            found[pick.point] = named[0]
    return found


def _named_parts(mass: GroupMass) -> dict[str, Amount | None]:
    """The parts of the load, the lift group named by what is missing in it.

    A figure that waits is no reason to expect more on the hook: then a reading that fits ours looks heavy.
    """
    parts = {**mass.parts(), "lift group": mass.unlifted}
    if not mass.missing:
        return parts
    pieces = parts.pop("lift group")
    return {", ".join(mass.missing): pieces, **parts}


def _sure(parts: dict[str, Amount | None], mass: GroupMass) -> dict[str, Amount | None]:
    """Where something has no upper figure the sum is "at least": then no more of a range than its low end.

    A range that somebody gave has no best figure.
    """
    if all(amount is not None and amount.high is not None for amount in parts.values()):
        return parts
    ranges = {extra.name for extra in mass.extras if extra.kind in mass.assumed} | {GIVEN_GEAR}
    return {
        name: Amount(amount.low, amount.low, amount.high) if amount is not None and name in ranges else amount
        for name, amount in parts.items()
    }


def _other_half(
    collection: Collection, group: LiftGroup, question: LiftQuestion
) -> tuple[Amount | None, str, tuple[str, ...], frozenset[str]]:
    other = collection.lift_groups.get(group.other_half or "")
    if other is None:
        return None, group.other_half or "", (), frozenset()
    mass = group_mass(collection, other, job=question.job, assumed=question.assumed, serial=question.serial)
    try:
        return total(mass.parts()).amount, other.name, mass.missing, mass.assumed
    except UnknownMassError:
        return None, other.name, mass.missing, mass.assumed


# Why there are no figures is told in the words of a refusal.
NO_ATTITUDE = StaticsError("the attitude is not recorded: nobody looked which way up it hangs.")
NO_PICKS = StaticsError("nobody looked which pick points are used.")


def _attitude(collection: Collection, group: LiftGroup) -> tuple[Attitude | None, Matrix, str]:
    root = collection.components[group.root]
    if group.attitude is None:
        return None, IDENTITY, str(NO_ATTITUDE)
    named = [attitude for attitude in root.attitudes if attitude.id == group.attitude]
    if not named:
        known = ", ".join(attitude.id for attitude in root.attitudes) or "none"
        raise StaticsError(f"{root.name} has no attitude {group.attitude!r}; it has: {known}.")
    return named[0], rotation(named[0].turned), ""


def picks_of(group: LiftGroup, question: LiftQuestion) -> tuple[tuple[Pick, float | None], ...]:
    """The pick points asked about, or the recorded ones, each with a leg length where one was given."""
    recorded = listed(group.picks)
    if question.picks is None:
        return tuple((pick, None) for pick in recorded)
    like = recorded[0] if recorded else None
    found = []
    for point, given in question.picks.items():
        pick = next((p for p in recorded if p.point == point), None)
        if pick is None:
            pick = Pick(point=point, sling=like.sling if like else None, links=like.links if like else ())
        found.append((pick, given))
    return tuple(found)


def _legs(
    collection: Collection,
    group: LiftGroup,
    question: LiftQuestion,
    mass: GroupMass,
    room: Patch | None,
    turn: Matrix,
    reason: str,
) -> tuple[Worked | None, str, bool]:
    """What hangs, or why it is not worked out and whether that is because the legs cannot meet."""
    if not picks_of(group, question):
        none = (
            NO_PICKS
            if group.picks != "none"
            else StaticsError(f"no pick points are used, says {group.checked_by}.")
        )
        return None, str(none), False
    if room is None or reason:
        return None, reason, False
    pieces, sums = mass.by_parts()
    try:
        legs = planned_legs(collection, group, question, mass)
        worked = work_out(
            legs,
            room,
            turn,
            total(mass.parts()).amount,
            Body.of_pieces(pieces, turn, most=mass.most, sums=sums),
            factors=question.factors,
            towards=axis_words(collection.components[group.root], turn),
            tilt_allowed=_tilt_allowed(shop_of(collection, group, question)),
        )
    except StaticsError as error:
        return None, str(error), isinstance(error, ImpossibleLegsError)
    return worked, "", False


def planned_legs(
    collection: Collection, group: LiftGroup, question: LiftQuestion, mass: GroupMass
) -> list[PlannedLeg]:
    """The legs asked about, or the recorded ones, each with its point, length, sling and links.

    Raises
    ------
    StaticsError
        A pick point that no piece of the group has.
    """
    found = points_of(collection, mass)
    legs = []
    for pick, given in picks_of(group, question):
        sling = collection.gear.get(pick.sling or "")
        length = given
        if length is None and pick.length is not None:
            length = float(pick.length.base)
        if length is None and sling is not None and sling.length is not None:
            length = float(sling.length.base)
        spread = None
        if pick.length is not None and given is None:
            spread = pick.length_plus_or_minus
        elif given is None and sling is not None:
            spread = sling.length_plus_or_minus
        links = tuple(collection.gear[link] for link in pick.links if link in collection.gear)
        legs.append(
            PlannedLeg(
                point_named(found, pick.point),
                length,
                sling,
                links,
                spread_m=None if spread is None else float(spread.base),
                # A length only stated for this question may as well be the full one of a sling.
                as_it_is=pick.length is not None,
            )
        )
    return legs


def _tilt_allowed(shop: Shop | None) -> float:
    """From which tilt on it stands first: the shop's figure, or the common one. [deg]"""
    return TILT_ALLOWED if shop is None or shop.most_tilt is None else float(shop.most_tilt.base)


def shop_of(collection: Collection, group: LiftGroup, question: LiftQuestion) -> Shop | None:
    """The shop whose rules count: that of the job, or the one that has the hoist."""
    own = question.job.shop if question.job and question.job.shop else None
    mover = collection.movers.get(group.mover or "")
    return collection.shops.get(own or (mover.shop if mover and mover.shop else ""))


def _stop(
    collection: Collection,
    group: LiftGroup,
    question: LiftQuestion,
    expected: Expected,
    line: Sequence[RatingFigure],
    other: Amount | None,
) -> tuple[Stop | None, str]:
    shop = shop_of(collection, group, question)
    part = float(shop.break_loose.share) if shop and shop.break_loose else None
    try:
        return (
            stop_figures(expected, rated=as_items(line), break_loose_part=part, other_half=other),
            "",
        )
    except StaticsError as error:
        return None, str(error)
