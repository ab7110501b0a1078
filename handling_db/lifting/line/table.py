"""The line from the hook down to the piece, one row a comparison: who carries what, and what may it carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handling_db.lifting.figures import LegsFigure, RatingFigure
from handling_db.lifting.line.gear import is_sling
from handling_db.lifting.line.links import NOTHING, gear_figure, path_figures_of, point_figure
from handling_db.lifting.line.slings import sling_figures
from handling_db.lifting.ratings import LineCase, LinePlace, Rated, compared, with_own_mass
from handling_db.quantities.amount import total
from handling_db.quantities.notice import Notice, once


def line_figures(case: LineCase) -> tuple[RatingFigure, ...]:
    """Every piece of gear from the hook down, then each point and what it is carried through."""
    pieces = {piece.key: piece for piece in case.rigging.pieces}
    order = case.rigging.stack.order()
    found: list[RatingFigure] = []
    points_done: set[str] = set()
    for number, (key, depth) in enumerate(order):
        piece = pieces[key]
        if is_sling(piece.gear):
            rows = sling_figures(case, piece, depth)
        else:
            rows = [gear_figure(case, piece, depth)]
        # The mass of a piece of gear stands in its first row, once.
        found += [with_own_mass(rows[0], piece), *rows[1:]]
        following = order[number + 1][1] if number + 1 < len(order) else 0
        if following <= depth and (piece.link or len(piece.points) == 1):  # the last link before the point
            found += _point(case, piece.points[0], depth + 1, points_done)
    for point, pick in case.picks.items():
        if pick.sling is None:
            found.append(_nobody(case, f"the leg at {point}", "which sling nobody recorded", (point,)))
        found += _point(case, point, 1, points_done)
    if not case.rigging.looked:
        found.append(_nobody(case, "other gear on the hook", "gear nobody looked"))
    return (*found, *path_figures_of(case))


def _nobody(case: LineCase, name: str, kind: str, points: tuple[str, ...] = ()) -> RatingFigure:
    """A row for gear that is not recorded: named, so that nobody takes it for compared."""
    asked = case.asked_at(points or tuple(case.picks), NOTHING)
    return compared(case, LinePlace(name, "gear", 0, points), asked, Rated(None, Notice(kind)))


def grouped(rows: Sequence[RatingFigure]) -> tuple[RatingFigure, ...]:
    """Rows alike in everything but their place as one: the hardest asked of them, with how many there are.

    Only for showing: what is beyond its rating stays by itself, and no figure gets milder.
    """
    alike: dict[tuple[object, ...], list[RatingFigure]] = {}
    for number, row in enumerate(rows):
        one_kind = row.kind == "point" or (row.what and row.kind == "gear")
        key: tuple[object, ...] = (number,)
        if one_kind and not row.over:
            key = (row.kind, row.what, row.rating_kg, row.basis, row.struck, row.not_compared, row.cautions)
            key += (row.at_least, row.above_cell, row.weighed, row.own is None)
        alike.setdefault(key, []).append(row)
    return tuple(_together(group) for group in alike.values())


def _together(group: Sequence[RatingFigure]) -> RatingFigure:
    if len(group) == 1:
        return group[0]
    most = max(group, key=lambda row: row.demand_kg or 0.0)
    reached = [row.at_kg for row in group if row.at_kg is not None]
    own = {str(number): row.own for number, row in enumerate(group) if row.own is not None}
    first = group[0]
    places = [point for row in group for point in row.points]
    name = f"{len(group)} x {first.what}" if first.what else f"{len(group)} points: {', '.join(places)}"
    says = once(one for row in group for one in row.says)
    return replace(
        most,
        says=says,
        name=name,
        own=total(own).amount if own else None,
        at_kg=min(reached, default=None),
        points=tuple(dict.fromkeys(places)),
        depth=first.depth,
    )


def with_links(legs: LegsFigure, line: Sequence[RatingFigure]) -> LegsFigure:
    """The leg table with the rows of what hangs in each leg alone and of its point."""
    rows: dict[str, list[RatingFigure]] = {}
    for row in line:
        if len(row.points) == 1 and row.kind in ("gear", "point"):
            rows.setdefault(row.points[0], []).append(row)
    own = tuple(replace(leg, links=tuple(rows.get(leg.point, ()))) for leg in legs.legs)
    return replace(legs, legs=own)


def _point(case: LineCase, point: str, depth: int, done: set[str]) -> list[RatingFigure]:
    entry = case.points.get(point)
    if entry is None or point in done:
        return []
    done.add(point)
    return [point_figure(case, entry, depth)]
