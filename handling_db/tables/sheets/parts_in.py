"""Rows of a parts list and of a list of masses as records, with a fate for every row."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from handling_db.errors import UnitError
from handling_db.quantities.display import figure as decimal_text
from handling_db.quantities.quantity import Quantity, Unit, find_unit
from handling_db.tables.sheets.grid import Grid, Row
from handling_db.tables.sheets.headings import Layout
from handling_db.tables.sheets.values import CellError, count_of, day_of, id_of, is_total, mass_of, text_of

TAKEN, WITHOUT_MASS, PASSED, REFUSED, CHECKED = (
    "taken",
    "taken without a mass",
    "passed over",
    "refused",
    "checked",
)


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of one row, and why.

    Parameters
    ----------
    row : int
    fate : str
        taken, taken without a mass, passed over, refused, or checked (a row of totals).
    why : str
        In a sentence; may be empty for what was taken.
    """

    row: int
    fate: str
    why: str = ""


@dataclass(slots=True)
class Piece:
    """What a sheet says of one component, from one row or several."""

    id: str
    name: str
    part_number: str = ""
    masses: list[dict[str, Any]] = field(default_factory=list)
    parts: list[dict[str, str]] = field(default_factory=list)
    remark: str = ""
    row: int = 0


@dataclass(slots=True)
class SheetRecords:
    """Everything that the rows gave."""

    pieces: dict[str, Piece] = field(default_factory=dict)
    weighings: list[dict[str, Any]] = field(default_factory=list)
    notes: list[dict[str, Any]] = field(default_factory=list)
    fates: list[Fate] = field(default_factory=list)


@dataclass(slots=True)
class _Sum:
    """The rows since the last total: their masses, and how many have none."""

    low: Fraction = Fraction(0)
    high: Fraction = Fraction(0)
    unknown: int = 0
    rows: int = 0

    def add(self, mass: Quantity | None, quantity: Fraction) -> None:
        """One more row."""
        self.rows += 1
        if mass is None:
            self.unknown += 1
            return
        half = mass.step_base / 2
        self.low += (mass.base - half) * quantity
        self.high += (mass.base + half) * quantity


class _Reader:
    def __init__(self, grid: Grid, layout: Layout, source: str, into: SheetRecords) -> None:
        self.grid = grid
        self.layout = layout
        self.source = source
        self.into = into
        self.section = _Sum()
        self.whole = _Sum()
        self.parents: set[str] = set()

    def cell(self, row: Row, name: str) -> Any:
        return row.at(self.layout.columns.get(name))

    def what(self, row: Row, name: str) -> str:
        column = self.layout.columns.get(name)
        return f"{name} ({self.grid.where(row.number, column)})"

    def unit(self, row: Row, name: str) -> Unit | None:
        """The unit of a bare number: its row's unit column, else the heading's or the mapping's."""
        own = self.cell(row, "unit").text
        if own:
            try:
                return find_unit(own, "mass")
            except UnitError as error:
                raise CellError(f"{self.what(row, 'unit')}: {error}") from None
        return self.layout.units.get(name)

    def mass(self, row: Row, name: str) -> Quantity | None:
        cell = self.cell(row, name)
        if cell.rows is not None and cell.rows[0] != cell.rows[1] and cell.text:
            together = f"one figure stands for rows {cell.rows[0]} to {cell.rows[1]} together"
            raise CellError(f"{self.what(row, name)}: {together}; write the mass of each")
        return mass_of(cell, self.unit(row, name), self.layout.decimal, self.what(row, name))

    def passed_over(self, row: Row) -> str:
        """Why a row says nothing; empty if it does."""
        if row.blank:
            return "blank"
        if row.hidden and self.layout.hidden_rows == "pass":
            return "hidden; show it, or say 'hidden rows: take'"
        texts = [row.at(column).text for column in self.layout.columns.values()]
        if texts and texts[0].upper().startswith("EXAMPLE"):
            return "an example of the template"
        headings = self.grid.rows[self.layout.heading_row - 1] if self.layout.heading_row else None
        if headings is not None and [c.text for c in row.cells] == [c.text for c in headings.cells]:
            return "the headings again"
        if not any(texts):
            return "nothing stands in the columns that are read"
        return ""

    def total(self, row: Row) -> Fate | None:
        """A row of totals: compared with the rows above it, and not counted."""
        texts = [cell.text for cell in row.cells if cell.kind == "text"]
        if not is_total(texts):
            return None
        for name in ("mass together", "mass"):
            if name not in self.layout.columns or not self.cell(row, name).text:
                continue
            try:
                stated = self.mass(row, name)
            except CellError as error:
                return Fate(row.number, CHECKED, f"a row of totals that cannot be read: {error}")
            if stated is None:
                continue
            subtotal = next(text for text in texts if text).lower().startswith("sub")
            above = self.section if subtotal else self.whole
            self.section = _Sum()
            return Fate(row.number, CHECKED, _compared(stated, above))
        return Fate(row.number, CHECKED, "a row of totals without a figure")


def _compared(stated: Quantity, above: _Sum) -> str:
    half = stated.step_base / 2
    low, high = stated.base - half, stated.base + half
    unit = stated.unit
    ends = [decimal_text(kg / unit.factor, 2) for kg in (above.low, above.high)]
    span = f"{ends[0]} to {ends[1]} {unit.name}"
    told = f"totals say {stated.text}; the {above.rows} rows above come to {span}"
    if above.unknown:
        if above.low > high:
            return f"{told} though {above.unknown} of them have no mass: disagrees"
        return f"{told}, {above.unknown} of them have no mass: cannot be checked"
    return f"{told}: {'agrees' if above.low <= high and low <= above.high else 'disagrees'}"


def read_parts(grid: Grid, layout: Layout, source: str, into: SheetRecords) -> None:
    """Read a parts list: name, how many, into what, and what one of them weighs.

    Parameters
    ----------
    grid, layout
    source : str
        Id of the source of its figures.
    into : SheetRecords
        Takes what is found, and every row's fate.
    """
    reader = _Reader(grid, layout, source, into)
    rows = [row for row in grid.rows if row.number > layout.heading_row]
    names = _names_of_rows(reader, rows)
    for row in rows:
        text = reader.cell(row, "parent").text
        reader.parents.add(names.get(text.lower(), word_id(text)))
    for row in rows:
        why = reader.passed_over(row)
        if why:
            into.fates.append(Fate(row.number, PASSED, why))
            continue
        total = reader.total(row)
        if total is not None:
            into.fates.append(total)
            continue
        fate = _part(reader, row, names)
        if fate.fate == REFUSED:  # whatever it weighs, it is missing from the sum
            reader.section.add(None, Fraction(1))
            reader.whole.add(None, Fraction(1))
        into.fates.append(fate)


def _names_of_rows(reader: _Reader, rows: list[Row]) -> dict[str, str]:
    """Ids by the names and numbers that the rows have, so that a parent may be written either way."""
    found: dict[str, str] = {}
    for row in rows:
        try:
            code = _id(reader, row)
        except CellError:
            continue
        for name in ("id", "name", "part number"):
            text = reader.cell(row, name).text
            if text:
                found.setdefault(text.lower(), code)
    return found


def _id(reader: _Reader, row: Row) -> str:
    given = reader.cell(row, "id")
    if given.text:
        return id_of(given, reader.what(row, "id"))
    number = reader.cell(row, "part number")
    if number.text:
        # A number is refused where a program changed it, even if the name would make an id.
        id_of(number, reader.what(row, "part number"))
    name = reader.cell(row, "name")
    text = text_of(name, reader.what(row, "name")) if name.text else number.text
    made = word_id(text)
    if not made:
        raise CellError(f"{reader.what(row, 'name')}: is missing; nothing to call it by")
    return made


def word_id(text: str) -> str:
    """A plain id of a name: small letters, digits and hyphens."""
    return re.sub(r"[^\w]+", "-", text.lower()).strip("-_")[:80].strip("-_")


def _part(reader: _Reader, row: Row, names: dict[str, str]) -> Fate:
    layout, into = reader.layout, reader.into
    try:
        code = _id(reader, row)
        quantity = count_of(reader.cell(row, "quantity"), layout.decimal, reader.what(row, "quantity"))
        parent = reader.cell(row, "parent")
        parent_text = text_of(parent, reader.what(row, "parent")) if parent.text else layout.parent
        name = text_of(reader.cell(row, "name"), reader.what(row, "name")) or code
    except CellError as error:
        return Fate(row.number, REFUSED, str(error))
    parent_id = names.get(parent_text.lower(), word_id(parent_text) if parent_text else "")
    if parent_id == code:
        return Fate(row.number, REFUSED, f"{code} would contain itself")
    piece = into.pieces.get(code)
    if piece is None:
        piece = into.pieces[code] = Piece(code, name, row=row.number)
    elif piece.row and piece.name != name:
        return Fate(
            row.number, REFUSED, f"the id {code!r} stands for {piece.name!r} in row {piece.row} already"
        )
    elif not piece.row:  # so far only named as what others go into
        piece.name, piece.row = name, row.number
    piece.part_number = piece.part_number or reader.cell(row, "part number").text
    piece.remark = piece.remark or reader.cell(row, "remark").text
    if parent_id:
        above = into.pieces.setdefault(parent_id, Piece(parent_id, parent_text))
        above.parts.append({"component": code, "quantity": quantity})
    number = Fraction(quantity)
    try:
        mass, fields, told = _figure(reader, row, number)
    except CellError as error:
        reader.section.add(None, number)
        reader.whole.add(None, number)
        return Fate(row.number, WITHOUT_MASS, str(error))
    if mass is None and code in reader.parents:
        return Fate(row.number, TAKEN, "an assembly: its mass is that of its parts")
    reader.section.add(mass, number)
    reader.whole.add(mass, number)
    if mass is None:
        return Fate(row.number, WITHOUT_MASS, "nobody wrote a mass")
    if fields not in piece.masses:
        piece.masses.append(fields)
    return Fate(row.number, TAKEN, told)


def _figure(reader: _Reader, row: Row, number: Fraction) -> tuple[Quantity | None, dict[str, Any], str]:
    """The mass of one piece, as a statement is written, and what is to be said about it."""
    each = reader.mass(row, "mass")
    together = reader.mass(row, "mass together")
    told = ""
    column = "mass"
    if each is None and together is not None:
        column = "mass together"
        if number == 1:
            each = together
        else:
            return _shared(reader, row, together, number)
    elif each is not None and together is not None:
        gap = abs(each.base * number - together.base)
        if gap > each.step_base / 2 * number + together.step_base / 2:
            raise CellError(
                f"{each.text} each and {together.text} together do not fit {number} pieces; put the row right"
            )
    if each is None:
        return None, {}, ""
    cell = reader.cell(row, column)
    fields: dict[str, Any] = {"printed": each.text}
    for name in ("plus or minus",):
        doubt = reader.mass(row, name)
        if doubt is not None:
            fields[name] = doubt.text
    state = reader.cell(row, "state").text.lower()
    if state:
        if state not in ("dry", "drained", "filled"):
            raise CellError(
                f"{reader.what(row, 'state')}: {state!r} is no state; write dry, drained or filled"
            )
        fields["state"] = state
    fields["source"] = reader.source
    fields["where"] = reader.grid.where(row.number, reader.layout.columns[column])
    if cell.formula:
        told = f"worked out in the sheet by {cell.formula}"
        fields["remark"] = told
    heading = reader.layout.units.get(column)
    if heading is not None and each.unit != heading:
        told = f"in {each.unit.name}, though the heading says {heading.name}"
    return each, fields, told


def _shared(
    reader: _Reader, row: Row, together: Quantity, number: Fraction
) -> tuple[Quantity | None, dict[str, Any], str]:
    """One piece's share where only the mass of several together is given."""
    unit = together.unit
    share = together.number / number
    half = together.step / 2 / number
    places = 6
    text = decimal_text(share, places).rstrip("0").rstrip(".")
    told = f"{together.text} is the mass of {number} together"
    column = reader.layout.columns["mass together"]
    fields = {
        "printed": f"{text} {unit.name}",
        "plus or minus": f"{decimal_text(half + Fraction(1, 10**places), places)} {unit.name}",
        "source": reader.source,
        "where": reader.grid.where(row.number, column),
        "remark": told,
    }
    return Quantity(f"{text} {unit.name}", share, unit, half * 2), fields, told


def read_masses(grid: Grid, layout: Layout, source: str, into: SheetRecords) -> None:
    """Read a list of masses: what was weighed, how much, with which scale, on which day."""
    reader = _Reader(grid, layout, source, into)
    for row in grid.rows:
        if row.number <= layout.heading_row:
            continue
        why = reader.passed_over(row)
        total = None if why else reader.total(row)
        if why:
            into.fates.append(Fate(row.number, PASSED, why))
        elif total is not None:
            into.fates.append(total)
        else:
            into.fates.append(_mass_row(reader, row))


def _mass_row(reader: _Reader, row: Row) -> Fate:
    layout, into = reader.layout, reader.into
    try:
        code = _id(reader, row)
        mass = reader.mass(row, "mass")
        doubt = reader.mass(row, "plus or minus")
        step = reader.mass(row, "step")
        day = day_of(reader.cell(row, "on"), reader.what(row, "on"))
        serial = reader.cell(row, "serial").text
    except CellError as error:
        return Fate(row.number, REFUSED, str(error))
    if mass is None:
        return Fate(row.number, PASSED, "nobody wrote a mass")
    reader.section.add(mass, Fraction(1))
    reader.whole.add(mass, Fraction(1))
    fields: dict[str, Any] = {"printed": mass.text}
    if step is not None:
        fields["step"] = step.text
    if doubt is not None:
        fields["plus or minus"] = doubt.text
    for name in ("state", "by", "remark"):
        if reader.cell(row, name).text:
            fields[name] = reader.cell(row, name).text
    for name, word in (("counts", "as listed"), ("without", "none")):
        text = reader.cell(row, name).text
        if text:
            fields[name] = text if text == word else [part.strip() for part in text.split(",")]
    if fields.get("without") == "none":
        fields["checked by"] = fields.get("by", "")
    if serial:
        fields["serials"] = {"from": serial, "to": serial}
    if day:
        fields["on"] = day
    fields["source"] = reader.cell(row, "source").text or reader.source
    fields["where"] = reader.grid.where(row.number, layout.columns["mass"])
    cell = reader.cell(row, "mass")
    if cell.formula:
        fields["remark"] = f"worked out in the sheet by {cell.formula}"
    piece = into.pieces.setdefault(code, Piece(code, reader.cell(row, "name").text or code, row=row.number))
    piece.masses.append(fields)
    return Fate(row.number, TAKEN)
