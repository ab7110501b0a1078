"""An XLSX file as grids: values with how they are held, formulas, merged cells, hidden rows."""

from __future__ import annotations

import datetime
import io
import re
import zipfile
from pathlib import Path
from typing import Any

from handling_db.tables.sheets.grid import (
    EMPTY,
    MAX_COLUMNS,
    MAX_FILE_BYTES,
    MAX_ROWS,
    MAX_TEXT,
    MAX_UNPACKED_BYTES,
    SCALED,
    Cell,
    Grid,
    SheetError,
    SheetRow,
    without_tail,
)

MISSING = (
    "reading and writing XLSX needs the extra 'sheets'; install it with: pip install 'handling-db[sheets]'"
)
# A comma behind the last digit of a format divides what is shown by a thousand: 1250 looks like 1.25.
_SCALED = re.compile(r"[0#?],+(?![0#?,])")
_FORMAT_UNIT = re.compile(r'"\s*([^"]+?)\s*"')
_FORMAT_PLACES = re.compile(r"0\.(0+)")


def book_bytes(book: Any) -> bytes:
    """A workbook as the file it is saved as."""
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read_xlsx(path: Path) -> tuple[Grid, ...]:
    """Every sheet of an XLSX file, hidden ones marked.

    Raises
    ------
    SheetError
        Too large, damaged, locked, or the extra `sheets` is not installed.
    """
    _look_at(path)
    try:
        import openpyxl
    except ImportError:
        raise SheetError(MISSING) from None
    try:
        shown = openpyxl.load_workbook(path, data_only=True, keep_links=False)
        typed = openpyxl.load_workbook(path, data_only=False, keep_links=False)
    except Exception as error:  # openpyxl lets what it stumbles over through, whatever it is
        raise SheetError(f"{path}: cannot be read as XLSX ({type(error).__name__}: {error})") from None
    return tuple(_grid(path, sheet, typed[sheet.title]) for sheet in shown.worksheets)


def _look_at(path: Path) -> None:
    """Refuse what would not fit into memory before anything is unpacked."""
    if path.stat().st_size > MAX_FILE_BYTES:
        raise SheetError(f"{path}: larger than {MAX_FILE_BYTES // 1_000_000} MB; split it")
    with path.open("rb") as start:
        head = start.read(8)
    if head.startswith(b"\xd0\xcf\x11\xe0"):
        raise SheetError(f"{path}: an old .xls file, or one with a password; save it as .xlsx without one")
    try:
        with zipfile.ZipFile(path) as packed:
            entries = packed.infolist()
            size = sum(entry.file_size for entry in entries)
    except (zipfile.BadZipFile, OSError, ValueError):
        raise SheetError(f"{path}: damaged, or no XLSX file; save it again as .xlsx") from None
    if size > MAX_UNPACKED_BYTES or len(entries) > 5000:
        raise SheetError(f"{path}: would unpack to {size:,} bytes; that is no shop's list")


def _grid(path: Path, sheet: Any, typed: Any) -> Grid:
    if sheet.max_row > MAX_ROWS:
        raise SheetError(f"{path}: sheet {sheet.title} has more than {MAX_ROWS:,} rows; split it")
    merged = _merged(sheet)
    rows = []
    width = min(sheet.max_column, MAX_COLUMNS)
    for number in range(1, sheet.max_row + 1):
        cells = []
        for column in range(1, width + 1):
            at = merged.get((number, column), (number, column, None))
            cells.append(_cell(sheet.cell(at[0], at[1]), typed.cell(at[0], at[1]), at[2]))
        rows.append(SheetRow(number, tuple(cells), bool(sheet.row_dimensions[number].hidden)))
    hidden = frozenset(
        column - 1
        for name, dimension in sheet.column_dimensions.items()
        if dimension.hidden
        for column in range(dimension.min or 1, (dimension.max or dimension.min or 1) + 1)
        if column <= width
    )
    unseen = sheet.sheet_state != "visible"
    return Grid(path.name, sheet.title, without_tail(rows), hidden, hidden=unseen)


def _merged(sheet: Any) -> dict[tuple[int, int], tuple[int, int, tuple[int, int]]]:
    """For every cell of a merged area, the one that holds its value, and the area's rows."""
    found = {}
    for area in sheet.merged_cells.ranges:
        for row in range(area.min_row, area.max_row + 1):
            for column in range(area.min_col, min(area.max_col, MAX_COLUMNS) + 1):
                if column == area.min_col or row == area.min_row:
                    found[row, column] = (area.min_row, area.min_col, (area.min_row, area.max_row))
    # Across, only the first column holds the value: a merged heading is one heading.
    return {key: at for key, at in found.items() if key[1] == at[1]}


def _cell(shown: Any, typed: Any, rows: tuple[int, int] | None) -> Cell:
    formula = str(typed.value)[:200] if typed.data_type == "f" else ""
    value = shown.value
    if value is None:
        return (
            Cell("", "error", formula, rows=rows) if formula else (EMPTY if rows is None else Cell(rows=rows))
        )
    if isinstance(value, bool):
        return Cell("TRUE" if value else "FALSE", "truth", formula, rows=rows)
    if isinstance(value, int | float) and _SCALED.search(shown.number_format or ""):
        return Cell(f"{SCALED} {_number(value, None)}", "error", formula, rows=rows)
    if isinstance(value, int | float) and "%" in (shown.number_format or ""):
        return Cell(_number(value * 100, None), "number", formula, "%", rows)
    if isinstance(value, int | float):
        return Cell(_number(value, shown.number_format), "number", formula, _unit(shown.number_format), rows)
    if isinstance(value, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        day = value.date().isoformat() if isinstance(value, datetime.datetime) else str(value)
        return Cell(day, "date", formula, rows=rows)
    text = " ".join(str(value).split())[:MAX_TEXT]
    spaces = len(str(value)) - len(str(value).lstrip(" \u00a0"))
    indent = spaces + 3 * int(getattr(shown.alignment, "indent", 0) or 0)
    if shown.data_type == "e":
        return Cell(text, "error", formula, rows=rows)
    return (
        Cell(text, "text", formula, rows=rows, indent=indent)
        if text
        else (EMPTY if rows is None else Cell(rows=rows))
    )


def _number(value: float, number_format: str | None) -> str:
    """All digits that are stored, to twelve; more zeros where the format shows them (12.5 as 12.50)."""
    text = f"{value:.12g}"
    if "e" in text:
        text = f"{value:.12f}".rstrip("0").rstrip(".") if abs(value) < 1 else f"{value:.0f}"
    places = _FORMAT_PLACES.search(number_format or "")
    if places is not None and "%" not in (number_format or ""):
        have = len(text.partition(".")[2])
        if have < len(places[1]):
            text += ("" if have else ".") + "0" * (len(places[1]) - have)
    return text


def _unit(number_format: str | None) -> str:
    found = _FORMAT_UNIT.search(number_format or "")
    return found[1] if found else ""
