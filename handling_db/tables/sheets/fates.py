"""What becomes of every row of a sheet, told with its address."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.tables.findings import FileFindings
from handling_db.tables.sheets.grid import Grid
from handling_db.tables.sheets.layout import Layout
from handling_db.tables.sheets.mapping import written_name

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


class SheetSaid(FileFindings):
    """Findings about one sheet: each names the cell, and is kept by row for the row's fate.

    Parameters
    ----------
    file : str
    grid : Grid
    layout : Layout
    """

    def __init__(self, file: str, grid: Grid, layout: Layout) -> None:
        super().__init__(file)
        self.grid = grid
        self.layout = layout
        self.wrong: dict[int, list[str]] = {}
        self.told: dict[int, list[str]] = {}

    def address(self, line: int, column: str) -> str:
        """A field with the cell it stands in: ``mass (cell F12)``; the field alone where it has no column."""
        name = column if column in self.layout.columns else _SAME.get(column, column)
        shown = written_name(name)
        at = self.layout.columns.get(name)
        if at is None or line <= self.layout.heading_row:
            return shown
        return f"{shown} ({self.grid.where(line, at)})"

    def fault(self, line: int, column: str, sentence: str, remedy: str, about: str = "") -> None:
        """Something in a cell that cannot be read, or makes no sense as written."""
        field = self.address(line, column)
        told = f"{field}: {sentence} {remedy}".strip().removeprefix(": ")
        self.wrong.setdefault(line, []).append(told.rstrip("."))
        super().fault(line, field, sentence, remedy, about)

    def remark(
        self, line: int, column: str, sentence: str, remedy: str, about: str = "", rule: str = "table"
    ) -> None:
        """Something in a cell that was read in a way the writer should know of."""
        field = self.address(line, column)
        if line > self.layout.heading_row:
            self.told.setdefault(line, []).append(f"{field}: {sentence}".removeprefix(": ").rstrip(";."))
        super().remark(line, field, sentence, remedy, about, rule)


# Where the figure of a canonical column stands, if the sheet has it under another.
_SAME = {"mass": "mass together", "boundary": "counts"}
