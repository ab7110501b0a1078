"""Centre of gravity up the tree, by first moments through the placements.

A missing place means the centre is not known: never the origin.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from handling_db.mechanics.vectors import IDENTITY, Matrix, Vector
from handling_db.mechanics.vectors import rotation as turned_by
from handling_db.records.parts.common import Turned
from handling_db.records.parts.measures import Point as PointText
from handling_db.weights.answer import MOST_AT_DATUM
from handling_db.weights.own_centre import at_datum, own_centre
from handling_db.weights.totals import Basis, Totals
from handling_db.weights.tree import Use


@dataclass(frozen=True, slots=True)
class Centre:
    """Where the mass of a node sits, in the node's own frame.

    Parameters
    ----------
    at : (x, y, z) or None
        None where a place is missing or there is no known mass. [m]
    known_part_only : bool
        Something below has no mass: this is the centre of the rest, and the true one lies elsewhere.
    no_place : tuple of component ids
        Known masses whose place nobody recorded.
    at_datum : tuple of component ids
        Pieces taken at their datum, since nobody recorded their own centre; one more than `MOST_AT_DATUM`
        where there are more than so many.
    """

    at: Vector | None
    known_part_only: bool
    no_place: tuple[str, ...]
    at_datum: tuple[str, ...] = ()


@dataclass(slots=True)
class _Moment:
    """Mass and first moment of a node, as far as they are known. [kg, kg m]"""

    mass: float = 0.0
    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    no_place: tuple[str, ...] = ()
    partial: bool = False
    at_datum: tuple[str, ...] = ()


def centres(totals: Totals, below: int | None = None) -> dict[int, Centre]:
    """The centre of every node of a tree, or of one node and those below it; best figures.

    Parameters
    ----------
    totals : Totals
        Which says the masses, the state and what is taken off.
    below : int, optional
        Node to stop at; its own centre is then among the answers.

    Returns
    -------
    dict of node to Centre
    """
    moments: dict[int, _Moment] = {}
    found: dict[int, Centre] = {}
    wanted = totals.tree.order if below is None else totals.below(below)
    for node in wanted:
        moments[node] = _moment(totals, node, moments)
        found[node] = _centre(moments[node])
    return found


def _moment(totals: Totals, node: int, moments: dict[int, _Moment]) -> _Moment:
    figure = totals.figures[node]
    code = totals.tree.component(node)
    component = totals.collection.components[code]
    if component.parts and figure.basis is not Basis.WHOLE:
        return _add(totals, node, moments)
    if figure.mass is None:
        return _Moment(partial=True)
    mass = float(figure.mass.best)
    if component.parts and component.centre is None:
        # A weighed whole with its parts listed: where they are says nothing certain about the rest of it.
        return _Moment(mass, no_place=(code,))
    x, y, z = own_centre(component, totals.tree.nodes[node][1], totals.collection.materials)
    if any(math.isnan(v) for v in (x, y, z)):
        return _Moment(mass, no_place=(code,))
    # A fluid has no centre of its own: its place is that of its part line.
    datum = (code,) if mass > 0.0 and component.fluid is None and at_datum(component) else ()
    return _Moment(mass, mass * x, mass * y, mass * z, at_datum=datum)


def _add(totals: Totals, node: int, moments: dict[int, _Moment]) -> _Moment:
    code = totals.tree.component(node)
    listed = totals.collection.components[code].parts_listed
    out = _Moment(partial=listed != "all" or node in totals.tree.broken)
    missing: list[str] = []
    datum: dict[str, None] = {}
    for use in totals.tree.uses[node]:
        child = totals.tree.component(use.child)
        if child in totals.without:
            continue
        part = moments[use.child]
        out.partial = out.partial or part.partial
        missing += [name for name in part.no_place if name not in missing]
        if part.mass == 0.0:
            continue
        if len(datum) <= MOST_AT_DATUM:
            datum |= dict.fromkeys(part.at_datum)
        out.mass += part.mass * float(use.quantity)
        placed = list(placements(use))
        if not placed:
            if child not in missing:
                missing.append(child)
            continue
        each = float(use.quantity) / len(placed)
        for at, turn in placed:
            out.x += each * (part.mass * at[0] + _dot(turn[0], part))
            out.y += each * (part.mass * at[1] + _dot(turn[1], part))
            out.z += each * (part.mass * at[2] + _dot(turn[2], part))
    out.no_place = tuple(missing)
    out.at_datum = tuple(datum)[: MOST_AT_DATUM + 1]
    return out


def line_centre(use: Use, child: Centre) -> Vector | None:
    """Where the centre of all pieces of one part line lies in the parent's frame; None if not known. [m]"""
    placed = list(placements(use))
    if not placed or child.at is None or any(math.isnan(v) for at, _ in placed for v in at):
        return None
    part = _Moment(1.0, *child.at)
    x, y, z = (
        sum(at[axis] + _dot(turn[axis], part) for at, turn in placed) / len(placed) for axis in range(3)
    )
    return x, y, z


def _dot(row: Vector, part: _Moment) -> float:
    return row[0] * part.x + row[1] * part.y + row[2] * part.z


def _centre(moment: _Moment) -> Centre:
    if moment.no_place or moment.mass <= 0.0:
        return Centre(None, moment.partial, moment.no_place)
    at = (moment.x / moment.mass, moment.y / moment.mass, moment.z / moment.mass)
    return Centre(at, moment.partial, (), moment.at_datum)


def placements(use: Use) -> Iterable[tuple[Vector, Matrix]]:
    """Where the pieces of a part line lie in the parent's build; nothing where a place is not known. [m]"""
    line = use.line
    if use.worked is not None:
        if line.places is None or len(use.worked) == use.quantity:
            for worked in use.worked:
                yield worked.at, turned_by(*(math.radians(angle) for angle in worked.turned))
    elif line.places is not None:
        if len(line.places) == use.quantity:
            for place in line.places:
                yield _literal(place.at), rotation(place.turned)
    elif line.at is not None:
        yield _literal(line.at), rotation(line.turned)


def _literal(point: PointText) -> Vector:
    """A point in metres; not-a-number where a coordinate is a formula."""
    x, y, z = (math.nan if value.base is None else float(value.base) for value in point)
    return x, y, z


def rotation(turned: Turned | None) -> Matrix:
    """Rz(yaw) Ry(pitch) Rx(roll): about the parent's fixed axes, roll first, right-handed.

    Parameters
    ----------
    turned : Turned, optional
        Angles; a missing one is no turn.

    Returns
    -------
    Matrix
        Three rows; p_parent = at + matrix p_child.
    """
    if turned is None:
        return IDENTITY
    angles = (turned.roll, turned.pitch, turned.yaw)
    roll, pitch, yaw = (math.radians(float(a.base)) if a and a.base is not None else 0.0 for a in angles)
    return turned_by(roll, pitch, yaw)


def between_supports(first: Fraction, second: Fraction, apart: Fraction) -> Fraction:
    """How far the centre lies from the first support: L R2 / (R1 + R2), by moments about it. [m]

    Parameters
    ----------
    first, second : Fraction
        Readings R1 and R2. [kg]
    apart : Fraction
        Distance L of the supports. [m]
    """
    return apart * second / (first + second)
