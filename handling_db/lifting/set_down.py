"""Where a lifted piece is set down: its recorded faces, and what it takes to tip on one of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.families.build import BuildError, worked_measure
from handling_db.lifting.figures import EdgeFigure, LandingFigure, SetDownFigure
from handling_db.lifting.load import GroupMass
from handling_db.mechanics.centre_patch import Weighted, centre_patch
from handling_db.mechanics.tipping import EdgeOfFace, NotStandingError, stand
from handling_db.mechanics.vectors import Vector, apply, cross, rotation_onto, transpose, unit
from handling_db.quantities.amount import StaticsError
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.common import Datum, opposite_direction
from handling_db.records.parts.pick_point import vector_of
from handling_db.records.parts.texts import Point
from handling_db.records.parts.three_valued import listed

ROUND = 360  # corners that a round face is drawn with, all on its circle: never larger than the circle


def axis_words(datum: Datum | None) -> dict[int, tuple[str, str]]:
    """Each axis with the word for its direction and for the opposite one."""
    if datum is None:
        return {0: ("+x", "-x"), 1: ("+y", "-y"), 2: ("+z", "-z")}
    words = (datum.x, datum.y, datum.z)
    return {i: (word, opposite_direction(word)) for i, word in enumerate(words)}


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
        return LandingFigure(place, float(down.rated.base), f"{down.rated}, {down.rated_by}", load_kg)
    if fixture is not None and fixture.rated_load is not None and fixture.standing == "rated":
        words = f"{fixture.rated_load}, by the record of {fixture.name}"
        return LandingFigure(place, float(fixture.rated_load.base), words, load_kg)
    if fixture is not None:
        return LandingFigure(place, None, f"{fixture.name}: {fixture.standing}", load_kg)
    return LandingFigure(place, None, "nobody looked what it is rated for", load_kg)


@dataclass(frozen=True, slots=True)
class PlacedFace:
    """A set-down face of a piece, its corners and the way it looks in the root's frame. [m]"""

    face: SetDownFace
    component: str
    corners: tuple[Vector, ...]
    looks: Vector | None


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

        def point(text: Point) -> Vector:
            x, y, z = (float(worked_measure(v, build, component.parameters)) for v in text)  # noqa: B023
            return x, y, z

        for face in faces:
            looks = apply(frame.turn, vector_of(face.square_to)) if face.square_to else None
            try:
                own = _outline(face, [point(corner) for corner in face.corners], point)
            except BuildError:
                own = []
            found.append(PlacedFace(face, code, tuple(frame.to_parent(p) for p in own), looks))
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
    around = []
    for step in range(ROUND):
        angle = 2 * math.pi * step / ROUND
        c, s = radius * math.cos(angle), radius * math.sin(angle)
        x, y, z = (middle[i] + c * across[i] + s * other[i] for i in range(3))
        around.append((x, y, z))
    return around


def set_down_figure(collection: Collection, group: LiftGroup, mass: GroupMass) -> SetDownFigure:
    """Where the group is set down, by its own record."""
    down = group.set_down
    faces = faces_of(collection, mass)
    must_not = tuple(f"{face.face.name} of {face.component}" for face in faces if face.face.may_rest == "no")
    if down is None:
        why = "nobody looked where it is set down."
        return SetDownFigure("nobody looked", "", "nobody looked", None, None, must_not, (), not_known=why)
    on = down.on or "nobody looked"
    if down.face is None:
        why = "nobody looked on which face."
        return SetDownFigure(on, "nobody looked", "nobody looked", None, None, must_not, (), not_known=why)
    return on_face(collection, faces, down.face, mass.weighted(), group.root, on=on)


def on_face(
    collection: Collection,
    faces: Sequence[PlacedFace],
    face_id: str,
    weighted: Sequence[Weighted],
    root: str,
    *,
    on: str,
) -> SetDownFigure:
    """How a load stands on one of its recorded faces.

    Parameters
    ----------
    collection : Collection
    faces : sequence of PlacedFace
        Of the load.
    face_id : str
    weighted : sequence of Weighted
        Masses and places of the load, in the root's frame. [kg, m]
    root : str
        Whose datum names the directions.
    on : str
        What it stands on, in words.
    """
    must_not = tuple(f"{face.face.name} of {face.component}" for face in faces if face.face.may_rest == "no")
    named = [face for face in faces if face.face.id == face_id]
    if not named:
        known = ", ".join(face.face.id for face in faces) or "none is recorded"
        says = (f"no set-down face {face_id!r} is recorded on what is lifted; there are: {known}.",)
        return SetDownFigure(on, face_id, "nobody looked", None, None, must_not, (), not_known=says[0])
    placed = named[0]
    may = {"yes": "may rest on it", "no": "must not rest on it"}.get(
        placed.face.may_rest or "", "nobody looked"
    )
    says_list = [placed.face.remark] if placed.face.remark else []
    if placed.face.on and on == "nobody looked":
        on = placed.face.on
    if not placed.corners or placed.looks is None:
        why = "the outline of the face is not recorded, so no tip angle can be given."
        return SetDownFigure(on, placed.face.name, may, None, None, must_not, tuple(says_list), not_known=why)
    down = rotation_onto(placed.looks, (0.0, 0.0, -1.0))
    corners = [apply(down, corner) for corner in placed.corners]
    floor = min(corner[2] for corner in corners)
    try:
        patch = centre_patch(weighted, down)
        half = patch.half_widths
        standing = stand(
            [(x, y) for x, y, _ in corners], (patch.at[0], patch.at[1]), patch.at[2] - floor, patch=half
        )
    except NotStandingError as error:
        return SetDownFigure(
            on,
            placed.face.name,
            may,
            patch.at[2] - floor,
            None,
            must_not,
            tuple(says_list),
            outside_m=error.outside_m,
            surely=error.surely,
        )
    except StaticsError as error:
        return SetDownFigure(
            on, placed.face.name, may, None, None, must_not, tuple(says_list), not_known=str(error)
        )
    words = axis_words(collection.components[root].datum)
    edge = standing.weakest
    figure = EdgeFigure(_towards(edge, down, words), edge.base_m, math.degrees(edge.tips_at))
    return SetDownFigure(on, placed.face.name, may, patch.at[2] - floor, figure, must_not, tuple(says_list))


def _towards(
    edge: EdgeOfFace,
    down: tuple[Vector, Vector, Vector],
    words: dict[int, tuple[str, str]],
) -> str:
    """The direction over an edge in the words of the root's frame."""
    dx, dy = edge.end[0] - edge.start[0], edge.end[1] - edge.start[1]
    out = apply(transpose(down), (dy, -dx, 0.0))
    axis = max(range(3), key=lambda i: abs(out[i]))
    return words[axis][0 if out[axis] > 0 else 1]
