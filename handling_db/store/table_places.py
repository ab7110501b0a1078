"""Places in a flat table: where a child lies in its parent and how it is turned; a piece's own centre."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from handling_db.store.flat_table import Placed, Point
from handling_db.store.table_chunk import Chunk

AXES = ("x", "y", "z")
CENTRE = ("cg_x", "cg_y", "cg_z")
TURNS = ("roll", "pitch", "yaw")

_Cells = Mapping[int, tuple[float, str]]


@dataclass(frozen=True, slots=True)
class Places:
    """Placements and own centres of some rows, by row position, in m and degrees, and as written."""

    placed: dict[int, Placed]
    placed_texts: dict[int, tuple[str, ...]]
    centres: dict[int, Point]
    centre_texts: dict[int, tuple[str, str, str]]


def read_places(chunk: Chunk, rootward: Sequence[bool] | None, quantities: Sequence[float] | None) -> Places:
    """Read the places of some rows.

    Parameters
    ----------
    chunk : Chunk
    rootward : sequence of bool, optional
        Which rows have no parent, so that nothing can be placed there; None for none of them.
    quantities : sequence of float, optional
        By row position; a set of several has no turn.
    """
    out = Places({}, {}, {}, {})
    turns = {name: chunk.number(name, signed=True).by_row() for name in TURNS if name in chunk.columns}
    for i, point, texts in _points(chunk, AXES, turns):
        angles, shown = _turn(chunk, i, turns)
        if rootward is not None and rootward[i]:
            if any(point) or any(angles):
                told = "the row has no parent to be placed in, so its place is not used;"
                chunk.remark(i, "x", told, "name the parent, or leave the place empty.")
            continue
        if quantities is not None and quantities[i] > 1 and any(angles):
            told = f"{quantities[i]:g} pieces with one place have no turn;"
            chunk.fault(i, "quantity", told, "write a row for each piece with its own place.")
            continue
        if quantities is not None and quantities[i] > 1:
            shown = ("", "", "")
        out.placed[i] = (*point, *angles)
        out.placed_texts[i] = (*texts, *shown)
    for i, point, texts in _points(chunk, CENTRE, {}):
        out.centres[i] = point
        out.centre_texts[i] = texts
    return out


def _points(
    chunk: Chunk, names: tuple[str, str, str], turns: Mapping[str, _Cells]
) -> Iterator[tuple[int, Point, tuple[str, str, str]]]:
    """Rows that give a whole point, in metres; a point in part is a fault."""
    there = [name for name in names if name in chunk.columns]
    cells = {name: chunk.number(name, signed=True).by_row() for name in there}
    rows = sorted(set().union(*cells.values(), *turns.values()))
    units = {
        name: dict(zip(cells[name], chunk.units(name, "length_unit", list(cells[name])), strict=True))
        for name in there[:1]
    }
    shared = next(iter(units.values()), {})
    for i in rows:
        if i in chunk.bad:
            continue
        missing = [name for name in names if i not in cells.get(name, {})]
        if missing:
            asks = next((name for name in turns if i in turns[name]), "")
            what = f"{asks} needs a place" if asks and len(missing) == 3 else "the place is incomplete"
            told = f"{what}: {', '.join(missing)} {'is' if len(missing) == 1 else 'are'} empty;"
            chunk.fault(i, missing[0], told, "write 0 where it is 0; what is left out is not known.")
            continue
        values, texts = [], []
        for name in names:
            unit = chunk.layout.unit.get(name) or shared.get(i)
            if unit is None:
                break
            value, text = cells[name][i]
            values.append(value * float(unit.factor))
            texts.append(f"{text} {unit.name}")
        else:
            yield i, (values[0], values[1], values[2]), (texts[0], texts[1], texts[2])


def _turn(chunk: Chunk, at: int, turns: Mapping[str, _Cells]) -> tuple[Point, tuple[str, str, str]]:
    """Roll, pitch and yaw of a row in degrees, 0 where not given, and as written."""
    degrees, texts = [], []
    for name in TURNS:
        value, text = turns.get(name, {}).get(at, (0.0, ""))
        unit = chunk.layout.unit.get(name)
        degrees.append(value * float(unit.factor) if unit else 0.0)
        texts.append(f"{text} {unit.name}" if text and unit else "")
    return (degrees[0], degrees[1], degrees[2]), (texts[0], texts[1], texts[2])
