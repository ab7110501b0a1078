"""A text file of separated cells as a grid: every cell is a text, as typed or as a program wrote it."""

from __future__ import annotations

from pathlib import Path

from handling_db.tables.columns import find_delimiter
from handling_db.tables.findings import FileFindings
from handling_db.tables.rows import chunks, first_lines
from handling_db.tables.sheets.grid import (
    EMPTY,
    MAX_COLUMNS,
    MAX_ROWS,
    MAX_TEXT,
    Cell,
    Grid,
    SheetRow,
    without_tail,
)


def text_grid(path: Path, data: bytes, said: FileFindings) -> Grid | None:
    """The grid of a text that was read already, as UTF-8."""
    delimiter = find_delimiter(first_lines(data))
    rows: list[SheetRow] = []
    for some in chunks(data, delimiter, said):
        for number, cells in zip(some.lines, some.rows, strict=True):
            rows.append(SheetRow(number, tuple(_cell(cell) for cell in cells[:MAX_COLUMNS])))
        if len(rows) > MAX_ROWS:
            told = f"there are more than {MAX_ROWS:,} rows;"
            remedy = "split the file; only a table of parent and child ids may be longer."
            said.fault(rows[-1].number, "", told, remedy)
            return None
    return Grid(path.name, "", without_tail(rows), semicolons=delimiter == ";")


def _cell(text: str) -> Cell:
    shown = " ".join(text.split())[:MAX_TEXT]
    if not shown:
        return EMPTY
    return Cell(shown, "text", indent=len(text) - len(text.lstrip(" \u00a0\t")))
