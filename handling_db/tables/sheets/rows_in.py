"""Rows of a sheet as rows of a flat table: ids, what goes into what, figures with a point."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from handling_db.tables.numbers import NotStated, Numbers
from handling_db.tables.sheets.cells_in import (
    CellError,
    figure_text,
    id_of,
    number_text,
    refuse_kind,
    text_of,
    word_id,
)
from handling_db.tables.sheets.fates import CHECKED, PASSED, Fate, SheetSaid
from handling_db.tables.sheets.grid import Cell, Grid, SheetRow
from handling_db.tables.sheets.layout import Layout
from handling_db.tables.sheets.together import PieceShare, share_of
from handling_db.tables.sheets.tree import Trees, find_tree
from handling_db.tables.text.decimal_sign import SheetFigure
from handling_db.tables.text.headings import DIMENSIONS, fold, is_unknown, vocabulary

MASSES = ("mass", "mass together", "also", "plus_minus", "step", "u", "stated", "stated_step")
PLACES = ("x", "y", "z", "roll", "pitch", "yaw", "cg_x", "cg_y", "cg_z")
WORDS = (
    "name", "part number", "unit", "state", "build", "boundary", "source", "serial", "on", "by", "remark",
    "length_unit", "stated_unit", "where", "figure remark", "source kind", "parts listed", "kind",
)  # fmt: skip
HEADS = (
    "parent", "child", "quantity", *WORDS, "mass", "also", "plus_minus", "step", "u", "stated", "stated_step",
    *PLACES,
)  # fmt: skip


_NOTHING = frozenset({"", "-", "--", "–", "—", "n/a"})  # under parent: the row goes into nothing


_NONE = Fate(0, "")
_STRUCTURE = frozenset({"name", "child", "part number", "parent", "quantity", "level", "position"})


@dataclass(slots=True)
class Line:
    """One row on its way in: its cells as texts by field, and how it stands in the sheet.

    Parameters
    ----------
    row : SheetRow
    id : str
        Empty where it could not be made.
    cells : dict of field to text
    count : Fraction, optional
        How many; None where the sheet does not say.
    parent_line : int, optional
        Index of the line it goes into, where levels show it.
    bad : bool
        Whether something of it was refused.
    lost : bool
        Whether it is not even known what it is, how many, or what it goes into.
    fluid : bool
        Whether it is a fluid, which needs litres and a density and so does not fit into a sheet.
    repeats : bool
        Whether it lists again what stands under the first occurrence of its assembly.
    """

    row: SheetRow
    id: str = ""
    cells: dict[str, str] = field(default_factory=dict)
    count: Fraction | None = None
    parent_line: int | None = None
    bad: bool = False
    lost: bool = False
    fluid: bool = False
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class Normal:
    """The rows of a sheet, made plain.

    Parameters
    ----------
    lines : tuple of Line
    totals : tuple of SheetRow
        Rows that say they are sums of others.
    fates : dict of row number to Fate
        Of rows that are not read.
    shown_by : str
        What shows the tree: levels, outline numbers, indents; empty for a column of parents or nothing.
    parents : mapping of id to str
        What names of parents are written, where no row is about them.
    asked : (SheetFigure, str) or None
        The figure for which the decimal sign has to be stated, and why.
    """

    lines: tuple[Line, ...]
    totals: tuple[SheetRow, ...]
    fates: dict[int, Fate]
    shown_by: str
    parents: Mapping[str, str]
    asked: tuple[SheetFigure, str] | None


def read_rows(grid: Grid, layout: Layout, numbers: Numbers, said: SheetSaid) -> Normal:
    """Make the rows of a sheet plain.

    Parameters
    ----------
    grid, layout
    numbers : Numbers
        With the decimal sign of the sheet, if it is stated.
    said : SheetSaid
        Takes what is wrong, cell by cell.
    """
    return _Reader(grid, layout, numbers, said).read()


class _Reader:
    def __init__(self, grid: Grid, layout: Layout, numbers: Numbers, said: SheetSaid) -> None:
        self.grid = grid
        self.layout = layout
        self.numbers = numbers
        self.said = said
        self.fates: dict[int, Fate] = {}
        self.parents: dict[str, str] = {}

    def read(self) -> Normal:
        """All rows, in four passes: which are read, decimal sign, ids and trees, figures."""
        rows, totals = self._sorted()
        self._see(rows)
        tree = self._tree(rows)
        lines = [Line(row, parent_line=at) for row, at in zip(rows, tree.parent, strict=True)]
        self._ids(lines)
        for i, told in tree.wrong.items():
            field_ = {"levels": "level", "outline numbers": "position"}.get(tree.shown_by, "name")
            self._fault(lines[i], field_, told + ";", "nothing is assumed for it.")
        self._parents(lines, tree)
        for line in lines:
            self._cells(line)
        if tree.shown_by:
            self._repeated_lists(lines)
        self._loose(lines, tree)
        asked = self.numbers.signs.asked() if self.numbers.signs is not None else None
        return Normal(tuple(lines), tuple(totals), self.fates, tree.shown_by, self.parents, asked)

    def _tree(self, rows: Sequence[SheetRow]) -> Trees:
        """What goes into what; a hidden row holds its place, and nothing is read into what it hides."""
        passed = [row for row in self.grid.rows if self.fates.get(row.number, _NONE).why.startswith("hidden")]
        if not passed:
            return find_tree(rows, self.layout)
        every = sorted((*rows, *passed), key=lambda row: row.number)
        whole = find_tree(every, self.layout)
        place = {row.number: at for at, row in enumerate(rows)}
        parents: list[int | None] = []
        wrong: dict[int, str] = {}
        for at, (row, above) in enumerate(zip(every, whole.parent, strict=True)):
            if row.number not in place:
                continue
            if at in whole.wrong:
                wrong[place[row.number]] = whole.wrong[at]
            elif above is not None and every[above].number not in place:
                wrong[place[row.number]] = f"goes into what row {every[above].number} hides"
                above = None
            parents.append(place[every[above].number] if above is not None else None)
        return Trees(tuple(parents), wrong, whole.shown_by)

    def _loose(self, lines: Sequence[Line], tree: Trees) -> None:
        """Say once of a list in which nothing goes into anything that its counts are not used."""
        if tree.shown_by or self.layout.parent or "parent" in self.layout.columns:
            return
        counted = [line for line in lines if line.cells.pop("quantity", "1") != "1"]
        if counted:
            told = "no column says what the rows go into, so how many there are is not used;"
            remedy = "add a column 'goes into', or name the whole under 'parent' in a mapping file."
            self.said.remark(self.layout.heading_row or 1, "", told, remedy)

    def cell(self, row: SheetRow, name: str) -> Cell:
        """The cell of a field; an empty one where the sheet has no such column."""
        return row.at(self.layout.columns.get(name))

    def _fault(self, line: Line, name: str, sentence: str, remedy: str) -> None:
        line.bad = True
        line.lost = line.lost or name in _STRUCTURE
        about = " ".join((line.id or self.cell(line.row, "name").text).split())[:80]
        self.said.fault(line.row.number, name, sentence, remedy, about)

    def _sorted(self) -> tuple[list[SheetRow], list[SheetRow]]:
        """Rows that are read, and rows of totals; the others get their fate here."""
        rows: list[SheetRow] = []
        totals: list[SheetRow] = []
        last = self.layout.heading_row
        headings = [row for row in self.grid.rows if last - self.layout.heading_rows < row.number <= last]
        for row in self.grid.rows:
            if row.number <= self.layout.heading_row:
                continue
            why = self._passed(row, headings)
            if why:
                self.fates[row.number] = Fate(row.number, PASSED, why)
            elif not self.layout.exported and _is_total(row, self.layout):
                totals.append(row)
                self.fates[row.number] = Fate(row.number, CHECKED)
            else:
                rows.append(row)
        return rows, totals

    def _passed(self, row: SheetRow, headings: Sequence[SheetRow]) -> str:
        if row.blank:
            return "blank"
        if row.hidden and self.layout.hidden_rows == "pass":
            return "hidden; show it, or say 'hidden rows: take'"
        if not self.layout.exported and any(cell.text.startswith("EXAMPLE") for cell in row.cells[:3]):
            return "an example of the template"
        if any([c.text for c in row.cells] == [c.text for c in heading.cells] for heading in headings):
            return "the headings again"
        if not any(row.at(column).text for column in self.layout.columns.values()):
            return "nothing stands in the columns that are read"
        return ""

    def _see(self, rows: Sequence[SheetRow]) -> None:
        """Show typed figures to whoever watches for the decimal sign; stored numbers have none."""
        for name in ("quantity", *MASSES, *PLACES):
            if name not in self.layout.columns:
                continue
            cells = [(row.number, cell) for row in rows if (cell := self.cell(row, name)).kind == "text"]
            self.numbers.see(name, [cell.text for _, cell in cells], [number for number, _ in cells])

    def _ids(self, lines: Sequence[Line]) -> None:
        """Give every line its id: as written, else made of its name, and part number where names repeat."""
        numbers_of: dict[str, set[str]] = {}
        for line in lines:
            name, number = (self.cell(line.row, field_).text for field_ in ("name", "part number"))
            if name and number:
                numbers_of.setdefault(word_id(name), set()).add(fold(number))
        taken: dict[str, tuple[str, int]] = {}
        for line in lines:
            try:
                line.id = self._id(line, numbers_of)
            except CellError as error:
                self._fault(line, error.field, error.sentence, error.remedy)
                continue
            if self.cell(line.row, "child").text:
                continue
            shown = fold(self.cell(line.row, "name").text or self.cell(line.row, "part number").text)
            first, row = taken.setdefault(line.id, (shown, line.row.number))
            if first != shown:
                told = f"the id {line.id!r} stands for what row {row} names otherwise;"
                self._fault(line, "name", told, "give one of the two another name, or a column of ids.")

    def _id(self, line: Line, numbers_of: Mapping[str, set[str]]) -> str:
        cells = {name: self.cell(line.row, name) for name in ("child", "part number", "name")}
        for name, cell in cells.items():
            if cell.kind != "empty":
                refuse_kind(cell, name)
        number = id_of(cells["part number"], "part number") if cells["part number"].text else ""
        if cells["child"].text:
            return id_of(cells["child"], "child")
        name = text_of(cells["name"], "name")
        made = word_id(name or number)
        if not made:
            raise CellError("name", "is missing; there is nothing to call the piece by;", "write its name.")
        if name and number and len(numbers_of.get(made, ())) > 1:
            made = word_id(f"{name} {number}")
        return made

    def _parents(self, lines: Sequence[Line], tree: Trees) -> None:
        """What each line goes into: by levels, by a column of names, numbers or ids, or by the mapping."""
        if tree.shown_by:
            for i, line in enumerate(lines):
                if i in tree.wrong:
                    continue
                above = lines[line.parent_line] if line.parent_line is not None else None
                if above is None or above.id:  # without the key it is not known what the line goes into
                    line.cells["parent"] = above.id if above else self.layout.parent
                if above is not None and (above.bad or not above.id) and not line.bad:
                    told = f"goes into what row {above.row.number} names, and that row was refused;"
                    self._fault(line, "name", told, f"put row {above.row.number} right.")
            return
        named: dict[str, set[str]] = {}
        for line in lines:
            for field_ in ("child", "name", "part number"):
                text = self.cell(line.row, field_).text
                if text and line.id:
                    named.setdefault(fold(text), set()).add(line.id)
        for line in lines:
            cell = self.cell(line.row, "parent")
            try:
                refuse_kind(cell, "parent")
            except CellError as error:
                self._fault(line, "parent", error.sentence, error.remedy)
                continue
            text = cell.text or self.layout.parent
            line.cells["parent"] = "" if text in _NOTHING else self._parent_id(line, text, named)
            ids = "child" in self.layout.columns  # there the checker finds it, as it does every circle
            if line.cells["parent"] and line.cells["parent"] == line.id and not ids:
                self._fault(line, "parent", f"{line.id!r} would contain itself;", "name what it goes into.")

    def _parent_id(self, line: Line, text: str, named: Mapping[str, set[str]]) -> str:
        found = named.get(fold(text), set())
        if len(found) > 1:
            told = f"{text!r} may be any of {', '.join(sorted(found))};"
            self._fault(line, "parent", told, "write its part number or its id.")
            return ""
        if found:
            return next(iter(found))
        made = text if "child" in self.layout.columns else word_id(text)
        self.parents.setdefault(made, text)
        return made

    def _cells(self, line: Line) -> None:
        """Every other cell as a text with a point for its decimal sign."""
        line.cells["child"] = line.id
        for name in WORDS:
            self._word(line, name)
        self._quantity(line)
        share = self._together(line)
        for name in ("mass", "also", "plus_minus", "step", "u", "stated", "stated_step"):
            if share is not None and name in ("mass", "plus_minus", "step", "u"):
                continue
            self._figure(line, name)
        if share is not None:
            line.cells |= share.cells
            self.said.remark(line.row.number, "mass together", share.told, "")
        for name in PLACES:
            self._figure(line, name)
        self._boundary(line)
        self._state(line)
        if self.layout.table != "notes" and line.cells.get("kind", "").lower() == "fluid":
            line.fluid = True
        if line.cells.get("mass") or line.cells.get("stated"):
            line.cells.setdefault("source", self.layout.source or self.layout.source_kind)
        for name in ("mass", "mass together", "stated"):
            cell = self.cell(line.row, name)
            if cell.text and not is_unknown(cell.text):
                column = self.layout.columns[name]
                if "where" not in self.layout.columns:  # an exported figure keeps the place it came from
                    line.cells["where"] = self.grid.where(line.row.number, column)
                if cell.formula and cell.kind != "error":
                    told = f"worked out in the sheet by {cell.formula}"
                    self.said.remark(line.row.number, name, told + ";", "")
                    line.cells["figure remark"] = told
                break
        if self.layout.table == "masses" and "remark" in line.cells:
            line.cells.setdefault("figure remark", line.cells.pop("remark"))

    def _word(self, line: Line, name: str) -> None:
        cell = self.cell(line.row, name)
        if cell.kind == "empty":
            return
        if name in ("name", "part number") and line.bad and cell.kind not in ("text", "number"):
            return  # said when the line got its id
        if name == "on" and cell.kind == "date":
            line.cells[name] = cell.text
            return
        try:
            refuse_kind(cell, name)
        except CellError as error:
            self._fault(line, name, error.sentence, error.remedy)
            return
        line.cells[name] = cell.text

    def _quantity(self, line: Line) -> None:
        cell = self.cell(line.row, "quantity")
        try:
            text = number_text(cell, "quantity", self.numbers)
        except NotStated:
            line.bad = True
            return
        except CellError as error:
            self._fault(line, "quantity", error.sentence, error.remedy)
            return
        if not text and not line.cells.get("parent") and not self._counts_rows(line):
            return
        if not text:
            told = "is missing;"
            if "quantity" in self.layout.columns:
                self._fault(line, "quantity", told, "write how many there are; nothing is assumed for it.")
                return
            told = "there is no column that says how many; each row is taken for one piece;"
            self.said.remark(self.layout.heading_row, "quantity", told, "add a column 'quantity'.")
            text = "1"
        line.cells["quantity"] = text
        try:
            line.count = Fraction(text)
        except ValueError:
            line.count = None

    def _counts_rows(self, line: Line) -> bool:
        """Whether a row without a parent needs its count: every row of a list that shows no tree does."""
        return (
            self.layout.table == "parts"
            and "quantity" in self.layout.columns
            and "parent" not in self.layout.columns
            and line.parent_line is None
            and not ({"level", "position"} & self.layout.columns.keys())
            and line.row.at(self.layout.columns.get("name")).indent == 0
        )

    def _figure(self, line: Line, name: str) -> None:
        if name not in self.layout.columns:
            return
        cell = self.cell(line.row, name)
        if name in ("mass", "also") and cell.rows is not None and cell.rows[0] != cell.rows[1] and cell.text:
            told = f"one figure stands for rows {cell.rows[0]} to {cell.rows[1]} together;"
            self._fault(line, name, told, "write the mass of each.")
            return
        dimension = DIMENSIONS.get(name, "mass")
        try:
            if dimension == "mass":
                text, remark = figure_text(cell, name, self.numbers)
            else:
                text, remark = number_text(cell, name, self.numbers), ""
        except NotStated:
            line.bad = True
            return
        except CellError as error:
            self._fault(line, name, error.sentence, error.remedy)
            return
        if remark:
            self.said.remark(
                line.row.number, name, remark, "write it without the sign between the thousands."
            )
        if text:
            line.cells[name] = text

    def _together(self, line: Line) -> PieceShare | None:
        """One piece's share where the mass of all of a row is given; else None, or with a fault."""
        cell = self.cell(line.row, "mass together")
        if not cell.text or is_unknown(cell.text):
            return None
        try:
            return share_of(self, line, cell)
        except NotStated:
            line.bad = True
        except CellError as error:
            self._fault(line, error.field, error.sentence, error.remedy)
        return None

    def _boundary(self, line: Line) -> None:
        """What a figure counts and leaves out, as one text; what is left empty nobody looked at."""
        counts, without = (self.cell(line.row, name).text for name in ("counts", "without"))
        if not counts and not without:
            return
        text = "as listed" if not counts or counts.lower() == "as listed" else f"counts {counts}"
        if without:
            text += f" without {without}"
        if without.lower() == "none":
            text += f" checked by {self.cell(line.row, 'by').text}".rstrip()
        line.cells["boundary"] = text

    def _state(self, line: Line) -> None:
        text = line.cells.get("state", "")
        if text:
            line.cells["state"] = vocabulary().states.get(fold(text), text)
        elif line.cells.get("mass") and self.layout.states:
            line.cells["state"] = next(iter(self.layout.states.values()))

    def _repeated_lists(self, lines: Sequence[Line]) -> None:
        """A group that is listed again wherever it occurs is listed once; another list for it is refused."""
        below: dict[int, list[int]] = {}
        for i, line in enumerate(lines):
            if line.parent_line is not None:
                below.setdefault(line.parent_line, []).append(i)
        first: dict[str, int] = {}
        for i, line in enumerate(lines):
            if not below.get(i) or line.repeats or not line.id:
                continue
            earlier = first.setdefault(line.id, i)
            if earlier == i:
                continue
            here = Counter((lines[k].id, lines[k].cells.get("quantity")) for k in below[i])
            there = Counter((lines[k].id, lines[k].cells.get("quantity")) for k in below[earlier])
            if here != there:
                told = f"{line.id!r} has other parts here than in row {lines[earlier].row.number};"
                self._fault(line, "name", told, "give one of the two another id, or list the same parts.")
                continue
            for k in below[i]:
                lines[k].repeats = True


def _is_total(row: SheetRow, layout: Layout) -> bool:
    """Whether the first text of a row says that the row is a sum of others."""
    known = vocabulary()
    text = next((cell.text for cell in row.cells if cell.kind == "text"), "").strip(" :.=")
    if fold(text) in known.totals | known.subtotals or text in ("Σ", "∑"):
        return True
    words = [fold(word) for word in re.split(r"[\s:/()\[\]-]+", text) if fold(word)]
    if not words or not {words[0], "".join(words[:2])} & (known.totals | known.subtotals):
        return False
    if row.at(layout.columns.get("quantity")).text and row.at(layout.columns.get("part number")).text:
        return False
    return len(words) < 8 and not row.at(layout.columns.get("part number")).text


def is_subtotal(row: SheetRow) -> bool:
    """Whether a row of totals sums only the rows since the last one."""
    text = next((cell.text for cell in row.cells if cell.kind == "text"), "")
    words = [fold(word) for word in text.split()]
    return bool({fold(text), *(words[:1]), "".join(words[:2])} & vocabulary().subtotals)


def heads_of(lines: Sequence[Line]) -> tuple[str, ...]:
    """The columns of which at least one line has a cell; parent and child always."""
    there = {name for line in lines for name, text in line.cells.items() if text}
    return tuple(name for name in HEADS if name in there or name in ("parent", "child"))
