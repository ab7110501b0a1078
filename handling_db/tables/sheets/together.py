"""The mass of all pieces of a row together: one piece's share of it, or whether it fits the mass of one."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from handling_db.errors import UnitError
from handling_db.quantities.display import figure as decimal_text
from handling_db.quantities.quantity import find_unit
from handling_db.quantities.table import MeasureUnit
from handling_db.tables.numbers import Numbers, assumed_step
from handling_db.tables.sheets.cells_in import CellError, figure_text
from handling_db.tables.sheets.grid import Cell
from handling_db.tables.text.figures import read_figure
from handling_db.tables.text.headings import fold, vocabulary

if TYPE_CHECKING:
    from handling_db.tables.sheets.rows_in import Line, _Reader

PLACES = 6


@dataclass(frozen=True, slots=True)
class PieceShare:
    """One piece's share of the mass of several.

    Parameters
    ----------
    cells : dict of field to text
        Its mass and its doubt.
    told : str
    """

    cells: dict[str, str]
    told: str


def share_of(reader: _Reader, line: Line, cell: Cell) -> PieceShare | None:
    """One piece's share; None where the mass of one is given as well and fits.

    Raises
    ------
    CellError
        The cell cannot be read, has no unit, the count is not known, or the two masses do not fit.
    """
    field = "mass together"
    text, _ = figure_text(cell, field, reader.numbers)
    if not text:
        return None
    number, unit, half = _read(reader, line, text, field)
    if number == 0:
        told = "a mass of 0 would count as weighed;"
        raise CellError(field, told, "leave the cell empty where nobody weighed it.")
    if line.count is None:
        told = f"{cell.text} is the mass of all together, and it is not known how many there are;"
        raise CellError(field, told, "write the quantity.")
    one = reader.cell(line.row, "mass")
    one_text, _ = figure_text(one, "mass", reader.numbers)
    if one_text:
        each, each_unit, each_half = _read(reader, line, one_text, "mass")
        gap = abs(each * each_unit.factor * line.count - number * unit.factor)
        if gap > each_half * each_unit.factor * line.count + half * unit.factor:
            told = f"{one.text} each and {cell.text} together do not fit {line.count} pieces;"
            raise CellError(field, told, "put the row right.")
        return None
    if line.count == 1:
        return PieceShare(
            {"mass": text if any(map(str.isalpha, text)) else f"{text} {unit.name}"},
            f"{text} is the mass of the one",
        )
    share = decimal_text(number / line.count, PLACES).rstrip("0").rstrip(".")
    doubt = half / line.count + Fraction(1, 10**PLACES)
    return PieceShare(
        {
            "mass": f"{share} {unit.name}",
            "plus_minus": f"{decimal_text(doubt, PLACES)} {unit.name}",
        },
        f"{text} is the mass of {line.count} together; one has {share} {unit.name}",
    )


def _read(reader: _Reader, line: Line, text: str, field: str) -> tuple[Fraction, MeasureUnit, Fraction]:
    """Number, unit and half-width of a figure that has a point for its decimal sign."""
    figure = read_figure(text, Numbers(",", "point"))
    assert figure is not None
    number = Fraction(figure.number)
    if number < 0:
        raise CellError(field, f"{text} is negative;", "write it without the sign.")
    unit = _unit(reader, line, figure.unit, field)
    half = Fraction(figure.step) / 2 if figure.step else assumed_step(figure.number) / 2
    if figure.plus_minus:
        half = Fraction(figure.plus_minus)
        if figure.plus_minus_unit == "%":
            half *= number / 100
        elif figure.plus_minus_unit:
            half *= find_unit(figure.plus_minus_unit, "mass").factor / unit.factor
    return number, unit, half


def _unit(reader: _Reader, line: Line, own: str, field: str) -> MeasureUnit:
    beside = reader.cell(line.row, "unit").text
    if fold(beside) in vocabulary().of_one:
        beside = ""
    written = own or beside
    try:
        found = find_unit(written, "mass") if written else reader.layout.units.get(field)
    except UnitError as error:
        raise CellError(field, f"{error};", "write kg, lb or another unit of mass.") from None
    if found is None:
        raise CellError(field, "the mass has no unit;", "write it in the cell, the heading or a column.")
    return found
