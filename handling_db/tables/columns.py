"""The columns of a flat table: their names, how forgivingly a heading is read, units in headings."""

from __future__ import annotations

import csv
import difflib
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.errors import UnitError
from handling_db.quantities.quantity import find_unit
from handling_db.quantities.table import MeasureUnit
from handling_db.tables.findings import FileFindings
from handling_db.tables.text import headings

# Each column and what it measures, where it measures something; such a column may carry a unit in its
# heading, as in "mass kg", "x (mm)" or "roll deg".
COLUMNS: Mapping[str, str] = {
    "parent": "",
    "child": "",
    "quantity": "",
    "mass": "mass",
    "unit": "",
    "step": "mass",
    "plus_minus": "mass",
    "u": "mass",
    "state": "",
    "boundary": "",
    "build": "",
    "x": "length",
    "y": "length",
    "z": "length",
    "length_unit": "",
    "roll": "angle",
    "pitch": "angle",
    "yaw": "angle",
    "cg_x": "length",
    "cg_y": "length",
    "cg_z": "length",
    "stated": "mass",
    "stated_unit": "",
    "stated_step": "mass",
    "source": "",
    "name": "",
    "part number": "",
    "serial": "",
    "on": "",
    "by": "",
    "remark": "",
}
REQUIRED = ("parent", "child")
DELIMITERS = (";", "\t", ",")
DELIMITER_NAMES = {";": "';'", "\t": "a tab", ",": "','"}


@dataclass(frozen=True, slots=True)
class ColumnLayout:
    """Which column stands where.

    Parameters
    ----------
    width : int
        Number of cells in the heading line.
    position : mapping of column name to int
    unit : mapping of column name to MeasureUnit
        Units that stand in headings.
    """

    width: int
    position: Mapping[str, int]
    unit: Mapping[str, MeasureUnit]


def find_delimiter(head: str) -> str:
    """The delimiter that makes the most known headings of one of the first lines; ';', tab, ',' in a tie.

    Parameters
    ----------
    head : str
        The first lines of a file. What stands in quotes, and ``;`` in a remark, separates nothing.
    """

    def known(delimiter: str) -> tuple[int, int, int]:
        """Most known headings in one line; then most rows as wide as that line; then most cells."""
        best = (0, 0, 0)
        try:
            rows = list(csv.reader(io.StringIO(head, newline=""), delimiter=delimiter))
        except csv.Error:
            return best
        widths = Counter(len(row) for row in rows if len(row) > 1)
        for row in rows:
            names = {
                heading.fields[0] for cell in row if (heading := headings.read_heading(cell.strip())).fields
            }
            best = max(best, (len(names) if len(row) > 1 else 0, widths[len(row)], len(row)))
        return best

    return max(DELIMITERS, key=known)


def read_heading(cells: Sequence[str], line: int, said: FileFindings) -> ColumnLayout | None:
    """Find the known columns in a heading line.

    Parameters
    ----------
    cells : sequence of str
    line : int
        Where the heading stands.
    said : FileFindings
        Takes unknown columns as a remark; a column given twice, a required one that is missing and a
        unit that cannot be read as faults.

    Returns
    -------
    ColumnLayout or None
        None when there was a fault.
    """
    position: dict[str, int] = {}
    units: dict[str, MeasureUnit] = {}
    unknown: list[str] = []
    broken: set[str] = set()
    fine = True
    for at, cell in enumerate(cells):
        name, tail, bracketed = _split(cell)
        if name is None:
            unknown.append(cell.strip() or f"column {at + 1}, which has no heading")
            continue
        if tail:
            try:
                unit = find_unit(tail, COLUMNS[name])
                if name not in position:
                    units[name] = unit
            except UnitError as error:
                if not bracketed and str(error).startswith("the unit "):  # no unit at all: another column
                    unknown.append(cell.strip())
                    continue
                said.fault(line, name, f"the heading {cell.strip()!r} names no unit to read:", f"{error}.")
                broken.add(name)
                fine = False
        if name in position:
            first = cells[position[name]].strip()
            told = f"the column {name!r} is there twice, headed {first!r} and {cell.strip()!r};"
            said.fault(line, name, told, "keep one of the two.")
            fine = False
            continue
        position[name] = at
    if unknown:
        _remark_unknown(unknown, line, said)
    fine = _required(position, units, broken, line, said) and fine
    return ColumnLayout(len(cells), position, units) if fine else None


def _split(cell: str) -> tuple[str | None, str, bool]:
    """Column name, what stands behind it, and whether that stands in brackets."""
    heading = headings.read_heading(cell.strip())
    name = next((field for field in heading.fields if field in COLUMNS), None)
    return name, heading.unit if name else "", heading.bracketed


def is_flat(cells: Sequence[str]) -> bool:
    """Whether a row heads a table of ids that needs no looking around: parent, child, columns of their own.

    Such a table can be read column by column, however many rows it has. Lists that name pieces in words, give
    levels, or the mass of several together are read as sheets.
    """
    found = [headings.read_heading(cell.strip()) for cell in cells]
    named = {heading.fields[0] for heading in found if heading.fields}
    if not named <= COLUMNS.keys():
        return False
    words = {headings.fold(cell) for cell in cells}
    return "child" in words or (
        "parent" in words and ("child" in named or not named & {"name", "part number"})
    )


def _remark_unknown(unknown: list[str], line: int, said: FileFindings) -> None:
    named = ", ".join(repr(text) for text in unknown)
    near = [match for text in unknown for match in difflib.get_close_matches(text.lower(), COLUMNS, 1)]
    hint = f"Did you mean {', '.join(near)}? " if near else ""
    several = "these columns are" if len(unknown) > 1 else "this column is"
    said.remark(line, "", f"{several} not read: {named}.", f"{hint}The columns are: {', '.join(COLUMNS)}.")


def _required(
    position: Mapping[str, int],
    units: Mapping[str, MeasureUnit],
    broken: set[str],
    line: int,
    said: FileFindings,
) -> bool:
    """Report columns without which others cannot be read; `broken` ones were reported already."""
    before = said.faults
    for name in REQUIRED:
        if name not in position:
            meaning = "one piece a row" if name == "child" else "what the piece goes into, empty for a root"
            said.fault(line, name, "this column is missing;", f"add a column headed {name!r}: {meaning}.")
    for name, unit_column in (("mass", "unit"), ("stated", "stated_unit")):
        if name in position and name not in units and name not in broken and unit_column not in position:
            remedy = f"head it '{name} kg' or '{name} lb', or add a column {unit_column!r}."
            said.fault(line, name, "the figures have no unit;", remedy)
    for name in ("x", "y", "z", "cg_x", "cg_y", "cg_z"):
        if name in position and name not in units and name not in broken and "length_unit" not in position:
            shown = name.replace("_", " ")
            said.fault(
                line,
                name,
                "the figures have no unit;",
                f"head it '{shown} mm', or add a column 'length_unit'.",
            )
    for name in ("roll", "pitch", "yaw"):
        if name in position and name not in units and name not in broken:
            said.fault(line, name, "the angles have no unit;", f"head it '{name} deg' or '{name} rad'.")
    for group in (("x", "y", "z"), ("cg_x", "cg_y", "cg_z")):
        there = [name for name in group if name in position]
        missing = [name for name in group if name not in position]
        if there and missing:
            told = f"a place needs all of {', '.join(group)};"
            said.fault(line, missing[0], told, f"add the column {missing[0]!r}; what is left out is not 0.")
        elif broken.isdisjoint(group) and len({units.get(name) for name in there}) > 1:
            told = f"{', '.join(group)} are headed with different units;"
            said.fault(line, group[0], told, "head all three with the same unit.")
    turns = [name for name in ("roll", "pitch", "yaw") if name in position]
    if turns and "x" not in position:
        told = f"{turns[0]} needs a place;"
        said.fault(line, turns[0], told, "add the columns x, y, z: where the piece's datum lies.")
    return said.faults == before
