"""What each body weighs and where its centre lies, by the same evidence as everywhere."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from handling_db.jobs.steps.holds.oil import OilIn, held_in
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.lifting.figures import CentreFigure
from handling_db.lifting.load.answer import Assumed, group_mass
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.mechanics.centre_patch import centre_patch
from handling_db.mechanics.vectors import Vector, rotation_onto
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError, total
from handling_db.records.kinds.job import Job, TakenOff
from handling_db.records.kinds.lift_group import LiftGroup, Mention

UP: Vector = (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class WeighedBody:
    """A body with its fluid: everything that standing and lifting ask of it.

    Parameters
    ----------
    mass : GroupMass
        With the fluid in it as extras.
    kg : Amount or None
        None where nothing of it has a mass. [kg]
    missing : tuple of str
    """

    mass: GroupMass
    kg: Amount | None
    missing: tuple[str, ...]

    def centre(self, up: Vector | None) -> tuple[CentreFigure | None, str]:
        """The centre in the frame of the unit and in the room, or why there is none. [m]"""
        turn = rotation_onto(up or UP, UP)
        pieces, sums = self.mass.by_parts()
        try:
            own, room = centre_patch(pieces, sums=sums), centre_patch(pieces, turn, sums)
        except StaticsError as error:
            return None, str(error)
        return CentreFigure(own.at, own.low, own.high, room.at, room.low, room.high), ""


def some_taken(
    unit: Unit, piece: int, many: int, on: datetime.date = datetime.date.min, by: str = "the plan"
) -> TakenOff:
    """So many of several alike as a unit in hand writes them down."""
    fields = {"of": list(unit.pieces[piece].lines), "quantity": str(many), "on": on.isoformat(), "by": by}
    return TakenOff.model_validate(fields)


class Scales:
    """Weighs bodies of one unit, each once.

    Parameters
    ----------
    unit : Unit
    assumed : mapping of component id to (low, high), optional
        Ranges for parts without a mass, given by whoever asks. [kg]
    """

    def __init__(self, unit: Unit, assumed: Assumed | None = None) -> None:
        self.unit = unit
        self.assumed = dict(assumed or {})
        self._dry: dict[tuple[frozenset[int], frozenset[tuple[int, int]]], GroupMass] = {}

    def dry(self, body: frozenset[int], some: Mapping[int, int] | None = None) -> GroupMass:
        """The pieces of a body without any fluid, and without so many of several alike."""
        off = frozenset((piece, many) for piece, many in (some or {}).items() if piece in body)
        if (body, off) not in self._dry:
            group = self._group(body)
            inside = {self.unit.component(i).id for i in body & self.unit.leaves}
            assumed = {code: limits for code, limits in self.assumed.items() if code in inside}
            job = self._job(dict(off)) if off else None
            self._dry[body, off] = group_mass(self.unit.collection, group, job=job, assumed=assumed)
        return self._dry[body, off]

    def _job(self, some: Mapping[int, int]) -> Job:
        """The unit with so many of several alike off already."""
        return Job.model_construct(
            job="this plan", unit=self.unit.root.id, serial=None, build=dict(self.unit.texts),
            off=tuple(some_taken(self.unit, piece, many) for piece, many in sorted(some.items())),
        )  # fmt: skip

    def weigh(
        self,
        body: frozenset[int],
        oil: Iterable[OilIn],
        there: frozenset[int],
        some: Mapping[int, int] | None = None,
    ) -> WeighedBody:
        """A body with what it holds of the fluid.

        Parameters
        ----------
        body : frozenset of pieces
        oil : iterable of OilIn
        there : frozenset of pieces
            Everything that is not put aside: what is put aside holds no fluid.
        some : mapping of piece to int, optional
            Of several alike, how many are off.
        """
        extras = held_in(body, oil, self.unit.leaves & there)
        mass = replace(self.dry(body, some), extras=extras)
        missing = (*mass.missing, *(e.name for e in extras if e.amount is None or e.amount.high is None))
        try:
            amount = total(mass.parts()).amount
        except UnknownMassError:
            return WeighedBody(mass, None, missing)
        high = None if missing else amount.high
        return WeighedBody(mass, Amount(amount.low, amount.best, high), missing)

    def _group(self, body: frozenset[int]) -> LiftGroup:
        """The body as a lift group: mentioned wherever a piece is on another side than what it belongs to."""
        takes: list[Mention] = []
        leaves: list[Mention] = []
        for index in sorted(self.unit.solid):
            piece = self.unit.pieces[index]
            above = piece.parent in body if index else False
            if (index in body) != above:
                way = Mention(of=piece.lines or (self.unit.root.id,))
                (takes if index in body else leaves).append(way)
        return LiftGroup.model_construct(
            lift_group="this body",
            name=self.name(body),
            root=self.unit.root.id,
            build=dict(self.unit.texts),
            takes=tuple(takes),
            leaves=tuple(leaves),
            trapped="none",
            packing="none",
            checked_by="the plan",
        )

    def name(self, body: frozenset[int]) -> str:
        """What a body is called: the lowest assembly that holds all of it, else its heaviest piece there."""
        unit = self.unit
        here = 0
        leaves = body & unit.leaves
        while True:
            inside = [i for i in unit.ways.below.get(here, ()) if i in unit.solid and unit.under(i) & leaves]
            if len(inside) == 1:
                here = inside[0]
                continue
            whole = len(leaves) * 2 > len(unit.under(here) & unit.leaves)
            if here or whole or not inside:
                return unit.name(here)
            return unit.name(max(inside, key=lambda i: sum(unit.known_kg(j) for j in unit.under(i) & leaves)))
