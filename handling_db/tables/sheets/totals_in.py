"""Rows of totals: compared with the rows they sum, and never counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.errors import UnitError
from handling_db.findings import Finding, Place, Verdict
from handling_db.quantities.display import figure as decimal_text
from handling_db.quantities.quantity import find_unit
from handling_db.quantities.table import MeasureUnit
from handling_db.tables.numbers import NumberFault, Numbers, assumed_step
from handling_db.tables.sheets.cells_in import CellError, figure_text
from handling_db.tables.sheets.fates import CHECKED, Fate, SheetSaid
from handling_db.tables.sheets.grid import SheetRow
from handling_db.tables.sheets.layout import Layout
from handling_db.tables.sheets.rows_in import Line, Normal, is_subtotal
from handling_db.tables.text.figures import read_figure
from handling_db.tables.text.headings import fold, is_unknown, vocabulary

TOTALS_ROW = "totals-row"
_POINT = Numbers(",", "point")


@dataclass(slots=True)
class _Sum:
    """Some rows added up. [kg]"""

    low: Fraction = Fraction(0)
    high: Fraction = Fraction(0)
    unknown: int = 0
    rows: int = 0

    def add(self, limits: tuple[Fraction, Fraction] | None, times: Fraction) -> None:
        """One more row."""
        self.rows += 1
        if limits is None:
            self.unknown += 1
            return
        self.low += limits[0] * times
        self.high += limits[1] * times

    def touches(self, low: Fraction, high: Fraction) -> bool:
        """Whether it can be a figure between two limits."""
        return self.low <= high and low <= self.high


def check_totals(normal: Normal, layout: Layout, numbers: Numbers, said: SheetSaid) -> bool | None:
    """Compare every row of totals with the rows it sums; its fate says what came out.

    Returns
    -------
    bool or None
        Of a heading that leaves open whether masses are of one piece: True where a total fits masses of one
        piece, False where it fits only those of all pieces of a row, so that none can be taken; None where no
        total says which.
    """
    fine: bool | None = None
    weighed = [(line, _limits(line, layout)) for line in normal.lines if not line.repeats]
    inside = {line.cells.get("parent") for line in normal.lines}
    since = 0
    for row in normal.totals:
        stated = _stated(row, layout, numbers)
        if isinstance(stated, str):
            normal.fates[row.number] = Fate(row.number, CHECKED, stated)
            continue
        low, high = stated.low, stated.high
        shown = stated.shown
        start = since if is_subtotal(row) else 0
        above = [(line, limits) for line, limits in weighed if start < line.row.number < row.number]
        since = row.number
        leaves = [(line, limits) for line, limits in above if line.id not in inside]
        in_all, once, plain = _Sum(), _Sum(), _Sum()
        for line, limits in leaves:
            in_all.add(limits, _times(line, normal.lines))
            once.add(limits, line.count or Fraction(1))
            plain.add(limits, Fraction(1))
        told, verdict = _compared(stated, in_all, once)
        normal.fates[row.number] = Fate(row.number, CHECKED, told)
        several = any((line.count or 1) != 1 for line, _ in leaves)
        if verdict is Verdict.DISAGREES and layout.unqualified and several and plain.touches(low, high):
            letters = layout.where("mass")
            said.fault(
                row.number, "mass",
                f"{shown} fits only if column {letters} holds the mass of all pieces of a row;",
                "head the column 'mass together', or 'mass each' if the totals are wrong.",
            )  # fmt: skip
            fine = False
        elif verdict is Verdict.AGREES and several and not plain.touches(low, high):
            fine = True if fine is None else fine
        elif verdict is Verdict.DISAGREES:
            place, field = Place(said.file, row.number), said.address(row.number, "mass")
            remedy = "Put the total or its rows right."
            said.add(Finding(TOTALS_ROW, Verdict.DISAGREES, "", f"{told}.", remedy, place, field))
    return fine


def _limits(line: Line, layout: Layout) -> tuple[Fraction, Fraction] | None:
    """What one piece of a line weighs, low and high; None where nobody says. [kg]"""
    text = line.cells.get("mass", "")
    if line.bad or not text:
        return None
    try:
        figure = read_figure(text, _POINT)
        if figure is None:
            return None
        unit = _unit(figure.unit or line.cells.get("unit", ""), layout, "mass")
        number = Fraction(figure.number)
        half = assumed_step(figure.number) / 2
        doubt = line.cells.get("plus_minus", "")
        own = read_figure(doubt, _POINT) if doubt else None
        if own is not None and own.unit != "%":
            half = max(half, Fraction(own.number))
    except (NumberFault, UnitError, ValueError):
        return None
    return (number - half) * unit.factor, (number + half) * unit.factor


def _unit(text: str, layout: Layout, name: str) -> MeasureUnit:
    if text and fold(text) not in vocabulary().of_one:
        return find_unit(text, "mass")
    found = layout.units.get(name) or layout.units.get("mass")
    if found is None:
        raise UnitError("no unit")
    return found


def _times(line: Line, lines: Sequence[Line]) -> Fraction:
    """How many of a line's piece there are in all, up to the top of the sheet."""
    rows: dict[str, Line] = {}
    for one in lines:
        if one.id:
            rows.setdefault(one.id, one)
    times = line.count or Fraction(1)
    seen = {line.id}
    above = rows.get(line.cells.get("parent", ""))
    while above is not None and above.id not in seen:
        seen.add(above.id)
        times *= above.count or Fraction(1)
        above = rows.get(above.cells.get("parent", ""))
    return times


@dataclass(frozen=True, slots=True)
class _Total:
    """The figure of a row of totals.

    Parameters
    ----------
    low, high : Fraction
        Its limits if it was rounded as its last digit that is not nought allows. [kg]
    least, most : Fraction
        Its limits if every digit counts, as in a sum that a sheet works out. [kg]
    shown : str
    unit : MeasureUnit
    """

    low: Fraction
    high: Fraction
    least: Fraction
    most: Fraction
    shown: str
    unit: MeasureUnit


def _stated(row: SheetRow, layout: Layout, numbers: Numbers) -> _Total | str:
    """The figure of a row of totals; or why there is none."""
    for name in ("mass together", "mass"):
        cell = row.at(layout.columns.get(name))
        if not cell.text or is_unknown(cell.text):
            continue
        try:
            text, _ = figure_text(cell, name, numbers)
            figure = read_figure(text, _POINT)
            if figure is None:
                continue
            unit = _unit(figure.unit or row.at(layout.columns.get("unit")).text, layout, name)
        except (CellError, NumberFault, UnitError) as error:
            return f"a row of totals that cannot be read: {error}"
        number, half = Fraction(figure.number), assumed_step(figure.number) / 2
        digits = len(figure.number.partition(".")[2])
        last = min(half, Fraction(1, 2 * 10**digits))
        return _Total(
            low=(number - half) * unit.factor,
            high=(number + half) * unit.factor,
            least=(number - last) * unit.factor,
            most=(number + last) * unit.factor,
            shown=f"{figure.number} {unit.name}",
            unit=unit,
        )
    return "a row of totals without a figure"


def _compared(stated: _Total, in_all: _Sum, once: _Sum) -> tuple[str, Verdict]:
    """What a total and its rows come to: in all, or with each row's own count only."""
    low, high, shown, unit = stated.low, stated.high, stated.shown, stated.unit
    fits = once if once.touches(low, high) and not in_all.touches(low, high) else in_all
    ends = [decimal_text(kg / unit.factor, 2) for kg in (fits.low, fits.high)]
    told = f"totals say {shown}; the {fits.rows} rows above come to {ends[0]} to {ends[1]} {unit.name}"
    if fits.unknown:
        if min(in_all.low, once.low) > high:
            return f"{told} though {fits.unknown} of them have no mass: disagrees", Verdict.DISAGREES
        return f"{told}, {fits.unknown} of them have no mass: cannot be checked", Verdict.CANNOT_BE_CHECKED
    if any(one.touches(stated.least, stated.most) for one in (in_all, once)):
        return f"{told}: agrees", Verdict.AGREES
    if fits.touches(low, high):
        ends = [decimal_text(kg / unit.factor, 2) for kg in (low, high)]
        only = f"agrees only if {shown} is a rounded figure, {ends[0]} to {ends[1]} {unit.name}"
        return f"{told}: {only}; cannot be checked", Verdict.CANNOT_BE_CHECKED
    return f"{told}: disagrees", Verdict.DISAGREES
