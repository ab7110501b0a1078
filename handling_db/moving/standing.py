"""Where a piece stands: which face, how far to every edge, at what tilt it goes over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.mechanics.centre_patch import Patch
from handling_db.mechanics.tipping import EdgeOfFace, Flat, Standing, stand
from handling_db.mechanics.vectors import Placement
from handling_db.moving.faces import land, opposite, room_words, towards
from handling_db.moving.figures import StandEdge, StandFigure
from handling_db.moving.load import MoveError, MoveLoad
from handling_db.moving.place import OnPallet, patch_on
from handling_db.quantities.amount import StaticsError
from handling_db.records.collection import Collection
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.three_valued import listed

STATIC_ONLY = "Static figures: braking, bumps, soft ground and oil that runs come on top and are not in them."
NOT_TIED = "As one body only if the piece is tied to its pallet; untied it goes over on its own face first."


@dataclass(frozen=True, slots=True)
class FaceHere:
    """A set-down face of something in the load, and where that sits in the root."""

    face: SetDownFace
    component: str
    frame: Placement


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


def words_on(collection: Collection, load: MoveLoad, on: OnPallet) -> tuple[str, str, str]:
    """What x, y and z of the pallet are on the piece, as it is installed: ``right``, ``up``, ``rearward``."""
    datum = collection.components[load.root].datum
    x, y, z = room_words(on.landed.turn, datum)
    steps = round(on.turned / (math.pi / 2)) % 4
    turned = {0: (x, y), 1: (opposite(y), x), 2: (opposite(x), opposite(y)), 3: (y, opposite(x))}[steps]
    return turned[0], turned[1], z


def on_its_face(
    load: MoveLoad, here: FaceHere, on: OnPallet, words: tuple[str, str], slope: float
) -> StandFigure:
    """The piece with its fluid on its own face. [rad]"""
    says: list[str] = []
    if here.face.may_rest == "no":
        says.append(f"It must not rest on {here.face.name}: recorded.")
    if here.face.may_rest is None:
        says.append(f"Whether it may rest on {here.face.name} is not recorded.")
    if here.face.remark:
        says.append(here.face.remark)
    try:
        patch: Patch | None = patch_on(load, on, everything=False)
        why = ""
    except StaticsError as error:
        patch, why = None, str(error)
    return _figure(
        f"{load.name} on its {here.face.name}",
        here.face,
        on.outline(),
        on.landed.radius is not None,
        patch,
        0.0,
        words,
        slope,
        why,
        tuple(says),
    )


def on_the_floor(
    load: MoveLoad,
    here: FaceHere,
    pallet: Pallet,
    whole: Patch | None,
    why: str,
    words: tuple[str, str],
    slope: float,
) -> StandFigure:
    """Piece and pallet as one body on the floor. [rad]"""
    deck = None if pallet.deck_height is None else float(pallet.deck_height.base)
    outline = pallet_outline(pallet)
    if deck is None and not why:
        why = f"the height of the deck of {pallet.name} is not recorded."
    if outline is None and not why:
        why = f"the size of {pallet.name} is not recorded."
    return _figure(
        f"{load.name} and {pallet.name} as one body on the floor",
        here.face,
        outline or (),
        False,
        whole,
        deck or 0.0,
        words,
        slope,
        why,
        (NOT_TIED,),
    )


def pallet_outline(pallet: Pallet) -> tuple[Flat, ...] | None:
    """What touches the floor: the outer corners of the feet, else the footprint. [m]"""
    if pallet.feet is not None:
        half = (
            float(pallet.feet.length.base) / 2 if pallet.feet.length else 0.0,
            float(pallet.feet.width.base) / 2 if pallet.feet.width else 0.0,
        )
        spots = [(float(x.base), float(y.base)) for x, y in pallet.feet.at]
        return tuple(
            (x + sx * half[0], y + sy * half[1]) for x, y in spots for sx in (-1.0, 1.0) for sy in (-1.0, 1.0)
        )
    if pallet.length is None or pallet.width is None:
        return None
    x, y = float(pallet.length.base) / 2, float(pallet.width.base) / 2
    return (-x, -y), (x, -y), (x, y), (-x, y)


def _figure(
    what: str,
    face: SetDownFace,
    outline: tuple[Flat, ...],
    is_round: bool,
    patch: Patch | None,
    deck: float,
    words: tuple[str, str],
    slope: float,
    why: str,
    says: tuple[str, ...],
) -> StandFigure:
    standing: Standing | None = None
    if patch is not None and not why:
        try:
            half = patch.half_widths
            standing = stand(outline, (patch.at[0], patch.at[1]), patch.at[2] + deck, patch=half, slope=slope)
        except StaticsError as error:
            why = str(error)
    edges: tuple[StandEdge, ...] = ()
    weakest: StandEdge | None = None
    if standing is not None:
        weakest = _edge(standing.weakest, words)
        shown = _told_apart(standing.edges) if is_round else standing.edges
        edges = tuple(_edge(edge, words) for edge in shown)
    return StandFigure(
        what=what,
        face=face.id,
        face_name=face.name,
        may_rest={"yes": "yes", "no": "no"}.get(face.may_rest or "", "nobody looked"),
        on=face.on or "",
        outline=standing.polygon if standing else tuple(outline),
        round=is_round,
        height_m=None if patch is None else patch.at[2] + deck,
        height_high_m=None if patch is None else patch.high[2] + deck,
        slope=math.degrees(slope),
        weakest=weakest,
        edges=edges,
        no_figures=why,
        says=(*says, STATIC_ONLY),
    )


def _outward(edge: EdgeOfFace) -> Flat:
    size = math.dist(edge.start, edge.end)
    return (edge.end[1] - edge.start[1]) / size, (edge.start[0] - edge.end[0]) / size


def _edge(edge: EdgeOfFace, words: tuple[str, str]) -> StandEdge:
    return StandEdge(
        towards=towards(_outward(edge), *words),
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
