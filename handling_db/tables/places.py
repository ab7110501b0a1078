"""Places in a flat table: where a child lies in its parent and how it is turned; a piece's own centre."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.tables.chunk import FACTORS, Chunk, NumberColumn
from handling_db.tables.flat_table import Placed, PlacedText, Point

AXES = ("x", "y", "z")
CENTRE = ("cg_x", "cg_y", "cg_z")
TURNS = ("roll", "pitch", "yaw")

_Three = tuple[str, str, str]
_Point = tuple[Point, _Three, str]
_NO_TURN: tuple[Point, _Three] = ((0.0, 0.0, 0.0), ("", "", ""))


@dataclass(frozen=True, slots=True)
class RowPlaces:
    """Placements and own centres of some rows, by row position, in m and degrees, and as written."""

    placed: dict[int, Placed]
    placed_texts: dict[int, PlacedText]
    centres: dict[int, Point]
    centre_texts: dict[int, tuple[str, str, str]]


def read_places(
    chunk: Chunk, rootward: Sequence[bool] | None, quantities: Sequence[float] | None
) -> RowPlaces:
    """Read the places of some rows.

    Parameters
    ----------
    chunk : Chunk
    rootward : sequence of bool, optional
        Which rows have no parent, so that nothing can be placed there; None for none of them.
    quantities : sequence of float, optional
        By row position; a set of several has no turn.
    """
    out = RowPlaces({}, {}, {}, {})
    turns, asked = _turns(chunk)
    turn_units = tuple(chunk.layout.unit[name].name if name in chunk.layout.unit else "" for name in TURNS)
    units_of: dict[str, tuple[str, ...]] = {}
    for i, (point, texts, unit) in _points(chunk, AXES, asked).items():
        angles, shown = turns.get(i, _NO_TURN)
        if rootward is not None and rootward[i]:
            if any(point) or any(angles):
                told = "the row has no parent to be placed in, so its place is not used;"
                chunk.remark(i, "x", told, "name the parent, or leave the place empty.")
            continue
        if quantities is not None and quantities[i] > 1:
            if any(angles):
                told = f"{quantities[i]:g} pieces with one place have no turn;"
                chunk.fault(i, "quantity", told, "write a row for each piece with its own place.")
                continue
            shown = ("", "", "")
        units = units_of.get(unit)
        if units is None:
            units = units_of[unit] = (unit, unit, unit, *turn_units)
        out.placed[i] = (*point, *angles)
        out.placed_texts[i] = ((*texts, *shown), units)
    for i, (point, texts, unit) in _points(chunk, CENTRE, {}).items():
        out.centres[i] = point
        out.centre_texts[i] = (f"{texts[0]} {unit}", f"{texts[1]} {unit}", f"{texts[2]} {unit}")
    return out


def _points(chunk: Chunk, names: tuple[str, str, str], asked: Mapping[int, str]) -> dict[int, _Point]:
    """Rows that give a whole point: in metres, as written, and its unit; a point in part is a fault.

    Parameters
    ----------
    asked : mapping of row position to column name
        Rows that need a point because of another column.
    """
    columns = [chunk.number(name, signed=True) for name in names]
    if not asked and not any(column.values for column in columns):
        return {}
    rows = set(columns[0].at)
    whole = rows.issuperset(asked) and all(rows == set(column.at) for column in columns[1:])
    if not whole:
        rows = _complete(chunk, names, columns, asked)
        columns = [column.only(rows) for column in columns]
    units = chunk.units(names[0], "length_unit", columns[0].at)
    known = [unit.name if unit else "" for unit in units]
    scaled = [
        [value * FACTORS.get(unit, 1.0) for value, unit in zip(column.values, known, strict=True)]
        for column in columns
    ]
    texts = zip(*(column.texts for column in columns), strict=True)
    found = dict(zip(columns[0].at, zip(zip(*scaled, strict=True), texts, known, strict=True), strict=True))
    return {i: point for i, point in found.items() if i not in chunk.bad} if chunk.bad else found


def _complete(
    chunk: Chunk, names: tuple[str, str, str], columns: Sequence[NumberColumn], asked: Mapping[int, str]
) -> set[int]:
    """The rows that give all three figures of a point; the others are faults."""
    there = [set(column.at) for column in columns]
    complete = set.intersection(*there)
    for i in sorted(set(asked).union(*there) - complete - chunk.bad):
        missing = [name for name, rows in zip(names, there, strict=True) if i not in rows]
        what = "the place is incomplete" if len(missing) < 3 else f"{asked[i]} needs a place"
        told = f"{what}: {', '.join(missing)} {'is' if len(missing) == 1 else 'are'} empty;"
        chunk.fault(i, missing[0], told, "write 0 where it is 0; what is left out is not known.")
    return complete


def _turns(chunk: Chunk) -> tuple[dict[int, tuple[Point, _Three]], dict[int, str]]:
    """Roll, pitch and yaw in degrees, 0 where not given, and as written; and which column asks for each."""
    columns = {name: chunk.number(name, signed=True) for name in TURNS if name in chunk.columns}
    asked: dict[int, str] = {}
    for name, column in columns.items():
        for i in column.at:
            asked.setdefault(i, name)
    degrees: list[dict[int, float]] = []
    texts: list[dict[int, str]] = []
    for name in TURNS:
        column = columns.get(name, NumberColumn((), [], ()))
        factor = float(chunk.layout.unit[name].factor) if name in columns else 1.0
        scaled = column.values if factor == 1 else [value * factor for value in column.values]
        degrees.append(dict(zip(column.at, scaled, strict=True)))
        texts.append(dict(zip(column.at, column.texts, strict=True)))
    turns: dict[int, tuple[Point, _Three]] = {
        i: (
            (degrees[0].get(i, 0.0), degrees[1].get(i, 0.0), degrees[2].get(i, 0.0)),
            (texts[0].get(i, ""), texts[1].get(i, ""), texts[2].get(i, "")),
        )
        for i in asked
    }
    return turns, asked
