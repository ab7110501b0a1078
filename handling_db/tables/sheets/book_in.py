"""ODS, XLS and XLSB files as grids: values by python-calamine, and of ODS what else its table says."""

from __future__ import annotations

import datetime
import re
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

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
    "reading ODS, XLS and XLSB needs the extra 'sheets'; install it with: pip install 'handling-db[sheets]'"
)
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_UNIT = re.compile(r"^[-+]?[\d.,'\s]*\d\s*([^\d\s.,'%()+\-]{1,12})$")


@dataclass(slots=True)
class _Marks:
    """What the table of an ODS says beside its values."""

    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    merged: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)
    formulas: dict[tuple[int, int], str] = field(default_factory=dict)
    shown: dict[tuple[int, int], str] = field(default_factory=dict)
    kinds: dict[tuple[int, int], str] = field(default_factory=dict)


def read_book(path: Path) -> tuple[Grid, ...]:
    """Every sheet of an ODS, XLS or XLSB file, hidden ones marked.

    Raises
    ------
    SheetError
        Too large, damaged, locked, or the extra `sheets` is not installed.
    """
    if path.stat().st_size > MAX_FILE_BYTES:
        raise SheetError(f"{path}: larger than {MAX_FILE_BYTES // 1_000_000} MB; split it")
    try:
        import python_calamine as calamine
    except ImportError:
        raise SheetError(MISSING) from None
    _refuse_bomb(path)
    grids: list[Grid] = []
    try:
        book = calamine.CalamineWorkbook.from_path(path)
        marks = _ods_marks(path) if path.suffix.lower() == ".ods" else None
        for number, about in enumerate(book.sheets_metadata):
            if about.typ != calamine.SheetTypeEnum.WorkSheet:
                continue
            sheet = book.get_sheet_by_index(number)
            if sheet.total_height > MAX_ROWS:
                raise SheetError(f"{path}: sheet {about.name} has more than {MAX_ROWS:,} rows; split it")
            visible = about.visible == calamine.SheetVisibleEnum.Visible
            own = marks.get(about.name) if marks is not None else None
            grids.append(_grid(path, about.name, sheet, own, hidden=not visible))
    except SheetError:
        raise
    except calamine.PasswordError:
        raise SheetError(f"{path}: is locked with a password; save it without one") from None
    except BaseException as error:  # calamine's own, and whatever a damaged file makes of its parser
        if isinstance(error, KeyboardInterrupt | SystemExit | MemoryError):
            raise
        raise SheetError(f"{path}: cannot be read as a sheet ({type(error).__name__}: {error})") from None
    return tuple(grids)


def _refuse_bomb(path: Path) -> None:
    if not zipfile.is_zipfile(path):
        return
    with zipfile.ZipFile(path) as packed:
        size = sum(entry.file_size for entry in packed.infolist())
    if size > MAX_UNPACKED_BYTES:
        raise SheetError(f"{path}: would unpack to {size:,} bytes; that is no shop's list")


def _grid(path: Path, name: str, sheet: Any, marks: _Marks | None, *, hidden: bool) -> Grid:
    merged: dict[tuple[int, int], tuple[int, int]] = {}
    if marks is not None:
        merged = marks.merged
    else:
        for (top, left), (bottom, _) in sheet.merged_cell_ranges or ():
            for row in range(top, bottom + 1):
                merged[row, left] = (top, bottom)
    values: Sequence[Sequence[Any]] = sheet.to_python(skip_empty_area=False)
    rows = []
    for at, cells in enumerate(values):
        line = [
            _cell(values, at, column, merged.get((at, column)), marks)
            for column in range(min(len(cells), MAX_COLUMNS))
        ]
        rows.append(SheetRow(at + 1, tuple(line), marks is not None and at in marks.hidden_rows))
    told = () if marks is not None else ("this kind of file does not show which rows or columns are hidden",)
    columns = frozenset(marks.hidden_columns) if marks is not None else frozenset()
    return Grid(path.name, name, without_tail(rows), columns, hidden=hidden, told=told)


def _cell(
    values: Sequence[Sequence[Any]], row: int, column: int, area: tuple[int, int] | None, marks: _Marks | None
) -> Cell:
    """One cell; of a merged area every row gets what its first cell holds."""
    first = area[0] if area is not None else row
    value = values[first][column] if first < len(values) and column < len(values[first]) else ""
    rows = (area[0] + 1, area[1] + 1) if area is not None else None
    formula = marks.formulas.get((first, column), "") if marks is not None else ""
    kind = marks.kinds.get((first, column), "") if marks is not None else ""
    if value == "" or value is None:
        if formula:
            return Cell("", "error", formula, rows=rows)
        return EMPTY if rows is None else Cell(rows=rows)
    if isinstance(value, bool):
        return Cell("TRUE" if value else "FALSE", "truth", formula, rows=rows)
    if isinstance(value, int | float):
        shown = marks.shown.get((first, column), "") if marks is not None else ""
        unit = _UNIT.match(shown)
        text = f"{value:.12g}"
        if "e" in text:
            text = f"{value:.12f}".rstrip("0").rstrip(".") if abs(value) < 1 else f"{value:.0f}"
        if kind in ("float", "currency") and _shows_another(value, shown):
            return Cell(f"{SCALED} {text}", "error", formula, rows=rows)
        if kind == "percentage":
            return Cell(f"{value * 100:.10g}", "number", formula, "%", rows)
        return Cell(_with_zeros(text, shown), "number", formula, unit[1] if unit else "", rows)
    if isinstance(value, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        day = value.date().isoformat() if isinstance(value, datetime.datetime) else str(value)
        return Cell(day, "date", formula, rows=rows)
    text = " ".join(str(value).split())[:MAX_TEXT]
    if text.startswith("#") and text.rstrip("!?").isupper() and formula:
        return Cell(text, "error", formula, rows=rows)
    indent = len(str(value)) - len(str(value).lstrip(" \u00a0"))
    return Cell(text, "text", formula, rows=rows, indent=indent) if text else EMPTY


def _shows_another(value: float, shown: str) -> bool:
    """Whether a cell shows a figure that is not the stored one, rounded: in thousands, say."""
    found = re.search(r"\d[\d.,'\u00a0\u202f ]*", shown)
    if found is None or value == 0:
        return False
    digits = re.split(r"[.,'\u00a0\u202f ]", found[0].strip(" .,"))
    readings = {"".join(digits)}
    if len(digits) > 1:
        readings.add("".join(digits[:-1]) + "." + digits[-1])
    near = (abs(float(reading) - abs(value)) <= max(0.5, 0.06 * abs(value)) for reading in readings)
    return not any(near)


def _with_zeros(text: str, shown: str) -> str:
    """Zeros that a format shows behind the last digit: 12.5 shown as 12,50 is 12.50."""
    places = re.search(r"[.,](\d+)\D*$", shown)
    have = len(text.partition(".")[2])
    if places is None or len(places[1]) <= have or len(places[1]) > 6:
        return text
    if float(text) == int(float(text)) and len(places[1]) == 3:  # 1.250 may be a thousand: no zeros to add
        return text
    return text + ("" if have else ".") + "0" * (len(places[1]) - have)


def _ods_marks(path: Path) -> dict[str, _Marks]:
    """Hidden rows and columns, merged cells, formulas and what numbers look like, by sheet."""
    found: dict[str, _Marks] = {}
    with zipfile.ZipFile(path) as packed, packed.open("content.xml") as content:
        for _, table in ElementTree.iterparse(content):
            if table.tag != f"{_TABLE}table":
                continue
            found[table.get(f"{_TABLE}name", "")] = _marks(table)
            table.clear()
    return found


def _marks(table: ElementTree.Element) -> _Marks:
    marks = _Marks()
    column = 0
    for one in table.iter(f"{_TABLE}table-column"):
        count = _repeated(one, "columns")
        if one.get(f"{_TABLE}visibility") in ("collapse", "filter"):
            marks.hidden_columns.update(range(column, min(column + count, MAX_COLUMNS)))
        column += count
    row = 0
    for one in table.iter(f"{_TABLE}table-row"):
        count = _repeated(one, "rows")
        if row > MAX_ROWS:
            break
        for at in range(row, row + min(count, MAX_ROWS)):
            if one.get(f"{_TABLE}visibility") in ("collapse", "filter"):
                marks.hidden_rows.add(at)
            if count > 1000:  # the empty rest of the sheet
                break
            for place, cell in _cells(one):
                _mark(marks, at, place, cell)
        row += count
    return marks


def _cells(row: ElementTree.Element) -> Iterator[tuple[int, ElementTree.Element]]:
    column = 0
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        count = _repeated(cell, "columns")
        for at in range(column, min(column + count, MAX_COLUMNS)):
            yield at, cell
        column += count


def _mark(marks: _Marks, row: int, column: int, cell: ElementTree.Element) -> None:
    down = int(cell.get(f"{_TABLE}number-rows-spanned", "1"))
    for at in range(row, min(row + down, row + 10_000)) if down > 1 else ():
        marks.merged[at, column] = (row, row + down - 1)
    formula = cell.get(f"{_TABLE}formula")
    if formula:
        marks.formulas[row, column] = formula.removeprefix("of:")[:200]
    kind = cell.get(f"{_OFFICE}value-type")
    if kind in ("float", "percentage", "currency"):
        marks.kinds[row, column] = kind
        marks.shown[row, column] = "".join("".join(p.itertext()) for p in cell.iter(f"{_TEXT}p"))


def _repeated(element: ElementTree.Element, what: str) -> int:
    return int(element.get(f"{_TABLE}number-{what}-repeated", "1"))
