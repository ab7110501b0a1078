"""The masses of a flat table: figures with their doubt, in kilograms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.quantities.table import MeasureUnit
from handling_db.tables.chunk import FACTORS, Chunk
from handling_db.tables.kinds import UsualDoubt
from handling_db.tables.numbers import half_steps
from handling_db.tables.text.figures import decimal_of

HALF_ASSUMED = "half the assumed step"

_Cell = tuple[float, str, MeasureUnit]


@dataclass(slots=True)
class Figures:
    """The masses of one column in some rows; all sequences have one length."""

    at: Sequence[int]
    best: list[float]
    below: list[float]
    above: list[float]
    doubt: list[str]
    number: Sequence[str]
    unit: list[str]
    u: dict[int, float]
    given: dict[int, dict[str, tuple[str, str]]]


def read_figures(
    chunk: Chunk,
    name: str,
    unit_column: str,
    doubts: Mapping[str, str],
    sources: Sequence[str | None] | None,
    usual: Mapping[str, UsualDoubt],
) -> Figures:
    """Read the masses of one column with their doubt.

    The doubt is the stated one (``plus_minus``, or twice ``u``); else the larger of half the step and
    what the kind of source is usually out by.

    Parameters
    ----------
    chunk : Chunk
    name, unit_column : str
        ``mass`` and ``unit``, or ``stated`` and ``stated_unit``.
    doubts : mapping of str to str
        The columns that hold ``step``, ``plus_minus`` and ``u`` of these masses.
    sources : sequence of (str or None), optional
        Source of each row.
    usual : mapping of kind id to UsualDoubt
    """
    column = chunk.number(name)
    units = chunk.units(name, unit_column, column.at)
    if chunk.bad and name in chunk.columns:  # of a figure that is no number, the unit is looked at as well
        there = set(column.at)
        chunk.units(
            name,
            unit_column,
            [i for i in sorted(chunk.bad - there - chunk.asked) if chunk.columns[name][i].strip()],
        )
    stated = {
        role: chunk.number(column_name).by_row()
        for role, column_name in doubts.items()
        if column_name in chunk.columns
    }
    own = chunk.own_doubts.get(name) or {}
    kinds = sources is not None and any(source in usual for source in set(sources))
    first = units[0] if units else None
    if not stated and not own and not kinds and first is not None and min(column.values, default=0.0) > 0:
        halves = half_steps(column.texts)
        best = column.values
        if units.count(first) < len(units):
            factors = [FACTORS[unit.name] if unit else 1.0 for unit in units]
            best = [value * factor for value, factor in zip(best, factors, strict=True)]
            halves = [half * factor for half, factor in zip(halves, factors, strict=True)]
        elif first.factor != 1:
            factor = float(first.factor)
            best = [value * factor for value in best]
            halves = [half * factor for half in halves]
        names = [unit.name if unit else "" for unit in units]
        assumed = [HALF_ASSUMED] * len(best)
        return Figures(column.at, best, halves, halves, assumed, column.texts, names, {}, {})
    _remark_unused(chunk, name, doubts, stated, set(column.at))
    figures = Figures([], [], [], [], [], [], [], {}, {})
    at: list[int] = []
    number: list[str] = []
    halves = half_steps(column.texts)
    for i, value, text, half, unit in zip(column.at, column.values, column.texts, halves, units, strict=True):
        if unit is None:
            continue
        row = _stated_in(chunk, i, text, unit, stated, doubts)
        if row is None:
            continue
        kind = usual.get(sources[i] or "") if sources is not None else None
        factor = FACTORS[unit.name]
        best_kg = value * factor
        if not _makes_sense(chunk, i, doubts, row):
            continue
        below, above, word = _doubt(row, best_kg, half * factor, kind)
        if value == 0 and not row:
            chunk.fault(
                i,
                name,
                "a mass of 0 would count as weighed;",
                "leave the cell empty where nobody weighed it, or give the step or the doubt of the figure.",
            )
            continue
        if row:
            figures.given[len(at)] = {role: (shown, of.name) for role, (_, shown, of) in row.items()}
            if "u" in row:
                figures.u[len(at)] = _kg(row["u"])
        at.append(i)
        number.append(text)
        figures.best.append(best_kg)
        figures.below.append(min(below, best_kg))
        figures.above.append(above)
        figures.doubt.append(word)
        figures.unit.append(unit.name)
    figures.at, figures.number = at, number
    return figures


def _stated_in(
    chunk: Chunk,
    at: int,
    number: str,
    unit: MeasureUnit,
    stated: Mapping[str, Mapping[int, tuple[float, str]]],
    doubts: Mapping[str, str],
) -> dict[str, _Cell] | None:
    """What a row states of the doubt of a figure, by role; None with a fault.

    A doubt without a unit takes the heading's of its own column, else that of its figure; parts of a hundred
    are of the figure.
    """
    name = next(
        column for column in ("mass", "stated") if (column == "stated") == ("stated_step" in doubts.values())
    )
    row: dict[str, _Cell] = {}
    for role, cells in stated.items():
        if at not in cells:
            continue
        value, text = cells[at]
        column = doubts[role]
        if at in chunk.parts_of_hundred.get(column, ()):
            row[role] = _part_of(number, text, unit)
            continue
        own = chunk.own_units.get(column, {}).get(at)
        row[role] = (value, text, own or chunk.layout.unit.get(column, unit))
    for role, (value, text, of) in (chunk.own_doubts.get(name) or {}).get(at, {}).items():
        if role in row:
            if role == "step":  # the column says it, the digits of a fraction only suggest it
                continue
            told = "the doubt stands in the cell of the figure and in a column of its own;"
            chunk.fault(at, doubts.get(role, role), told, "keep one of the two.")
            return None
        if of == "%":
            row[role] = _part_of(number, text, unit)
        else:
            row[role] = (value, text, of if isinstance(of, MeasureUnit) else unit)
    return row


def _part_of(number: str, text: str, unit: MeasureUnit) -> _Cell:
    """So many parts of a hundred of a figure, exactly."""
    exact = decimal_of(Fraction(number) * Fraction(text) / 100)
    return float(exact), exact, unit


def _remark_unused(
    chunk: Chunk,
    name: str,
    doubts: Mapping[str, str],
    stated: Mapping[str, Mapping[int, tuple[float, str]]],
    there: set[int],
) -> None:
    for role, cells in stated.items():
        for i in cells:
            if i not in there and i not in chunk.bad:
                chunk.remark(i, doubts[role], f"is not used, because there is no {name!r} in this row;",
                             f"write the figure in {name!r}, or leave this empty.")  # fmt: skip


def _kg(cell: _Cell) -> float:
    return cell[0] * FACTORS[cell[2].name]


def _makes_sense(chunk: Chunk, at: int, columns: Mapping[str, str], row: Mapping[str, _Cell]) -> bool:
    """Whether what a row states of a doubt can be; False with a fault."""
    fine = True
    for role, (value, *_) in row.items():
        if value == 0:
            told = f"a {columns[role]} of 0 says there is no doubt;"
            chunk.fault(at, columns[role], told, "leave it empty where it is not known.")
            fine = False
    if "plus_minus" in row and "u" in row:
        told = "plus_minus and u are both given;"
        chunk.fault(at, columns["u"], told, "keep one; plus_minus is the worst case.")
        fine = False
    return fine


def _doubt(
    row: Mapping[str, _Cell], best: float, half_assumed: float, kind: UsualDoubt | None
) -> tuple[float, float, str]:
    """Half-widths below and above in kilograms and where they came from."""
    if "plus_minus" in row:
        half = _kg(row["plus_minus"])
        return half, half, "stated"
    if "u" in row:
        half = 2 * _kg(row["u"])
        return half, half, "stated as u"
    half, word = half_assumed, HALF_ASSUMED
    if "step" in row:
        half, word = _kg(row["step"]) / 2, "half the step"
    if kind is not None:
        # A figure whose step is said, or shown by a fraction, was read to that step, not to its last place.
        below, above = kind.around(best, 2 * max(half_assumed, half if "step" in row else 0.0))
        if below > half or above > half:
            return max(half, below), max(half, above), "usual for its kind"
    return half, half, word
