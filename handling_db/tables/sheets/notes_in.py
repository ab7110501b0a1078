"""Rows of a list of notes as draft notes."""

from __future__ import annotations

import datetime
import re
from typing import Any

from handling_db.records.kinds.note import NOTE_KINDS
from handling_db.records.parts.texts import short_id
from handling_db.tables.sheets.cells_in import CellError, id_of, text_of, word_id
from handling_db.tables.sheets.fates import PASSED, REFUSED, TAKEN, Fate, SheetSaid
from handling_db.tables.sheets.grid import Cell, Grid, SheetRow
from handling_db.tables.sheets.layout import Layout

_ABOUT = ("component", "joint", "tie", "lift group", "pick point", "fixture")


def read_notes(
    grid: Grid, layout: Layout, today: datetime.date, said: SheetSaid
) -> tuple[list[Fate], list[dict[str, Any]]]:
    """Read a list of notes. All of them come in as drafts; a row without a day gets today's.

    The id of a note is made of its words and of where it stands, so that reading a sheet again gives the
    same notes and no second ones.
    """
    fates: list[Fate] = []
    notes: list[dict[str, Any]] = []
    for row in grid.rows:
        if row.number <= layout.heading_row:
            continue
        if row.blank or (row.hidden and layout.hidden_rows == "pass"):
            why = "blank" if row.blank else "hidden; show it, or say 'hidden rows: take'"
            fates.append(Fate(row.number, PASSED, why))
        elif row.at(layout.columns["about"]).text.upper().startswith("EXAMPLE"):
            fates.append(Fate(row.number, PASSED, "an example of the template"))
        else:
            try:
                notes.append(_note(grid, layout, row, today))
                fates.append(Fate(row.number, TAKEN))
            except CellError as error:
                said.fault(row.number, error.field, error.sentence, error.remedy)
                fates.append(Fate(row.number, REFUSED, said.wrong[row.number][-1]))
    return fates, notes


def _note(grid: Grid, layout: Layout, row: SheetRow, today: datetime.date) -> dict[str, Any]:
    """One note as plain values.

    Raises
    ------
    CellError
        A cell that cannot be read, or one that is needed and empty.
    """

    def text(name: str) -> str:
        return text_of(row.at(layout.columns.get(name)), name)

    kind = text("kind").lower()
    words = text("text")
    about = id_of(row.at(layout.columns["about"]), "about")
    day = _day_of(row.at(layout.columns.get("on"))) or today.isoformat()
    fields: dict[str, Any] = {
        name: text(name) for name in ("hazard", "attitude", "gear used", "rated", "seen")
    }
    told_by, author = text("told by") or "shop", text("author") or "not said"
    if kind not in NOTE_KINDS:
        told = f"{kind!r} is no kind of note;"
        raise CellError("kind", told, f"write one of: {', '.join(NOTE_KINDS)}.")
    if not words or not about:
        raise CellError("text" if not words else "about", "is missing;", "write it.")
    named, sign, code = about.partition("=")
    target = {named.strip(): code.strip()} if sign and named.strip() in _ABOUT else {"component": about}
    plain = {
        "about": target,
        "kind": kind,
        "text": words,
        **{name: value for name, value in fields.items() if value},
        "told by": told_by,
        "author": author,
        "on": day,
        "status": "draft",
    }
    words_of_id = word_id(words)[:24].strip("-")
    return {"note": f"{words_of_id}-{short_id({'where': grid.where(row.number), **plain})}", **plain}


def _day_of(cell: Cell) -> str:
    """A day as year-month-day; empty for an empty cell."""
    if cell.kind in ("empty", "date"):
        return cell.text
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", cell.text, re.ASCII):
        return cell.text
    raise CellError("on", f"{cell.text!r} is no day;", "write year-month-day, such as 2026-03-09.")
