"""What a move is asked about, and the records that it is about, looked up once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from handling_db.carrying.pallets import Gross
from handling_db.errors import UnknownNameError, not_there
from handling_db.lifting.load.answer import Assumed
from handling_db.lifting.set_down import by_its_shape
from handling_db.mechanics.centre_patch import Patch, Weighted
from handling_db.moving.figures import TransportTieFigure
from handling_db.moving.load import GoesWith, MoveError, MoveLoad, component_load, lift_load
from handling_db.moving.place import OnPallet, patch_on
from handling_db.moving.set_down import steepest
from handling_db.moving.standing import FaceHere, choose_face, faces_of, on_pallet
from handling_db.moving.trucks import TRUCKS, metres
from handling_db.quantities.amount import StaticsError
from handling_db.records.collection import Collection
from handling_db.records.in_hand import job_in_hand
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.packing import Packing
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.workplace import Fixture, Mover, Shop
from handling_db.records.parts.premises import FloorArea, Route
from handling_db.records.parts.texts import State
from handling_db.records.parts.three_valued import listed


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveQuestion:
    """What is asked about one move; everything left out is taken from the records or said to be missing.

    Parameters
    ----------
    what : str
        Id of a lift group or of a component.
    state : State, optional
        For a component only; a lift group says itself what is trapped in it.
    build : mapping of parameter to text
    packing, pallet, fixture, face, shop, route, job : str, optional
        Ids. ``none`` for packing, pallet or fixture means without one.
    lift_height : float, optional
        Highest fork height of the move. [m]
    carried_at : float, optional
        Height of its underside while it moves. [m]
    push_at : float, optional
        Height of a level push over what it stands on. [m]
    slope : float, optional
        Of the floor or ramp; otherwise the steepest that the route records. [rad]
    truck : str, optional
        Id of the one truck it is about; otherwise every one of the shop.
    assumed : mapping of component id to (low, high)
        Ranges given for parts without a mass. [kg]
    serial : int, optional
        Serial number of the unit at hand: its one open job counts without being named.
    """

    what: str
    state: State | None = None
    build: Mapping[str, str] | None = None
    packing: str | None = None
    pallet: str | None = None
    fixture: str | None = None
    face: str | None = None
    shop: str | None = None
    route: str | None = None
    job: str | None = None
    lift_height: float | None = None
    carried_at: float | None = None
    push_at: float | None = None
    slope: float | None = None
    truck: str | None = None
    assumed: Mapping[str, tuple[Fraction, Fraction]] | None = None
    serial: int | None = None


@dataclass(frozen=True, slots=True)
class CarriedBody:
    """A body that no record names, weighed already, and where its face stands on its stand. [m]"""

    load: MoveLoad
    at: tuple[float, float] | None = None


class MoveRecords:
    """The records a question is about, looked up once.

    Parameters
    ----------
    collection : Collection
    question : MoveQuestion
    body : CarriedBody, optional
        What is moved, where it is no recorded lift and no whole component.
    """

    def __init__(
        self, collection: Collection, question: MoveQuestion, body: CarriedBody | None = None
    ) -> None:
        self.collection = collection
        self.question = question
        self.body = body
        self.kind = kind_of(collection, question.what) if body is None else body.load.kind
        self.job: Job | None = wanted(collection, "job", question.job)
        if self.job is None:
            group = collection.lift_groups.get(question.what)
            self.job = job_in_hand(collection, group.root if group else question.what, question.serial)
        #: Of the unit at hand, by the job or as asked.
        self.serial: int | None = self.job.serial if self.job is not None else question.serial
        self.packing: Packing | None = self._packing()
        self.pallet: Pallet | None = self._pallet()
        self.fixture: Fixture | None = self._fixture()
        self.shop: Shop | None = self._shop()
        assumed: Assumed | None = question.assumed
        if body is not None:
            self.load: MoveLoad = body.load
        elif self.kind == "lift group":
            if question.state is not None:
                raise MoveError(
                    f"{question.what} is a lift group and says itself what fluid is trapped in it; "
                    "ask without a state."
                )
            self.load = lift_load(
                collection,
                collection.lift_groups[question.what],
                self.job,
                GoesWith(self.packing, self.pallet, assumed),
            )
        else:
            self.load = component_load(
                collection,
                question.what,
                state=question.state,
                build=question.build or {},
                goes_with=GoesWith(self.packing, self.pallet, assumed),
            )
        self.gross: Gross = self.load.gross()
        self.faces: tuple[FaceHere, ...] = faces_of(collection, self.load)
        self.face: FaceHere | None = choose_face(self.faces, self._face_id())
        self.routes: tuple[Route, ...] = self._routes()
        self.trucks: tuple[Mover, ...] = self._trucks()

    def open_jobs(self) -> tuple[Job, ...]:
        """The job asked about, else every open job on such a unit: its temporary ties may still be in."""
        if self.job is not None:
            return (self.job,)
        unit = self.load.root
        return tuple(
            job
            for _, job in sorted(self.collection.jobs.items())
            if job.unit == unit
            and job.closed is None
            and (self.serial is None or job.serial is None or job.serial == self.serial)
        )

    def _packing(self) -> Packing | None:
        asked = self.question.packing
        if asked == "none":
            return None
        if asked is not None:
            found: Packing = wanted(self.collection, "packing", asked)
            return found
        what = self.question.what
        fitting = [
            packing
            for packing in self.collection.packings.values()
            if what in (packing.for_lift_groups if self.kind == "lift group" else packing.for_components)
        ]
        return fitting[0] if len(fitting) == 1 else None

    def _pallet(self) -> Pallet | None:
        asked = self.question.pallet
        if asked == "none":
            return None
        code = asked or (self.packing.pallet if self.packing else None)
        found: Pallet | None = wanted(self.collection, "pallet", code)
        return found

    def _fixture(self) -> Fixture | None:
        """The stand it is set on: as asked; else, off a pallet, as the lift group says."""
        asked = self.question.fixture
        if asked is None and self.kind == "lift group" and self.pallet is None:
            down = self.collection.lift_groups[self.question.what].set_down
            asked = down.fixture if down else None
        found: Fixture | None = wanted(self.collection, "fixture", None if asked == "none" else asked)
        return found

    def piece_at(self) -> tuple[float, float] | None:
        """Where the middle of the face stands on its stand, as the lift group records it. [m]"""
        if self.body is not None:
            return self.body.at
        down = self.collection.lift_groups[self.question.what].set_down if self.kind == "lift group" else None
        if down is None or down.piece_at is None or self.fixture is None or down.fixture != self.fixture.id:
            return None
        return float(down.piece_at[0].base), float(down.piece_at[1].base)

    def own(self, on: OnPallet) -> Weighted | None:
        """A single piece without a recorded centre, over the face it stands on, by its shape. [m]"""
        x, y = ([point[axis] for point in on.landed.outline] for axis in (0, 1))
        return by_its_shape(self.collection, self.load.mass, (max(x) - min(x), max(y) - min(y)))

    def _shop(self) -> Shop | None:
        asked = self.question.shop
        if asked is None:
            asked = self.job.shop if self.job else None
        if asked is None and self.pallet is not None:
            asked = self.pallet.shop
        found: Shop | None = wanted(self.collection, "shop", asked)
        return found

    def _face_id(self) -> str | None:
        if self.question.face is not None:
            return self.question.face
        if self.packing is not None and self.packing.face is not None:
            return self.packing.face
        if self.kind == "lift group":
            down = self.collection.lift_groups[self.question.what].set_down
            return down.face if down else None
        return None

    def _routes(self) -> tuple[Route, ...]:
        if self.shop is None:
            return ()
        if self.question.route is None:
            return self.shop.routes
        named = [route for route in self.shop.routes if route.id == self.question.route]
        if not named:
            known = ", ".join(route.id for route in self.shop.routes) or "none"
            raise UnknownNameError(
                f"{self.shop.name} has no route {self.question.route!r}; recorded: {known}"
            )
        return tuple(named)

    def _trucks(self) -> tuple[Mover, ...]:
        movers = self.collection.movers
        if self.question.truck is not None:
            named: Mover = wanted(self.collection, "mover", self.question.truck)
            return (named,) if named.kind in TRUCKS else ()
        ids = self.shop.movers if self.shop else sorted(movers)
        return tuple(movers[code] for code in ids if code in movers and movers[code].kind in TRUCKS)

    def floors(self) -> tuple[FloorArea, ...]:
        """Floors of the routes asked about, else every floor of the shop."""
        if self.shop is None:
            return ()
        if self.question.route is None:
            return self.shop.floors
        wanted = {code for route in self.routes for code in route.over}
        return tuple(floor for floor in self.shop.floors if floor.id in wanted)

    def laid(self) -> tuple[OnPallet | None, str]:
        """The piece on its face, or why that cannot be said."""
        try:
            if self.face is None:
                known = ", ".join(one.face.id for one in self.faces)
                several = f"several are recorded ({known}); choose one"
                which = several if known else "none is recorded: nobody looked"
                raise StaticsError(f"which face it stands on is not known; {which}.")
            on = on_pallet(self.load, self.face)
            at = self.piece_at()
            return (on if at is None else replace(on, at=at)), ""
        except StaticsError as error:
            return None, str(error)

    def patch(self, on: OnPallet | None, *, everything: bool) -> Patch | str | None:
        """The centre of gravity, or why there is none."""
        if on is None:
            return None
        try:
            return patch_on(self.load, on, self.own(on), everything=everything)
        except StaticsError as error:
            return str(error)

    def slope(self) -> float | None:
        """The slope asked about, else the steepest one recorded on the way. [rad]"""
        return self.question.slope if self.question.slope is not None else steepest(self.routes)

    def size(self) -> tuple[float | None, float | None, float | None]:
        """Length, width and height of what travels, as recorded. [m]"""
        packing, pallet = self.packing, self.pallet
        length = metres(packing.length) if packing else None
        width = metres(packing.width) if packing else None
        if length is None and pallet is not None:
            length = metres(pallet.length)
        if width is None and pallet is not None:
            width = metres(pallet.width)
        return length, width, metres(packing.height) if packing else None

    def tag_component(self) -> str:
        """The component whose page stands for the piece: the one that is taken, if it is only one."""
        group = self.collection.lift_groups[self.question.what]
        return group.takes[0].of[-1] if len(group.takes) == 1 else group.root

    def ties(self) -> tuple[TransportTieFigure, ...]:
        """What holds for the journey, and temporary ties of the job that are still in."""
        found: list[TransportTieFigure] = []
        if self.packing is not None:
            found += [
                TransportTieFigure(tie.what, str(tie.count), tie.out_by or "not recorded")
                for tie in listed(self.packing.transport_ties)
            ]
        for job in self.open_jobs():
            for tie in job.open_temporary_ties:
                by = f"job {job.id}, {tie.by}, {tie.on.isoformat()}"
                found.append(TransportTieFigure(tie.what, str(tie.count), tie.out_by, by))
        return tuple(found)

    def ties_words(self) -> str:
        """Whether anybody looked for transport bolts."""
        if self.packing is None or self.packing.transport_ties is None:
            return "transport bolts and straps: nobody looked"
        if self.packing.transport_ties == "none":
            return f"transport bolts and straps: none, checked by {self.packing.checked_by}"
        return "transport bolts and straps: as listed"


def kind_of(collection: Collection, what: str) -> str:
    """``lift group`` or ``component``, by the id.

    Raises
    ------
    UnknownNameError, MoveError
        Nothing goes by it, or both do.
    """
    group, component = what in collection.lift_groups, what in collection.components
    if group and component:
        raise MoveError(f"{what!r} is a lift group and a component; give one of the two records another id.")
    if not group and not component:
        raise UnknownNameError(f"there is no lift group and no component {what!r} in this collection")
    return "lift group" if group else "component"


def wanted(collection: Collection, kind: str, code: str | None) -> Any:
    """A record by kind and id; None where none is asked for.

    Raises
    ------
    UnknownNameError
        There is no such record.
    """
    if code is None:
        return None
    shelf = collection.of_kind(kind)
    if code not in shelf:
        raise UnknownNameError(not_there(kind, code, sorted(shelf)))
    return shelf[code]
