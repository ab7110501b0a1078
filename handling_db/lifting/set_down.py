"""Where a lifted piece is set down: its recorded faces, and what it takes to tip on one of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.families.build import Build, BuildError, worked_measure
from handling_db.lifting.extras import stated_amount
from handling_db.lifting.figures import EdgeFigure, LandingFigure, SetDownFigure
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.on_stand import StandBody, lesser, moved, ways_to_tip
from handling_db.mechanics.tipping import EdgeOfFace
from handling_db.mechanics.vectors import (
    Matrix,
    PlacedFrame,
    Vector,
    apply,
    around,
    cross,
    rotation_onto,
    transpose,
    unit,
)
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.workplace import Fixture
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.common import opposite_direction
from handling_db.records.parts.measures import Point
from handling_db.records.parts.pick_point import vector_of
from handling_db.records.parts.premises import Feet
from handling_db.records.parts.three_valued import listed
from handling_db.records.sides import SideNames
from handling_db.weights.own_centre import over_face, shape_extent

ROUND = 360  # corners that a round face is drawn with, all on its circle: never larger than the circle


def axis_words(component: Component, turn: Matrix) -> dict[int, tuple[str, str]]:
    """Each axis with the word for its direction and for the opposite one, as the piece lies in the room.

    Upright the words of the datum do: left, forward. Turned, "up" would be said of what now looks aside:
    then it is the recorded name of the side, or ``top (as installed)``.

    Parameters
    ----------
    component : Component
        Whose frame it is.
    turn : Matrix
        From its frame into the room.
    """
    names = SideNames(component)
    upright = names.up is None or apply(turn, names.up)[2] > 0.999
    if upright:
        datum = component.datum
        if datum is None:
            return {0: ("+x", "-x"), 1: ("+y", "-y"), 2: ("+z", "-z")}
        words = (datum.x, datum.y, datum.z)
        return {i: (word, opposite_direction(word)) for i, word in enumerate(words)}
    return {i: (_side(names.axis(axis)), _side(names.axis(f"-{axis}"))) for i, axis in enumerate("xyz")}


def _side(name: str) -> str:
    """A name that reads well before "side": ``output``, ``top (as installed)``."""
    bare = name.removeprefix("the ").removeprefix("its ")
    bare = bare.removesuffix(" as installed")
    if bare in ("left side", "right side"):  # true however it lies
        return bare.removesuffix(" side")
    installed = " (as installed)" if bare != name.removeprefix("the ").removeprefix("its ") else ""
    return f"{bare.removesuffix(' side')}{installed}"


def landing_figure(collection: Collection, group: LiftGroup, load_kg: float | None) -> LandingFigure:
    """What the landing place is rated for, by its own record or that of its fixture, beside the load. [kg]"""
    down = group.set_down
    if down is None:
        return LandingFigure("nobody looked", None, "nobody looked", load_kg)
    fixture = collection.fixtures.get(down.fixture or "")
    place = down.on or (fixture.name if fixture else "nobody looked")
    if down.rated == "none":
        return LandingFigure(place, None, f"no rating, says {down.rated_by}", load_kg)
    if down.rated is not None and not isinstance(down.rated, str):
        return LandingFigure(place, float(down.rated.base), f"says {down.rated_by}", load_kg)
    if fixture is not None and fixture.rated_load is not None and fixture.standing == "rated":
        words = f"by the record of {fixture.name}"
        return LandingFigure(place, float(fixture.rated_load.base), words, load_kg)
    if fixture is not None:
        return LandingFigure(place, None, f"{fixture.name}: {fixture.standing}", load_kg)
    return LandingFigure(place, None, "nobody looked what it is rated for", load_kg)


@dataclass(frozen=True, slots=True)
class PlacedFace:
    """A set-down face of a piece, where the piece is, and the way the face looks in the root's frame. [m]"""

    face: SetDownFace
    component: Component
    build: Build
    frame: PlacedFrame
    looks: Vector | None

    @property
    def corners(self) -> tuple[Vector, ...]:
        """What touches, in the root's frame; worked out when asked for: a round one has hundreds. [m]"""

        def point(text: Point) -> Vector:
            x, y, z = (float(worked_measure(v, self.build, self.component.parameters)) for v in text)
            return x, y, z

        try:
            own = _outline(self.face, [point(corner) for corner in self.face.touches], point)
        except BuildError:
            own = []
        return tuple(self.frame.to_parent(p) for p in own)


def faces_of(collection: Collection, mass: GroupMass) -> tuple[PlacedFace, ...]:
    """Every recorded set-down face of what is in the group, and of the assemblies it is part of."""
    found = []
    for index, occurrence in enumerate(mass.ways.found):
        code, build = mass.ways.tree.nodes[occurrence.node]
        component = collection.components[code]
        faces = listed(component.set_down_faces)
        if not faces or len(occurrence.frames) != 1 or occurrence.pieces != 1:
            continue
        if not any(mass.sides[i].part > 0 for i in mass.ways.under(index)):
            continue
        frame = occurrence.frames[0]
        for face in faces:
            looks = apply(frame.turn, vector_of(face.square_to)) if face.square_to else None
            found.append(PlacedFace(face, component, build, frame, looks))
    return tuple(found)


def _outline(face: SetDownFace, corners: list[Vector], point: object) -> list[Vector]:
    if face.circle is None or face.square_to is None:
        return corners
    assert callable(point)
    middle: Vector = point(face.circle.at)
    radius = float(face.circle.radius.base)
    axis = vector_of(face.square_to)
    across = (axis[1], axis[2], axis[0])
    other = unit(cross(axis, across))
    ring = []
    for step in range(ROUND):
        angle = 2 * math.pi * step / ROUND
        c, s = radius * math.cos(angle), radius * math.sin(angle)
        x, y, z = (middle[i] + c * across[i] + s * other[i] for i in range(3))
        ring.append((x, y, z))
    return ring


def _must_not(faces: Sequence[PlacedFace]) -> tuple[str, ...]:
    """Faces that are recorded as ones to keep off, each with the name of its piece."""
    return tuple(f"{face.face.name} of {face.component.name}" for face in faces if face.face.may_rest == "no")


def set_down_figure(collection: Collection, group: LiftGroup, mass: GroupMass) -> SetDownFigure:
    """Where the group is set down, by its own record."""
    down = group.set_down
    if down is None or down.face is None:
        must_not = _must_not(faces_of(collection, mass))
        on, face, why = "nobody looked", "", Notice("where set down nobody looked")
        if down is not None:
            on, face, why = down.on or on, "nobody looked", Notice("which face nobody looked")
        return SetDownFigure(on, face, "nobody looked", None, None, must_not, (), not_known=why)
    on = down.on or "nobody looked"
    body = None
    says: tuple[Notice, ...] = ()
    fixture = collection.fixtures.get(down.fixture or "")
    if fixture is not None:
        at = None if down.piece_at is None else (float(down.piece_at[0].base), float(down.piece_at[1].base))
        body = stand_body(fixture, at or (0.0, 0.0))
        says = stand_gaps(fixture, at is not None)
    return on_face(collection, mass, down.face, on=on, body=body, says=says)


def on_face(
    collection: Collection,
    mass: GroupMass,
    face_id: str,
    *,
    on: str,
    body: StandBody | None = None,
    says: Sequence[Notice] = (),
) -> SetDownFigure:
    """How a load stands on one of its recorded faces, and on the stand it is set on; the lesser is shown.

    Parameters
    ----------
    collection : Collection
    mass : GroupMass
        The load.
    face_id : str
    on : str
        What it stands on, in words.
    body : StandBody or None
        The stand it is set on.
    says : sequence of Notice
        What the records of the stand leave open.
    """
    faces = faces_of(collection, mass)
    must_not = _must_not(faces)
    named = [face for face in faces if face.face.id == face_id]
    if not named:
        known = ", ".join(face.face.id for face in faces) or "none is recorded"
        why = Notice("no such face here", {"face": repr(face_id), "known": known})
        return SetDownFigure(on, face_id, "nobody looked", None, None, must_not, (), not_known=why)
    placed = named[0]
    may = {"yes": "may rest on it", "no": MUST_NOT}.get(placed.face.may_rest or "", "nobody looked")
    remark = [Notice("as recorded", {"told": placed.face.remark})] if placed.face.remark else []
    says_list = [*remark, *says]
    if placed.face.on and on == "nobody looked":
        on = placed.face.on
    touching = placed.corners
    if not touching or placed.looks is None:
        why = Notice("no outline of the face")
        return SetDownFigure(on, placed.face.name, may, None, None, must_not, tuple(says_list), not_known=why)
    down = rotation_onto(placed.looks, (0.0, 0.0, -1.0))
    corners = [apply(down, corner) for corner in touching]
    low, high = around(corners)
    # From the middle of the face, and over it.
    by = (-(low[0] + high[0]) / 2, -(low[1] + high[1]) / 2, -low[2])
    outline = [(x + by[0], y + by[1]) for x, y, _ in corners]
    pieces = moved(mass.weighted(), down, by)
    own = by_its_shape(collection, mass, (high[0] - low[0], high[1] - low[1]))
    if own is not None:
        pieces = [own, *(piece for piece in pieces if piece.name != own.name)]
        says_list.append(NO_CENTRE)
    ways = ways_to_tip(pieces, outline, body)
    least = lesser(ways)
    says_list += [
        Notice("no figures for a body", {"body": _BODY[way.body], "why": way.why_not})
        for way in ways
        if way.why_not and way is not least
    ]
    if least is None or (least.standing is None and least.outside_m is None):
        none = next((way.why_not for way in ways if way.why_not), None)
        told = tuple(says_list)
        return SetDownFigure(on, placed.face.name, may, None, None, must_not, told, not_known=none)
    if least.standing is None:
        return SetDownFigure(
            on,
            placed.face.name,
            may,
            ways[0].height_m,
            None,
            must_not,
            tuple(says_list),
            outside_m=least.outside_m,
            surely=least.surely,
        )
    edge = least.standing.weakest
    names = SideNames(
        collection.components[mass.group.root], [(face.face.name, face.looks) for face in faces if face.looks]
    )
    figure = EdgeFigure(
        _towards(edge, down, names),
        edge.base_m,
        math.degrees(edge.tips_at),
        "" if body is None else _BODY[least.body],
    )
    height = ways[0].height_m
    return SetDownFigure(on, placed.face.name, may, height, figure, must_not, tuple(says_list))


_BODY = {"piece": "the piece on what it is set on", "stand": "stand and piece together on the floor"}
MUST_NOT = "must not rest on it"
NO_CENTRE = Notice("centre by its shape")


def by_its_shape(collection: Collection, mass: GroupMass, face: tuple[float, float]) -> Weighted | None:
    """A single piece whose centre nobody recorded, over the face it stands on, by the size of its shape.

    None where it is made of parts, its centre is recorded, or it has no shape: then it stays at its datum.
    """
    if len(mass.carried) != 1 or not mass.carried[0].at_datum or mass.carried[0].mass is None:
        return None
    carried = mass.carried[0]
    code, build = mass.ways.tree.nodes[mass.ways.found[carried.index].node]
    extent = shape_extent(collection.components[code], build, collection.materials)
    if extent is None or carried.pieces != 1:
        return None
    best, low, high = over_face(extent, face)
    named = next(piece for piece in mass.weighted() if piece.name == carried.name)
    return Weighted(carried.name, named.amount, best, (low, high))


def stand_body(fixture: Fixture, at: tuple[float, float]) -> StandBody:
    """A recorded stand as a body on the floor, with the middle of the face at a point over its feet. [m]"""
    outline = feet_outline(fixture.feet) if fixture.feet is not None else ()
    deck = None if fixture.height is None else float(fixture.height.base)
    own: Weighted | None = None
    amount = stated_amount(fixture.own_mass, fixture.plus_or_minus)
    if amount is not None:
        if fixture.centre is not None:
            x, y, z = (float(value.base) for value in fixture.centre)
            own = Weighted(fixture.name, amount, (x, y, z))
        elif outline and deck is not None:
            # Nobody recorded its centre: anywhere over its feet, up to what it carries.
            low, high = ([pick(p[i] for p in outline) for i in (0, 1)] for pick in (min, max))
            own = Weighted(fixture.name, amount, None, ((low[0], low[1], 0.0), (high[0], high[1], deck)))
    bears: tuple[tuple[float, float], ...] = tuple((float(x.base), float(y.base)) for x, y in fixture.bears)
    if fixture.bears_radius is not None:
        radius = float(fixture.bears_radius.base)
        turns = [2 * math.pi * step / ROUND for step in range(ROUND)]
        bears = tuple((radius * math.cos(turn), radius * math.sin(turn)) for turn in turns)
    return StandBody(fixture.name, outline, deck, own, bears, at)


def stand_gaps(fixture: Fixture, placed: bool) -> tuple[Notice, ...]:
    """What the record of a stand leaves open, as far as figures are given all the same."""
    said = []
    if not fixture.bears and fixture.bears_radius is None:
        said.append("where it bears not recorded")
    if not placed:
        said.append("where on the stand not recorded")
    if fixture.own_mass is not None and fixture.centre is None:
        said.append("centre of the stand not recorded")
    return tuple(Notice(kind, {"name": fixture.name}) for kind in said)


def feet_outline(feet: Feet) -> tuple[tuple[float, float], ...]:
    """The outer corners of what touches the floor. [m]"""
    half = (
        float(feet.length.base) / 2 if feet.length else 0.0,
        float(feet.width.base) / 2 if feet.width else 0.0,
    )
    return tuple(
        (float(x.base) + sx * half[0], float(y.base) + sy * half[1])
        for x, y in feet.at
        for sx in (-1.0, 1.0)
        for sy in (-1.0, 1.0)
    )


def _towards(edge: EdgeOfFace, down: Matrix, names: SideNames) -> str:
    """The direction over an edge in words of the piece as it lies."""
    dx, dy = edge.end[0] - edge.start[0], edge.end[1] - edge.start[1]
    upright = names.up is not None and apply(down, names.up)[2] > 0.999
    return names.towards(apply(transpose(down), (dy, -dx, 0.0)), upright=upright)


def standing_notices(down: SetDownFigure) -> list[Notice]:
    """Whether it stands on its face, and may rest on it."""
    said = []
    if down.outside_m is not None:
        kind = "does not stand" if down.surely else "may not stand"
        said.append(Notice(kind, {"face": down.face, "outside_m": down.outside_m}))
    if down.may_rest == MUST_NOT:
        said.append(Notice("must not rest", {"face": down.face}))
    return said
