"""Two ways to tip: a piece on the stand it is set on, and stand and piece together on the floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.mechanics.centre_patch import Weighted, centre_patch
from handling_db.mechanics.tipping import FaceStanding, Flat, NotStandingError, stand, support_polygon
from handling_db.mechanics.vectors import IDENTITY, Matrix, Vector, add, apply, around, corners_of
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Notice, refused


def moved(pieces: Sequence[Weighted], turn: Matrix, by: Vector) -> list[Weighted]:
    """Pieces turned, then moved: boxes become the boxes around them. [m]"""
    found = []
    for piece in pieces:
        box = None
        if piece.within is not None:
            box = around(add(apply(turn, corner), by) for corner in corners_of(piece.within))
        at = None if piece.at is None else add(apply(turn, piece.at), by)
        found.append(Weighted(piece.name, piece.amount, at, box))
    return found


@dataclass(frozen=True, slots=True)
class StandBody:
    """A stand as a body on the floor; x, y from the middle of its feet, z from the floor. [m]

    Parameters
    ----------
    name : str
    outline : tuple of Flat
        Corners of what touches the floor; empty: not recorded.
    deck_m : float or None
        Height of what the piece rests on.
    own : Weighted or None
        Its own mass and centre, or the box that holds it; None: not recorded.
    bears : tuple of Flat
        Where the piece can bear on it; empty: not recorded, then the whole face counts.
    at : Flat
        Middle of the face of the piece.
    """

    name: str
    outline: tuple[Flat, ...]
    deck_m: float | None
    own: Weighted | None
    bears: tuple[Flat, ...]
    at: Flat


@dataclass(frozen=True, slots=True)
class WayToTip:
    """One body and what it takes to tip it.

    Parameters
    ----------
    body : str
        ``piece``: on its face or on its stand; ``stand``: stand and piece together on the floor.
    standing : FaceStanding or None
    height_m : float or None
        Best height of the centre over what the body stands on.
    why_not : Notice or None
        Why there are no figures; None where there are.
    outside_m : float or None
        How far outside the centre is, or may be, where it does not stand. [m]
    surely : bool
        Whether it is outside for certain, not only within its doubt.
    """

    body: str
    standing: FaceStanding | None
    height_m: float | None
    why_not: Notice | None
    outside_m: float | None = None
    surely: bool = False


def ways_to_tip(
    pieces: Sequence[Weighted], face: Sequence[Flat], body: StandBody | None = None, *, slope: float = 0.0
) -> tuple[WayToTip, ...]:
    """How a piece goes over: on its face, and with its stand as one body.

    Parameters
    ----------
    pieces : sequence of Weighted
        In the room: x, y from the middle of the face, z over the face. [kg, m]
    face : sequence of Flat
        What of the piece touches. [m]
    body : StandBody or None
        The stand it is set on; None: the floor itself.
    slope : float
        [rad]
    """
    own = face
    why: Notice | None = None
    if body is not None and body.bears:
        try:
            own = common([(x + body.at[0], y + body.at[1]) for x, y in face], body.bears)
            own = [(x - body.at[0], y - body.at[1]) for x, y in own]
        except StaticsError as error:
            why = refused(error)
    found = [_way("piece", pieces, own, why, slope)]
    if body is None:
        return tuple(found)
    missing = tuple(
        text
        for text, there in (
            ("its own mass", body.own is not None),
            ("the height of what it carries", body.deck_m is not None),
            ("what touches the floor", bool(body.outline)),
        )
        if not there
    )
    why = Notice("stand not recorded", {"name": body.name, "what": missing}) if missing else None
    together = moved(pieces, IDENTITY, (*body.at, body.deck_m or 0.0))
    if body.own is not None:
        together.append(body.own)
    found.append(_way("stand", together, body.outline, why, slope))
    return tuple(found)


def _way(
    body: str, pieces: Sequence[Weighted], face: Sequence[Flat], why: Notice | None, slope: float
) -> WayToTip:
    height: float | None = None
    if why is None:
        try:
            patch = centre_patch(pieces)
            height = patch.at[2]
            half = patch.half_widths
            standing = stand(face, (patch.at[0], patch.at[1]), patch.at[2], patch=half, slope=slope)
            return WayToTip(body, standing, height, None)
        except NotStandingError as error:
            return WayToTip(
                body,
                None,
                height,
                refused(error),
                error.outside_m,
                error.surely,
            )
        except StaticsError as error:
            why = refused(error)
    return WayToTip(body, None, height, why)


def lesser(ways: Sequence[WayToTip]) -> WayToTip | None:
    """The way that goes over first, before all one that does not stand; None where no way has figures."""
    outside = [way for way in ways if way.outside_m is not None]
    if outside:
        return max(outside, key=lambda way: (way.surely, way.outside_m or 0.0))
    known = [way for way in ways if way.standing is not None]
    return min(known, key=lambda way: way.standing.weakest.tips_at if way.standing else 0.0, default=None)


def common(face: Sequence[Flat], other: Sequence[Flat]) -> list[Flat]:
    """What two support areas have in common: the convex hull of one, cut along every edge of the other's.

    Raises
    ------
    StaticsError
        They have no area in common, or one of them has none.

    References
    ----------
    .. [1] Clipping a convex polygon by half-planes (Sutherland and Hodgman, 1974). From memory.
    """
    found = list(support_polygon(face))
    around = support_polygon(other)
    for start, end in zip(around, around[1:] + around[:1], strict=True):
        inward = (start[1] - end[1], end[0] - start[0])
        inside = [(p[0] - start[0]) * inward[0] + (p[1] - start[1]) * inward[1] for p in found]
        cut: list[Flat] = []
        for i, (p, d) in enumerate(zip(found, inside, strict=True)):
            q, e = found[i - 1], inside[i - 1]
            if (d >= 0.0) != (e >= 0.0):
                t = e / (e - d)
                cut.append((q[0] + t * (p[0] - q[0]), q[1] + t * (p[1] - q[1])))
            if d >= 0.0:
                cut.append(p)
        found = cut
        if len(found) < 3:
            raise StaticsError("the face of the piece does not lie on what the stand bears on.")
    return list(support_polygon(found))
