"""A CSV file as a grid: every cell is a text, as it was typed or as a program wrote it."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from handling_db.tables.sheets.grid import (
    EMPTY,
    MAX_COLUMNS,
    MAX_FILE_BYTES,
    MAX_ROWS,
    MAX_TEXT,
    Cell,
    Grid,
    Row,
    SheetError,
    without_tail,
)

DELIMITERS = (";", "\t", ",")


def read_csv(path: Path) -> tuple[Grid, ...]:
    """The one sheet of a CSV file.

    Raises
    ------
    SheetError
        Too large, not text, or not CSV.
    """
    if path.stat().st_size > MAX_FILE_BYTES:
        raise SheetError(f"{path}: larger than {MAX_FILE_BYTES // 1_000_000} MB; split it")
    data = path.read_bytes()
    try:
        text = data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise SheetError(f"{path}:{line}: not UTF-8 text; save it as 'CSV UTF-8'") from None
    if "\0" in text:
        raise SheetError(f"{path}: has zero bytes in it; it is no CSV file")
    delimiter = max(DELIMITERS, key=lambda sign: _columns(text, sign))
    rows: list[Row] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for cells in reader:
            if len(rows) >= MAX_ROWS:
                raise SheetError(f"{path}: more than {MAX_ROWS:,} rows; split it, or build from it directly")
            first = reader.line_num - sum(cell.count("\n") for cell in cells)
            rows.append(Row(first, tuple(_cell(cell) for cell in cells[:MAX_COLUMNS])))
    except csv.Error as error:
        raise SheetError(f"{path}:{reader.line_num}: not CSV: {error}") from None
    return (Grid(path.name, "", without_tail(rows)),)


def _columns(text: str, delimiter: str) -> int:
    """How many cells the fullest of the first lines has."""
    head = "\n".join(text.splitlines()[:20])
    try:
        return max((len(cells) for cells in csv.reader(io.StringIO(head), delimiter=delimiter)), default=0)
    except csv.Error:
        return 0


def _cell(text: str) -> Cell:
    shown = " ".join(text.split())[:MAX_TEXT]
    return Cell(shown, "text") if shown else EMPTY
