"""Links, beams and points: what a pull asks of them in its direction, what the load is carried through."""

from __future__ import annotations

import math
from dataclasses import replace

from handling_db.lifting.figures import RatingFigure
from handling_db.lifting.line.gear import OnHook
from handling_db.lifting.points import Found
from handling_db.lifting.ratings import LineCase, LinePlace, Rated, compared, struck
from handling_db.mechanics.vectors import angle_between
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Notice
from handling_db.records.kinds.gear import Gear
from handling_db.records.parts.pick_point import CarriedThrough
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.links import KINDS, Link, link_rating
from handling_db.rigging.stack import Below

# These turn into the pull, so that their straight rating counts whichever way the leg leans.
ALIGNING = ("hook", "master link", "swivel", "turnbuckle", "load cell", "hook block")
BEAMS = ("spreader bar", "lifting beam", "load leveller")
NOTHING = Below(frozenset(), frozenset())
WIDEST = math.pi / 2  # a direction that nobody recorded is taken as straight across the axis


def gear_figure(case: LineCase, piece: OnHook, depth: int) -> RatingFigure:
    """One piece of gear that is no sling."""
    asked = case.asked_of(piece)
    if piece.gear is None:
        row = LinePlace(piece.name, depth=depth, points=piece.points)
        return compared(case, row, asked, Rated(None, Notice("no such gear")))
    at = f" at {piece.points[0]}" if piece.points else ""
    name = f"{piece.gear.name}{at}"
    rated = _at_point(case, piece, piece.gear, name) if piece.points else _in_line(piece.gear)
    old = struck(piece.gear, case.as_of)
    row = LinePlace(name, depth=depth, points=piece.points, old=old, what=piece.gear.name, gear=piece.gear)
    return compared(case, row, asked, rated)


def _straight(gear: Gear) -> float | None:
    """The rating of a straight pull: a line without an angle, or one that holds at least there."""
    rows = listed(gear.tag)
    plain = [float(row.rated.base) for row in rows if row.up_to is None]
    return min(plain, default=max((float(row.rated.base) for row in rows), default=None))


def no_tag(gear: Gear) -> Rated:
    """Why gear without a tag has no rating."""
    basis = Notice("tag nobody looked") if gear.tag is None else Notice("no tag", {"by": gear.checked_by})
    return Rated(None, basis)


def _in_line(gear: Gear) -> Rated:
    """Gear that hangs in the line of the hook, pulled straight."""
    if not listed(gear.tag):
        return no_tag(gear)
    if gear.kind == "eye bolt":
        return Rated(_straight(gear), Notice("tag"), Notice("at which point not recorded"))
    if gear.kind in BEAMS:
        # Lines by angle are for the sling above a beam: how that leans is not recorded, so the lowest counts.
        rating = min(float(row.rated.base) for row in listed(gear.tag))
        return Rated(rating, Notice("tag"), cautions=(Notice("as its tag shows"),))
    if gear.kind == "clamp":
        return Rated(_straight(gear), Notice("tag"), cautions=(Notice("clamp as its tag names"),))
    cautions = (Notice("two legs in the bow"),) if gear.kind == "shackle" else ()
    return Rated(_straight(gear), Notice("tag, straight pull"), cautions=cautions)


def _at_point(case: LineCase, piece: OnHook, gear: Gear, name: str) -> Rated:
    """A link between a leg and a point, by the direction of the pull."""
    if not listed(gear.tag):
        return no_tag(gear)
    if gear.kind in ALIGNING:
        return Rated(_straight(gear), Notice("tag, turns into the leg"))
    if gear.kind not in KINDS:
        return Rated(_straight(gear), Notice("tag"), Notice("not rated by direction"))
    point = piece.points[0]
    angle, says = _angle(case, point)
    pick = case.picks.get(point)
    rows = [row for row in listed(gear.tag) if row.plane in (None, "in", "any")]
    own_across = [
        (float(row.up_to.base) if row.up_to is not None else 90.0, float(row.rated.base))
        for row in listed(gear.tag)
        if row.plane in ("across", "any")
    ]
    sideways = None if pick is None or pick.in_plane is None else pick.in_plane == "no"
    if sideways and own_across and gear.kind == "eye bolt":
        # Its own sheet rates it across its plane: those lines alone count.
        fitting = [kg for to, kg in sorted(own_across) if math.degrees(angle) <= to + 1e-6]
        if fitting:
            return Rated(fitting[0], Notice("own sheet across"), says=says)
        return Rated(None, Notice("own sheet without a line", {"angle_deg": math.degrees(angle)}), says=says)
    link = Link(
        name=name,
        kind=gear.kind,
        family=gear.family if case.factors is not None else None,
        shouldered=None if gear.shouldered is None else gear.shouldered == "yes",
        size=gear.size,
        straight_kg=min((float(row.rated.base) for row in rows if row.up_to is None), default=None),
        angled_kg=tuple(
            (float(row.up_to.base), float(row.rated.base)) for row in rows if row.up_to is not None
        ),
        rating_source="tag",
    )
    try:
        found = link_rating(link, angle, case.factors.families if case.factors else (), sideways=sideways)
    except StaticsError as error:
        return Rated(None, Notice("link not compared", {"why": str(error).rstrip(".")}), says=says)
    return replace(found, says=(*says, *found.says))


def _angle(case: LineCase, point: str) -> tuple[float, tuple[Notice, ...]]:
    """Angle of the pull from the axis of the point [rad]; where it is not known the widest, said."""
    found = case.points.get(point)
    if case.pulls is None:
        return WIDEST, ()
    if found is None or found.direction is None:
        return WIDEST, (Notice("direction taken across", {"point": point}),)
    return angle_between(case.pulls[point].direction, found.direction), ()


def point_figure(case: LineCase, entry: Found, depth: int) -> RatingFigure:
    """The pick point itself, by the rating recorded for it."""
    point = entry.point
    name = f"{point.name} ({point.id})"
    asked = case.asked_at((point.id,), NOTHING)
    row = LinePlace(name, "point", depth, (point.id,))
    pick = case.picks.get(point.id)
    across = pick is not None and pick.in_plane == "no"
    planes = ("across", "any") if across else (None, "in", "any")
    rows = [line for line in listed(point.rated) if line.plane in planes]
    if not rows:
        none = Notice("rating nobody looked" if point.rated is None else "point without rating")
        if across and listed(point.rated):
            none = Notice("across its plane not rated")
        return compared(case, row, asked, Rated(None, none))
    angle = math.degrees(_angle(case, point.id)[0])
    rating, basis = None, Notice("no rating from its direction", {"angle_deg": angle})
    if case.pulls is None:  # nobody knows the direction: the lowest that is recorded
        rating = min(float(line.rated.base) for line in rows)
        basis = Notice("lowest recorded", {"by": point.rated_by})
    for line in sorted(rows, key=lambda line: line.up_to.base):
        if case.pulls is not None and angle <= float(line.up_to.base) + 1e-6:
            rating = float(line.rated.base)
            basis = Notice("up to from its direction", {"angle": str(line.up_to), "by": point.rated_by})
            break
    return compared(case, row, asked, Rated(rating, basis))


def path_figures_of(case: LineCase) -> list[RatingFigure]:
    """What the load is carried through between points and piece, each thing once."""
    through: dict[tuple[str, str], list[str]] = {}
    first: dict[tuple[str, str], CarriedThrough] = {}
    for point in case.picks:
        entry = case.points.get(point)
        for path in listed(entry.point.through) if entry is not None else ():
            key = (path.what, path.part or "")
            through.setdefault(key, []).append(point)
            first.setdefault(key, path)
    found = []
    for key, points in through.items():
        path = first[key]
        rating = None
        words = Notice("rating none" if path.rated == "none" else "rating nobody looked")
        if path.rated is not None and not isinstance(path.rated, str):
            rating = float(path.rated.base)
            words = Notice("as stated", {"by": path.source or "source not stated"})
        asked = case.asked_at(tuple(points), NOTHING)
        if case.pulls is not None and 1 < len(points) < len(case.picks):
            # Some of the legs: their pulls need not be plumb together, so the sum of them counts.
            upper = case.load.upper("legs")
            pull = sum(case.pulls[point].tension_kg for point in points) / upper
            asked = case.together(pull, {}, NOTHING, by_legs=True)
        row = LinePlace(f"{path.what} (they carry the points)", "path", 0, tuple(points))
        found.append(compared(case, row, asked, Rated(rating, words)))
    return found
