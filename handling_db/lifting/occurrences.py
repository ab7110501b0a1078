"""Every occurrence below one root, with its place, and whether it is in a lift group: exactly once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.errors import HandlingError
from handling_db.families.build import BuildError, worked_measure
from handling_db.mechanics.vectors import PlacedFrame, Vector, add
from handling_db.records.collection import Collection
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.lift_group import LiftGroup, Mention
from handling_db.weights.centre import placements
from handling_db.weights.tree import MOST_PLACES, Tree, Use

MOST = MOST_PLACES
Way = tuple[str, ...]


class WayError(HandlingError):
    """A way through the tree leads nowhere or to two places, or is mentioned in a way that has no meaning."""


class AbsentError(WayError):
    """A way leads to a part that is recorded, but not there in this build."""


@dataclass(frozen=True, slots=True)
class Occurrence:
    """All pieces of one part line, in all pieces of the assemblies above it.

    Parameters
    ----------
    way : tuple of component ids
        From the root's child down to this one; empty for the root.
    lines : tuple of part line ids
        The same way by lines.
    node : int
        In the tree.
    pieces : Fraction
        How many there are in one root.
    frames : tuple of PlacedFrame
        Where they lie in the root's frame, each standing for an equal share of the pieces; empty where a
        place is not recorded. One frame for several pieces is the centroid of the set.
    parent : int
        Index of the occurrence it belongs to; -1 for the root.
    off : Vector
        How far its datum may be off its place along the axes of the root, by every 'at plus or minus' on the
        way. [m]
    """

    way: Way
    lines: Way
    node: int
    pieces: Fraction
    frames: tuple[PlacedFrame, ...]
    parent: int
    off: Vector = (0.0, 0.0, 0.0)

    @property
    def id(self) -> str:
        """Component id; empty for the root."""
        return self.way[-1] if self.way else ""


@dataclass(frozen=True, slots=True)
class Side:
    """How much of an occurrence is in the group, and why.

    Parameters
    ----------
    part : Fraction
        1 in, 0 not in, between for a leave that gives a quantity.
    why : str
    mentioned : bool
        By itself, not through what it belongs to.
    off : bool
        A job says that it is off already.
    """

    part: Fraction
    why: str
    mentioned: bool = False
    off: bool = False


def occurrences(tree: Tree, root: int) -> tuple[Occurrence, ...]:
    """Unfold one root: every parent before its children, in the order of the part lines.

    Raises
    ------
    WayError
        The root contains itself, or has more occurrences than can be gone through.
    """
    if root not in tree.height:
        raise WayError(f"{tree.component(root)} contains itself, or something that does: nothing to lift yet")
    if tree.places(root) - 1 > MOST:  # said at once, not after so many of them
        raise WayError(f"{tree.component(root)} has more than {MOST} places; lift a smaller assembly")
    found = [Occurrence((), (), root, Fraction(1), (PlacedFrame(),), -1)]
    places = 0
    stack: list[int] = [0]
    while stack:
        at = stack.pop()
        here = found[at]
        below: list[int] = []
        parent = tree.component(here.node)
        for use in tree.uses[here.node]:
            frames = _frames(use, here.frames)
            places += len(frames) + 1
            if places > MOST:
                raise WayError(f"{tree.component(root)} has more than {MOST} places; lift a smaller assembly")
            found.append(
                Occurrence(
                    (*here.way, tree.component(use.child)),
                    (*here.lines, use.line.key(parent)),
                    use.child,
                    here.pieces * use.quantity,
                    frames,
                    at,
                    _off(here, use),
                )
            )
            below.append(len(found) - 1)
        stack.extend(reversed(below))
    return tuple(found)


def _off(here: Occurrence, use: Use) -> Vector:
    """The doubt of places down to one part line, in the root's frame."""
    if use.line.at_plus_or_minus is None:
        return here.off
    return add(here.off, widest(here.frames, float(use.line.at_plus_or_minus.base)))


def widest(frames: Sequence[PlacedFrame], give: float) -> Vector:
    """The box around a doubt that is the same along each axis of a turned frame. [m]"""
    x, y, z = (
        max((give * math.fsum(map(abs, frame.turn[axis])) for frame in frames), default=0.0)
        for axis in range(3)
    )
    return x, y, z


def _frames(use: Use, outer: Sequence[PlacedFrame]) -> tuple[PlacedFrame, ...]:
    inner = [PlacedFrame(at, turn) for at, turn in placements(use) if not any(math.isnan(v) for v in at)]
    return tuple(child.then(parent) for parent in outer for child in inner)


class Ways:
    """Looks occurrences up by their way: component ids or part line ids."""

    def __init__(self, collection: Collection, tree: Tree, found: Sequence[Occurrence]) -> None:
        self.collection = collection
        self.tree = tree
        self.found = found
        self.below: dict[int, list[int]] = {}
        for index, occurrence in enumerate(found):
            self.below.setdefault(occurrence.parent, []).append(index)

    def follow(self, way: Sequence[str], start: int = 0) -> int:
        """The index of the occurrence a way leads to.

        The root's own id may stand first.

        Raises
        ------
        WayError
            A step is not there, or two part lines list the same component.
        """
        here = start
        steps = list(way)
        if steps and steps[0] == self.tree.component(self.found[start].node):
            steps = steps[1:]
        for step in steps:
            named = [
                index
                for index in self.below.get(here, ())
                if step in (self.found[index].way[-1], self.found[index].lines[-1])
            ]
            inside = self.tree.component(self.found[here].node)
            if not named:
                if any(
                    step in (x.component, x.key(inside)) for x in self.collection.components[inside].parts
                ):
                    raise AbsentError(f"{' > '.join(way)}: {inside} has no {step!r} in this build")
                there = ", ".join(self.found[i].way[-1] for i in self.below.get(here, ())) or "nothing"
                raise WayError(
                    f"{' > '.join(way)}: {inside} lists no {step!r} in this build; it has: {there}"
                )
            if len(named) > 1:
                ids = ", ".join(self.found[i].lines[-1] for i in named)
                raise WayError(
                    f"{' > '.join(way)}: {inside} lists {step!r} in several lines; write one of: {ids}"
                )
            here = named[0]
        return here

    def of_component(self, code: str) -> tuple[int, ...]:
        """Every occurrence of a component, the root included."""
        return tuple(i for i, o in enumerate(self.found) if self.tree.component(o.node) == code)

    def under(self, index: int) -> Iterable[int]:
        """An occurrence and everything below it."""
        stack = [index]
        while stack:
            here = stack.pop()
            yield here
            stack.extend(reversed(self.below.get(here, [])))


def sort_out(
    collection: Collection,
    ways: Ways,
    group: LiftGroup,
    *,
    off: Mapping[int, str] | None = None,
    some: Mapping[int, Fraction] | None = None,
) -> tuple[Side, ...]:
    """Which side every occurrence is on: the deepest mention wins, the root is out.

    Parameters
    ----------
    collection : Collection
    ways : Ways
    group : LiftGroup
        Its takes and leaves, and the joints that it parts: parts of those stay out unless they are taken or
        the joint says which side they stay with.
    off : mapping of occurrence to reason, optional
        What a job says is off already, with everything below it.
    some : mapping of occurrence to number, optional
        So many of several alike are off already.

    Returns
    -------
    tuple of Side
        One for every occurrence, in their order.

    Raises
    ------
    WayError
        A mention that leads nowhere, gives more than there are, takes a fluid, or stands below a leave that
        gives a quantity.
    """
    mentions: dict[int, tuple[str, Mention]] = {}
    for word, listed in (("taken", group.takes), ("left", group.leaves)):
        for mention in listed:
            try:
                index = ways.follow(mention.of)
            except AbsentError:
                if word == "left":
                    continue  # this build has none of it, so none comes along
                raise
            if index in mentions:
                raise WayError(f"{' > '.join(mention.of)} is mentioned twice; keep one of the two")
            mentions[index] = (word, mention)
    ties = _joint_parts(collection, ways, group.parts_joints)
    gone = dict(off or {})
    sides: list[Side] = []
    for index, occurrence in enumerate(ways.found):
        above = sides[occurrence.parent] if occurrence.parent >= 0 else Side(Fraction(0), "not taken")
        fluid = collection.components[ways.tree.component(occurrence.node)].fluid is not None
        if occurrence.parent in gone:
            gone.setdefault(index, gone[occurrence.parent])
        if index in gone:
            sides.append(Side(Fraction(0), gone[index], index in mentions, off=True))
        elif index in mentions:
            sides.append(_mentioned(ways, index, *mentions[index], above, fluid=fluid))
        elif fluid:
            sides.append(Side(Fraction(0), "fluid never follows: what is trapped is stated by itself"))
        elif index in ties and above.part > 0:
            sides.append(Side(Fraction(0), f"tie of {ties[index]}: out unless taken"))
        else:
            sides.append(Side(above.part, above.why))
        if some and index in some and sides[index].part > 0:
            sides[index] = _fewer(occurrence, some[index], sides[index])
    return tuple(sides)


def _fewer(occurrence: Occurrence, many: Fraction, side: Side) -> Side:
    """The same with so many of it off already; those may be the ones that are left behind anyway."""
    stay = max(Fraction(0), (occurrence.pieces - many) / occurrence.pieces)
    if stay >= side.part:
        return side
    return Side(stay, f"{many} of {occurrence.pieces} off already", mentioned=True, off=stay == 0)


def _mentioned(ways: Ways, index: int, word: str, mention: Mention, above: Side, *, fluid: bool) -> Side:
    occurrence = ways.found[index]
    way = " > ".join(mention.of)
    if 0 < above.part < 1:
        raise WayError(
            f"{way}: what it belongs to is left in part only, so it cannot be told which one; split it"
        )
    because = f", {mention.why}" if mention.why else ""
    if word == "taken":
        if fluid:
            raise WayError(f"{way} is a fluid: write the litres that stay inside under 'trapped' instead")
        return Side(Fraction(1), f"taken{because}", mentioned=True)
    if mention.quantity is None:
        return Side(Fraction(0), f"left{because}", mentioned=True)
    try:
        many = worked_measure(mention.quantity, (), {})
    except BuildError as error:
        raise WayError(f"{way}: {error}") from None
    if above.part == 0:
        raise WayError(f"{way}: leaves {many} of what is not taken; take it first")
    if many >= occurrence.pieces:
        raise WayError(f"{way}: leaves {many} of {occurrence.pieces}; leave the quantity out to leave all")
    stay = (occurrence.pieces - many) / occurrence.pieces
    return Side(stay, f"{many} of {occurrence.pieces} left{because}", mentioned=True)


def joint_part(ways: Ways, joint: Joint, part: Sequence[str]) -> tuple[int, ...]:
    """The occurrences that a tie of a joint is, once for every occurrence of the joint's assembly.

    Raises
    ------
    WayError
        The way leads nowhere.
    """
    found = []
    for start in ways.of_component(joint.within):
        try:
            found.append(ways.follow(part, start))
        except AbsentError:
            continue
    return tuple(found)


def _joint_parts(collection: Collection, ways: Ways, joints: Iterable[str]) -> dict[int, str]:
    found: dict[int, str] = {}
    for joint_id in joints:
        joint = collection.joints.get(joint_id)
        if joint is None:
            continue  # said as a warning, and by the checker
        for tie in joint.tie_list:
            if tie.part is not None and tie.stays_with is None:
                for index in joint_part(ways, joint, tie.part):
                    found[index] = joint.name
    return found
