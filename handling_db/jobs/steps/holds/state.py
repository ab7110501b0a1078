"""The state of a unit between two steps: ties out and in, pieces off, what carries which, which way up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from handling_db.jobs.steps.holds.bodies import Bond, bodies, carried, certain_of, permanent_of
from handling_db.jobs.steps.holds.holding import Hold, Holding
from handling_db.jobs.steps.holds.oil import OilIn
from handling_db.jobs.steps.holds.unit import Seam, Unit
from handling_db.mechanics.vectors import Vector
from handling_db.records.kinds.job_plan import Resting, TemporaryPlanned

TieKey = tuple[str, str]  # joint and tie


@dataclass(frozen=True, slots=True)
class Support:
    """What holds one piece itself, and with it everything that hangs from or rests on that piece.

    Parameters
    ----------
    kind : str
        ``hook``, ``hands``, ``machine``, ``not recorded``, or what it rests on.
    piece : int
        The piece that is held.
    rests : Resting or None
        Where it is set down.
    lift : str
        Lift group on the hook; empty otherwise.
    holds_kg : (low, high) or None
        What a step says the hook holds while the body stands as well. [kg]
    """

    kind: str
    piece: int
    rests: Resting | None = None
    lift: str = ""
    holds_kg: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class State:
    """Everything that a step changes.

    Parameters
    ----------
    out : frozenset of (joint, tie)
        Ties that are out.
    partly : mapping of (joint, tie) to int
        How many of a tie are out, while some are still in.
    temporary : mapping of id to TemporaryPlanned
        Those that are in.
    parted : frozenset of joint ids
    loose : frozenset of frozenset of pieces
        What was lifted off and set down: it hangs together in itself and with nothing else.
    aside : frozenset of pieces
        Off, and in no body any more.
    some : mapping of piece to int
        Of several alike, how many are off, while others are still on.
    freed : mapping of joint id to frozenset of pieces
        Ties that came free when the joint was parted, and went aside.
    up : mapping of piece to Vector
        Which way is up, in the frame of the unit; a piece without one: nobody recorded it.
    supports : frozenset of Support
    oil : tuple of OilIn
    """

    out: frozenset[TieKey] = frozenset()
    partly: Mapping[TieKey, int] = field(default_factory=dict)
    temporary: Mapping[str, TemporaryPlanned] = field(default_factory=dict)
    parted: frozenset[str] = frozenset()
    loose: frozenset[frozenset[int]] = frozenset()
    aside: frozenset[int] = frozenset()
    some: Mapping[int, int] = field(default_factory=dict)
    freed: Mapping[str, frozenset[int]] = field(default_factory=dict)
    up: Mapping[int, Vector] = field(default_factory=dict)
    supports: frozenset[Support] = frozenset()
    oil: tuple[OilIn, ...] = ()

    def pieces(self, unit: Unit) -> frozenset[int]:
        """Pieces that are in some body."""
        return unit.solid - self.aside

    def ties_in(self, seam: Seam) -> tuple[Holding, ...]:
        """The recorded ties of a joint that are still in."""
        joint = seam.joint.id
        if joint in self.parted:
            return ()
        return tuple(tie for key, tie in seam.ties.items() if (joint, key) not in self.out)

    def temporary_at(self, joint: str) -> tuple[TemporaryPlanned, ...]:
        """Temporary ties in across one joint."""
        return tuple(tie for tie in self.temporary.values() if tie.joint == joint)

    def bonds(self, unit: Unit) -> tuple[Bond, ...]:
        """Everything that holds pieces together now."""
        found = list(unit.assembled)
        for joint, seams in unit.seams.items():
            found += unit.bonds_of(joint, self.ties_in(seams[0]))
            for tie in self.temporary_at(joint):
                found += [
                    Bond(s.first, s.second, Hold.FAST, temporary=True, joint=joint, tie=tie.id, what=tie.what)
                    for s in seams
                ]
        return tuple(bond for bond in found if self._whole(bond))

    def _whole(self, bond: Bond) -> bool:
        """Whether a bond does not reach across the border of what was lifted off."""
        return not any((bond.first in off) != (bond.second in off) for off in self.loose) and not (
            bond.first in self.aside or bond.second in self.aside
        )

    def supported(self) -> frozenset[int]:
        """Pieces that something holds itself."""
        return frozenset(support.piece for support in self.supports)

    def bodies(self, unit: Unit) -> tuple[frozenset[int], ...]:
        """Pieces that still form one body, all ties that nobody looked at taken to hold; parts and all."""
        found = bodies(self.pieces(unit), self.bonds(unit), self.supported(), self.up.get)
        return tuple(body for body in found if body & unit.leaves)

    def body_of(self, unit: Unit, piece: int) -> frozenset[int]:
        """The body that a piece is in; empty where it is off."""
        return next((body for body in self.bodies(unit) if piece in body), frozenset())

    def held(self, unit: Unit, *, count: str = "all") -> frozenset[int]:
        """Pieces that something carries, by what is counted.

        Parameters
        ----------
        unit : Unit
        count : str
            ``all``: everything that may hold; ``certain``: what somebody looked at; ``lasting``: of
            that neither temporary ties nor a fit that the weight does not press together.
        """
        there, bonds = self.pieces(unit), self.bonds(unit)
        if count == "all":
            return carried(there, bonds, self.supported(), self.up.get, hopeful=True)
        if count == "certain":
            return carried(there, certain_of(bonds), self.supported(), self.up.get)
        lasting = permanent_of(certain_of(bonds))
        return carried(there, lasting, self.supported(), self.up.get, pressed_only=True)

    def carriers(self, body: frozenset[int]) -> tuple[Support, ...]:
        """What carries a body: hooks first, then what it rests on, in the order of pieces."""
        found = [support for support in self.supports if support.piece in body]
        return tuple(sorted(found, key=lambda s: (s.kind != "hook", s.piece, s.lift)))

    def turned(self, body: frozenset[int], up: Vector | None) -> State:
        """The same with a body turned so that `up` is up; unchanged where it is not known."""
        if up is None:
            return self
        return replace(self, up={**self.up, **dict.fromkeys(body, up)})
