"""The unit of a planned job unfolded: every occurrence as a piece, and what is recorded to hold them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from handling_db.errors import HandlingError
from handling_db.families.build import Value
from handling_db.families.named_builds import build_for_serial, given_values
from handling_db.families.parameter import value_text
from handling_db.jobs.steps.holds.bodies import Bond, clusters
from handling_db.jobs.steps.holds.holding import Hold, Holding, holding_of
from handling_db.lifting.occurrences import Occurrence, WayError, Ways, joint_part, occurrences
from handling_db.mechanics.vectors import IDENTITY, Matrix, Vector, apply, transpose
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.job_plan import JobPlan
from handling_db.records.kinds.joint import Joint
from handling_db.weights.centre import rotation
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold


class PlanError(HandlingError):
    """A planned job cannot be worked out at all; the message says what to write instead."""


@dataclass(frozen=True, slots=True)
class Seam:
    """One joint at one place in the unit.

    Parameters
    ----------
    joint : Joint
    first, second : int
        The pieces on both sides.
    held : int
        The lighter of the two.
    ties : mapping of tie key to Holding
    parts : mapping of tie key to tuple of int
        The pieces that a tie itself is, and that come off with it.
    turn : Matrix
        From the frame of the joint's assembly into that of the unit.
    """

    joint: Joint
    first: int
    second: int
    held: int
    ties: Mapping[str, Holding]
    parts: Mapping[str, tuple[int, ...]]
    turn: Matrix = IDENTITY

    def lets_go(self, holding: Holding) -> Vector | None:
        """Which way the second side leaves the first, in the frame of the unit."""
        return None if holding.lets_go is None else apply(self.turn, holding.lets_go)


class Unit:
    """A component in one build, as pieces and seams.

    Parameters
    ----------
    collection : Collection
    plan : JobPlan

    Raises
    ------
    PlanError
        There is no such component, it cannot be followed, or it has no such attitude.
    BuildError
        A build it cannot have.
    """

    def __init__(self, collection: Collection, plan: JobPlan) -> None:
        if plan.unit not in collection.components:
            raise PlanError(f"job plan {plan.id}: there is no component {plan.unit!r}")
        self.collection = collection
        self.root: Component = collection.components[plan.unit]
        named = build_for_serial(self.root, plan.serial) if plan.serial is not None else None
        self.texts: dict[str, str] = {**(named.set if named else {}), **plan.build}
        self.given: Mapping[str, Value] = given_values(self.root, self.texts)
        self.tree = unfold(collection, [(self.root.id, self.given)])
        if self.tree.faults or self.tree.cycles:
            told = "; ".join(f"{fault.component}: {fault.message}" for fault in self.tree.faults)
            raise PlanError(f"job plan {plan.id}: the tree cannot be followed: {told or 'it holds itself'}")
        node = next(node for (code, _), node in self.tree.start.items() if code == self.root.id)
        self.pieces: Sequence[Occurrence] = occurrences(self.tree, node)
        self.ways = Ways(collection, self.tree, self.pieces)
        self.totals = Totals(collection, self.tree, "dry")

    @cached_property
    def build(self) -> tuple[tuple[str, str, bool], ...]:
        """Parameter, value in its own unit, and whether the plan or the serial number says so."""
        found = self.tree.nodes[self.pieces[0].node][1]
        return tuple(
            (name, value_text(self.root.parameters[name], value), name in self.texts) for name, value in found
        )

    def component(self, piece: int) -> Component:
        """The component of a piece."""
        return self.collection.components[self.tree.component(self.pieces[piece].node)]

    def name(self, piece: int) -> str:
        """The name of a piece."""
        return self.component(piece).name

    @cached_property
    def solid(self) -> frozenset[int]:
        """Every piece but fluids: parts, and the assemblies that hold them together."""
        return frozenset(i for i in range(len(self.pieces)) if self.component(i).fluid is None)

    @cached_property
    def leaves(self) -> frozenset[int]:
        """Pieces that have a mass of their own."""
        return frozenset(i for i in self.solid if not self.ways.below.get(i))

    def under(self, piece: int) -> frozenset[int]:
        """A piece and everything below it, fluids left out."""
        return frozenset(self.ways.under(piece)) & self.solid

    def follow(self, way: Sequence[str]) -> int:
        """The piece a way leads to.

        Raises
        ------
        WayError
            It leads nowhere, or to two places.
        """
        return self.ways.follow(way)

    def known_kg(self, piece: int) -> float:
        """What is known of the mass of a piece: enough to tell which side of a joint is the lighter. [kg]"""
        mass = self.totals.figures[self.pieces[piece].node].mass
        return 0.0 if mass is None else float(mass.best * self.pieces[piece].pieces)

    def up_in(self, attitude: str | None) -> Vector | None:
        """Up in the frame of the unit; None for an attitude that nobody recorded.

        Raises
        ------
        PlanError
            The unit has no such attitude.
        """
        if attitude is None:
            return None
        for one in self.root.attitudes:
            if one.id == attitude:
                return apply(transpose(rotation(one.turned)), (0.0, 0.0, 1.0))
        known = ", ".join(one.id for one in self.root.attitudes) or "none"
        raise PlanError(f"{self.root.name} has no attitude {attitude!r}; it has: {known}")

    @cached_property
    def seams(self) -> Mapping[str, tuple[Seam, ...]]:
        """By joint, every place in the unit where a joint with recorded ties sits."""
        found: dict[str, tuple[Seam, ...]] = {}
        for joint_id, joint in sorted(self.collection.joints.items()):
            ties = {}
            for tie in joint.tie_list:
                holding = holding_of(tie, joint_id)
                if holding is not None:
                    ties[holding.tie] = holding
            here = [] if joint.ties is None else [s for s in self._seams_of(joint, ties) if s is not None]
            if here:
                found[joint_id] = tuple(here)
        return found

    def _seams_of(self, joint: Joint, ties: Mapping[str, Holding]) -> list[Seam | None]:
        return [self._seam(joint, ties, start) for start in self.ways.of_component(joint.within)]

    def _seam(self, joint: Joint, ties: Mapping[str, Holding], start: int) -> Seam | None:
        sides = []
        inside = [i for i in self.ways.under(start) if i in self.solid]
        for side in joint.between:
            named = [i for i in inside if self.tree.component(self.pieces[i].node) == side]
            if len(named) != 1:  # not in this build, or nobody can tell which of several
                return None
            sides.append(named[0])
        first, second = sides
        if first in self.under(second) or second in self.under(first):
            return None
        held = first if self.known_kg(first) < self.known_kg(second) else second
        if self.known_kg(first) == self.known_kg(second):
            held = first
        parts: dict[str, tuple[int, ...]] = {}
        for tie in joint.tie_list:
            if tie.part is not None and tie.stays_with is None:
                below = frozenset(self.ways.under(start))
                try:
                    one = [i for i in joint_part(self.ways, joint, tie.part) if i in below]
                except WayError:
                    continue  # the checker reports it
                parts[tie.key(joint.id)] = tuple(one)
        frames = self.pieces[start].frames
        return Seam(joint, first, second, held, ties, parts, frames[0].turn if frames else IDENTITY)

    @cached_property
    def assembled(self) -> tuple[Bond, ...]:
        """Pieces held in their assembly, since nobody recorded how.

        Pieces that recorded joints connect are held by these alone, but for one of them: nobody recorded how
        all of them together are held, so the heaviest is held in its assembly.
        """
        pairs = [Bond(seam.first, seam.second) for several in self.seams.values() for seam in several]
        sides = {side for bond in pairs for side in (bond.first, bond.second)}
        joined = clusters(sides, pairs)
        anchors: dict[int, int] = {}
        for side in sorted(sides):
            best = anchors.get(joined[side])
            if best is None or self.known_kg(side) > self.known_kg(best):
                anchors[joined[side]] = side
        alone = sides - set(anchors.values())
        return tuple(Bond(self.pieces[i].parent, i) for i in sorted(self.solid) if i > 0 and i not in alone)

    @cached_property
    def unrecorded(self) -> tuple[str, ...]:
        """Names of the parts about which nobody recorded how they are held, in the order of the tree."""
        told: set[int] = set()
        for several in self.seams.values():
            for seam in several:
                told |= {seam.first, seam.second, *(i for parts in seam.parts.values() for i in parts)}
        return tuple(dict.fromkeys(self.name(i) for i in sorted(self.leaves - told)))

    def bonds_of(self, joint: str, held: Sequence[Holding]) -> tuple[Bond, ...]:
        """What some ties of a joint bond, at every place where it sits; what holds no body is left out."""
        return tuple(
            Bond(
                seam.first,
                seam.second,
                tie.hold,
                seam.lets_go(tie),
                tie.both_ways,
                tie.sure,
                joint=joint,
                tie=tie.tie,
                what=tie.what,
            )
            for seam in self.seams.get(joint, ())
            for tie in held
            if tie.hold is not Hold.NOTHING
        )
