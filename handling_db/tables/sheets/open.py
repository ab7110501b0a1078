"""Any file that holds sheets as grids, by what it is and not only by what it is called."""

from __future__ import annotations

import zipfile
from pathlib import Path

from handling_db.tables.sheets.grid import Grid

TEXT_ENDINGS = (".csv", ".tsv", ".tab", ".txt")
BOOK_ENDINGS = (".xlsx", ".xlsm", ".ods", ".xls", ".xlsb")
ENDINGS = (*TEXT_ENDINGS, *BOOK_ENDINGS)
_OLD_BOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def is_book(path: Path) -> bool:
    """Whether a file is a workbook, whatever its name says."""
    with path.open("rb") as file:
        head = file.read(8)
    return head.startswith(b"PK\x03\x04") or head == _OLD_BOOK or path.suffix.lower() in BOOK_ENDINGS


def read_book_grids(path: Path) -> tuple[Grid, ...]:
    """The sheets of a workbook.

    Raises
    ------
    SheetError
        It cannot be read; the message says why.
    """
    if path.suffix.lower() in (".xlsx", ".xlsm") or _holds(path, "xl/workbook.xml"):
        from handling_db.tables.sheets.xlsx_in import read_xlsx

        return read_xlsx(path)
    from handling_db.tables.sheets.book_in import read_book

    return read_book(path)


def _holds(path: Path, name: str) -> bool:
    try:
        with zipfile.ZipFile(path) as packed:
            return name in packed.namelist()
    except (zipfile.BadZipFile, OSError):
        return False
