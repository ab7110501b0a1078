"""Where a piece stands: which face, how far to every edge, at what tilt it goes over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from handling_db.lifting.set_down import feet_outline
from handling_db.mechanics.centre_patch import Patch
from handling_db.mechanics.on_stand import WayToTip
from handling_db.mechanics.tipping import EdgeOfFace, Flat, stand
from handling_db.mechanics.vectors import PlacedFrame, apply, compose, rotation
from handling_db.moving.faces import RoomSides, land
from handling_db.moving.figures import StandEdge, StandFigure
from handling_db.moving.load import MoveError, MoveLoad
from handling_db.moving.place import OnPallet
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Notice, refused
from handling_db.records.collection import Collection
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.workplace import Fixture
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.pick_point import vector_of
from handling_db.records.parts.three_valued import listed
from handling_db.records.sides import SideNames


@dataclass(frozen=True, slots=True)
class FaceHere:
    """A set-down face of something in the load, and where that sits in the root."""

    face: SetDownFace
    component: str
    frame: PlacedFrame


def faces_of(collection: Collection, load: MoveLoad) -> tuple[FaceHere, ...]:
    """Every recorded set-down face of what is in the load, once for each place.

    The root's own faces count even where a lift group leaves part of it behind.
    """
    found = []
    ways, sides = load.mass.ways, load.mass.sides
    for index, occurrence in enumerate(ways.found):
        if index != 0 and sides[index].part == 0:
            continue
        component = collection.components[ways.tree.component(occurrence.node)]
        if component.fluid is None and len(occurrence.frames) == 1:
            found += [
                FaceHere(face, component.id, occurrence.frames[0])
                for face in listed(component.set_down_faces)
            ]
    return tuple(found)


def choose_face(faces: Sequence[FaceHere], wanted: str | None) -> FaceHere | None:
    """The face asked for; without one, the only one that may be rested on.

    Raises
    ------
    MoveError
        No face, or several, go by the wanted id.
    """
    if wanted is not None:
        named = [here for here in faces if here.face.id == wanted]
        if len(named) != 1:
            known = ", ".join(here.face.id for here in faces) or "none recorded"
            many = "no face goes" if not named else f"{len(named)} faces go"
            raise MoveError(f"{many} by {wanted!r}; faces of what is moved: {known}")
        return named[0]
    may = [here for here in faces if here.face.may_rest == "yes"]
    return may[0] if len(may) == 1 else None


def on_pallet(load: MoveLoad, here: FaceHere) -> OnPallet:
    """The piece on its face, as the packing says it is turned and moved aside; else at the middle.

    Raises
    ------
    StaticsError
        The outline of the face is not recorded.
    """
    packing = load.packing
    at = (0.0, 0.0)
    turned = 0.0
    if packing is not None and packing.piece_at is not None:
        at = (float(packing.piece_at[0].base), float(packing.piece_at[1].base))
    if packing is not None and packing.piece_turned is not None:
        turned = math.radians(float(packing.piece_turned.split()[0]))
    return OnPallet(land(here.face, here.frame), turned, at)


def sides_on(collection: Collection, load: MoveLoad, on: OnPallet) -> RoomSides:
    """What the sides around the piece are called as it lies on its pallet."""
    faces = [
        (here.face.name, apply(here.frame.turn, vector_of(here.face.square_to)))
        for here in faces_of(collection, load)
        if here.face.square_to is not None
    ]
    turn = compose(rotation(0.0, 0.0, on.turned), on.landed.turn)
    return RoomSides(SideNames(collection.components[load.root], faces), turn)


def on_its_face(
    load: MoveLoad, here: FaceHere, on: OnPallet, sides: RoomSides, way: WayToTip, slope: float
) -> StandFigure:
    """The piece with its fluid on its own face. [rad]"""
    says: list[Notice] = []
    if here.face.may_rest == "no":
        says.append(Notice("must not rest", {"face": here.face.name}))
    if here.face.may_rest is None:
        says.append(Notice("may rest nobody wrote", {"face": here.face.name}))
    if here.face.remark:
        says.append(Notice("open", {"why": here.face.remark}))
    what = f"{load.name} on its {here.face.name}"
    figure = _figure(what, here.face, on, _EdgeNames(sides), way, slope)
    return replace(figure, says=tuple(says))


def on_the_floor(
    load: MoveLoad,
    here: FaceHere,
    pallet: Pallet,
    whole: Patch | str | None,
    sides: RoomSides,
    slope: float,
) -> StandFigure:
    """Piece and pallet as one body on the floor; `whole` says why where there is no centre. [rad]"""
    why = Notice("not worked out", {"why": whole}) if isinstance(whole, str) else None
    deck = None if pallet.deck_height is None else float(pallet.deck_height.base)
    outline = pallet_outline(pallet)
    if why is None and (deck is None or outline is None):
        why = Notice("no deck height" if deck is None else "no size of it", {"name": pallet.name})
    way = WayToTip("stand", None, None, why)
    if isinstance(whole, Patch) and outline is not None and deck is not None and not why:
        height = whole.at[2] + deck
        try:
            half = whole.half_widths
            standing = stand(outline, (whole.at[0], whole.at[1]), height, patch=half, slope=slope)
            way = WayToTip("stand", standing, height, None)
        except StaticsError as error:
            way = WayToTip("stand", None, height, refused(error))
    what = f"{load.name} and {pallet.name} as one body on the floor"
    figure = _figure(what, here.face, outline or (), _EdgeNames(sides, "the pallet"), way, slope)
    return replace(figure, says=(Notice("one body if tied"),))


def on_its_stand(
    load: MoveLoad, here: FaceHere, fixture: Fixture, sides: RoomSides, way: WayToTip, slope: float
) -> StandFigure:
    """Piece and stand as one body on the floor. [rad]"""
    what = f"{load.name} and {fixture.name} as one body on the floor"
    outline = feet_outline(fixture.feet) if fixture.feet is not None else ()
    return _figure(what, here.face, outline, _EdgeNames(sides, "the stand"), way, slope)


def pallet_outline(pallet: Pallet) -> tuple[Flat, ...] | None:
    """What touches the floor: the outer corners of the feet, else the footprint. [m]"""
    if pallet.feet is not None:
        return feet_outline(pallet.feet)
    if pallet.length is None or pallet.width is None:
        return None
    x, y = float(pallet.length.base) / 2, float(pallet.width.base) / 2
    return (-x, -y), (x, -y), (x, y), (-x, y)


@dataclass(frozen=True, slots=True)
class _EdgeNames:
    """What edges are called: those of a pallet or stand by its own x and y, then by the piece."""

    sides: RoomSides
    of: str = ""

    def towards(self, out: Flat) -> str:
        words = self.sides.towards(out)
        if not self.of:
            return words
        x, y = out
        axis = "x" if abs(x) >= abs(y) else "y"
        return f"{'high' if (x if axis == 'x' else y) > 0 else 'low'} {axis} of {self.of}, {words}"


def _figure(
    what: str,
    face: SetDownFace,
    on: OnPallet | Sequence[Flat],
    names: _EdgeNames,
    way: WayToTip,
    slope: float,
) -> StandFigure:
    outline = on.outline() if isinstance(on, OnPallet) else tuple(on)
    is_round = isinstance(on, OnPallet) and on.landed.radius is not None
    standing = way.standing
    edges: tuple[StandEdge, ...] = ()
    weakest: StandEdge | None = None
    if standing is not None:
        weakest = _edge(standing.weakest, names)
        shown = _told_apart(standing.edges) if is_round else standing.edges
        edges = tuple(_edge(edge, names) for edge in shown)
    return StandFigure(
        what=what,
        face=face.id,
        face_name=face.name,
        may_rest={"yes": "yes", "no": "no"}.get(face.may_rest or "", "nobody looked"),
        on=face.on or "",
        outline=standing.polygon if standing else outline,
        round=is_round,
        height_m=way.height_m,
        height_high_m=standing.height_m if standing else way.height_m,
        slope=math.degrees(slope),
        weakest=weakest,
        edges=edges,
        no_figures=way.why_not,
        says=(),
    )


def _outward(edge: EdgeOfFace) -> Flat:
    size = math.dist(edge.start, edge.end)
    return (edge.end[1] - edge.start[1]) / size, (edge.start[0] - edge.end[0]) / size


def _edge(edge: EdgeOfFace, names: _EdgeNames) -> StandEdge:
    return StandEdge(
        towards=names.towards(_outward(edge)),
        start=edge.start,
        end=edge.end,
        base_m=edge.base_m,
        best_base_m=edge.best_base_m,
        tips_at=math.degrees(edge.tips_at),
        best_tips_at=math.degrees(edge.best_tips_at),
    )


def _told_apart(edges: Sequence[EdgeOfFace]) -> tuple[EdgeOfFace, ...]:
    """Of the many short edges that stand for a rim, the four that look along the axes."""
    axes: tuple[Flat, ...] = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
    return tuple(
        max(edges, key=lambda edge: _outward(edge)[0] * axis[0] + _outward(edge)[1] * axis[1])
        for axis in axes
    )
