"""Rows of a list of notes as draft notes."""

from __future__ import annotations

import datetime
from typing import Any

from handling_db.records.kinds.note import NOTE_KINDS
from handling_db.records.parts.texts import short_id
from handling_db.tables.sheets.grid import Grid, Row
from handling_db.tables.sheets.headings import Layout
from handling_db.tables.sheets.parts_in import PASSED, REFUSED, TAKEN, Fate, SheetRecords, word_id
from handling_db.tables.sheets.values import CellError, day_of, id_of, text_of

_ABOUT = ("component", "joint", "tie", "lift group", "pick point", "fixture")


def read_notes(grid: Grid, layout: Layout, today: datetime.date, into: SheetRecords) -> None:
    """Read a list of notes. All of them come in as drafts; a row without a day gets today's.

    The id of a note is made of its words and of where it stands, so that reading a sheet again gives the
    same notes and no second ones.
    """
    for row in grid.rows:
        if row.number <= layout.heading_row:
            continue
        if row.blank or (row.hidden and layout.hidden_rows == "pass"):
            why = "blank" if row.blank else "hidden; show it, or say 'hidden rows: take'"
            into.fates.append(Fate(row.number, PASSED, why))
        elif row.at(layout.columns["about"]).text.upper().startswith("EXAMPLE"):
            into.fates.append(Fate(row.number, PASSED, "an example of the template"))
        else:
            into.fates.append(_note(grid, layout, row, today, into))


def _note(grid: Grid, layout: Layout, row: Row, today: datetime.date, into: SheetRecords) -> Fate:
    def what(name: str) -> str:
        return f"{name} ({grid.where(row.number, layout.columns.get(name))})"

    def text(name: str) -> str:
        return text_of(row.at(layout.columns.get(name)), what(name))

    try:
        kind = text("kind").lower()
        words = text("text")
        about = id_of(row.at(layout.columns["about"]), what("about"))
        day = day_of(row.at(layout.columns.get("on")), what("on")) or today.isoformat()
        fields: dict[str, Any] = {
            name: text(name) for name in ("hazard", "attitude", "gear used", "rated", "seen")
        }
        told_by, author = text("told by") or "shop", text("author") or "not said"
    except CellError as error:
        return Fate(row.number, REFUSED, str(error))
    if kind not in NOTE_KINDS:
        return Fate(
            row.number,
            REFUSED,
            f"{what('kind')}: {kind!r} is no kind of note; one of: {', '.join(NOTE_KINDS)}",
        )
    if not words or not about:
        return Fate(row.number, REFUSED, f"{what('text' if not words else 'about')}: is missing")
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
    into.notes.append(
        {"note": f"{words_of_id}-{short_id({'where': grid.where(row.number), **plain})}", **plain}
    )
    return Fate(row.number, TAKEN)
