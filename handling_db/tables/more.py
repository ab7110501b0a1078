"""What a row says of its figure beside it: where it stands, when and by whom it was read, of which unit."""

from __future__ import annotations

import datetime
import re

from handling_db.errors import UnitError
from handling_db.quantities.quantity import parse_mass
from handling_db.tables.cells import MAX_LINE
from handling_db.tables.chunk import Chunk

_DAY = re.compile(r"(\d{4})-(\d{2})-(\d{2})", re.ASCII)
_SERIAL = re.compile(r"\d{1,12}(?: to(?: \d{1,12})?)?|to \d{1,12}", re.ASCII)
# Columns of a table, and what a statement calls them.
_MORE = {
    "where": "where", "on": "on", "by": "by", "serial": "serial", "figure remark": "remark",
    "source kind": "source kind",
}  # fmt: skip


def read_more(chunk: Chunk) -> dict[int, dict[str, str]]:
    """What rows say of their figures, by row position; a day that is none is a fault.

    Columns: where, on, by, serial, also (the same figure in another unit), figure remark.
    """
    found: dict[int, dict[str, str]] = {}
    for column, name in _MORE.items():
        for i, text in enumerate(chunk.columns.get(column, ())):
            shown = " ".join(text.split())[:MAX_LINE]
            if not shown:
                continue
            if column == "on" and not _is_day(shown):
                remedy = "write year-month-day, such as 2026-03-09."
                chunk.fault(i, "on", f"{shown!r} is no day;", remedy)
                continue
            if column == "serial" and not _SERIAL.fullmatch(shown):
                remedy = "write its digits, or a range such as 1001 to 1999."
                chunk.fault(i, "serial", f"{shown!r} is no serial number;", remedy)
                continue
            found.setdefault(i, {})[name] = shown
    if "also" in chunk.columns:
        for i, text in _also(chunk).items():
            found.setdefault(i, {})["also"] = text
    return found


def _also(chunk: Chunk) -> dict[int, str]:
    """The second column of the same figures, each with its unit."""
    column = chunk.number("also")
    units = chunk.units("also", "also unit", column.at)
    texts: dict[int, str] = {}
    for i, text, unit in zip(column.at, column.texts, units, strict=True):
        if unit is None:
            continue
        try:
            texts[i] = parse_mass(f"{text} {unit.name}").text
        except UnitError as error:
            chunk.fault(i, "also", f"{error};", "write a plain figure.")
    return texts


def _is_day(text: str) -> bool:
    if not _DAY.fullmatch(text):
        return False
    try:
        datetime.date.fromisoformat(text)
    except ValueError:
        return False
    return True
