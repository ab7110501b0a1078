"""The template: three sheets with headings, drop-downs and examples, and one that explains them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from handling_db.files.atomic import write_file
from handling_db.files.folders import read_collection
from handling_db.records.kinds.note import NOTE_KINDS
from handling_db.tables.sheets.grid import SheetError, letters
from handling_db.tables.sheets.layout import FIELDS, TABLES, Table
from handling_db.tables.sheets.mapping import written_name
from handling_db.tables.sheets.xlsx_in import MISSING, book_bytes

ROWS = 1000  # rows with drop-downs

EXAMPLES: Mapping[str, tuple[Mapping[str, str], ...]] = {
    "parts": (
        {
            "name": "EXAMPLE Gear section",
            "id": "gear-section",
            "remark": "Rows that begin with EXAMPLE are passed over.",
        },
        {
            "name": "EXAMPLE Gear case",
            "id": "gear-case",
            "parent": "gear-section",
            "part number": "31-1101",
            "quantity": "1",
            "mass": "158.0",
            "unit": "kg",
            "plus or minus": "0.5",
            "source": "weighed",
        },
        {
            "name": "EXAMPLE Cover bolt",
            "id": "cover-bolt",
            "parent": "gear-section",
            "quantity": "14",
            "mass together": "2.34 kg",
        },
    ),
    "masses": (
        {
            "id": "EXAMPLE gear-case",
            "mass": "158.0",
            "unit": "kg",
            "plus or minus": "0.5",
            "state": "dry",
            "counts": "as listed",
            "without": "none",
            "source": "weighed",
            "serial": "1187",
            "on": "2026-09-15",
            "by": "fitter",
        },
    ),
    "notes": (
        {
            "about": "EXAMPLE gear-section",
            "kind": "tie",
            "text": "Three pipes cross the joint under the guard plate on the right side; guard off first.",
            "hazard": "a pipe tears when the hook takes up",
            "author": "fitter",
            "on": "2026-09-15",
            "seen": "one report",
            "told by": "shop",
        },
    ),
}

# What the template has columns for; a sheet may have more (docs/tables.md).
COLUMNS: Mapping[Table, tuple[str, ...]] = {
    "parts": (
        "name", "child", "parent", "part number", "quantity", "mass", "mass together", "unit", "plus_minus",
        "state", "source", "remark",
    ),
    "masses": (
        "child", "mass", "name", "unit", "plus_minus", "step", "state", "counts", "without", "source",
        "serial", "on", "by", "remark",
    ),
    "notes": FIELDS["notes"],
}  # fmt: skip
NEEDED: Mapping[Table, tuple[str, ...]] = {
    "parts": ("name", "quantity"),
    "masses": ("child", "mass"),
    "notes": ("about", "kind", "text"),
}
HELP = (
    ("Decimal sign", ""),
    (
        "",
        "State it above: point (12.5) or comma (12,5), for figures that are typed as text.",
    ),
    ("Parts", "One row for each part line: what it is, how many, into what, and what one of them weighs."),
    ("", "Rows that begin with EXAMPLE are passed over; take the word away and they are read."),
    ("", "The top of a unit has no parent, and needs no quantity."),
    ("", "An empty mass means that nobody weighed it. Never write 0."),
    ("", "'mass' is that of one piece; 'mass together' that of all of them, where only that is known."),
    ("", "Write the unit in its column, or in the cell: 158.0 kg, 348 lb. A bare ton or # is refused."),
    ("", "'plus or minus' without a unit has that of its figure."),
    ("", "Type part numbers as text (with an apostrophe in front), or the sheet makes dates of some."),
    ("Masses", "One row for each figure: of what, how much, read with which scale or from which list."),
    ("", "'id' is the one of the sheet Parts: one id is one component, on however many sheets it stands."),
    ("", "'counts' is 'as listed' or ids with commas; 'without' is 'none' or ids. Empty: nobody looked."),
    ("", "'without: none' needs under 'by' whose role looked."),
    (
        "Notes",
        "One act to a row: what to look for before it, and what happens without it. No names of people.",
    ),
    ("", "'about' is a component's id, or joint=ID, fixture=ID, lift group=ID."),
    (
        "Reading",
        "handling-db sheet FILE shows what becomes of every row; build and check read the file as well.",
    ),
)


def template_file(path: Path) -> None:
    """Write the template.

    Raises
    ------
    SheetError
        The extra `sheets` is not installed.
    HandlingError
        The file is there already.
    """
    try:
        import openpyxl
        from openpyxl.styles import Alignment, Font
        from openpyxl.worksheet.datavalidation import DataValidation
    except ImportError:
        raise SheetError(MISSING) from None
    book = openpyxl.Workbook()
    book.remove(book.active)
    for table in TABLES:
        sheet = book.create_sheet(table.capitalize())
        fields = [written_name(name) for name in COLUMNS[table]]
        needed = [written_name(name) for name in NEEDED[table]]
        for column, name in enumerate(fields, 1):
            cell = sheet.cell(1, column, name)
            cell.font = Font(bold=True, underline="single" if name in needed else None)
            width = max(len(name), *(len(row.get(name, "")) for row in EXAMPLES[table])) + 3
            sheet.column_dimensions[letters(column - 1)].width = min(width, 60)
            if name in ("id", "part number", "parent", "serial", "on"):
                for number in range(2, ROWS + 1):
                    sheet.cell(number, column).number_format = "@"  # typed text stays text
        for number, row in enumerate(EXAMPLES[table], 2):
            for name, value in row.items():
                sheet.cell(number, fields.index(name) + 1, value)
        for name, words in _choices(table).items():
            _drop_down(sheet, letters(fields.index(name)), words)
        sheet.freeze_panes = "A2"
    page = book.create_sheet("Help")
    for number, (head, text) in enumerate(HELP, 1):
        page.cell(number, 1, head).font = Font(bold=True)
        page.cell(number, 2, text).alignment = Alignment(wrap_text=True, vertical="top")
    page.column_dimensions["B"].width = 100
    sign = DataValidation(type="list", formula1='"point,comma"', allow_blank=True)
    page.add_data_validation(sign)
    sign.add("B1")
    kinds = read_collection([]).collection.source_kinds
    page.cell(len(HELP) + 2, 1, "Sources").font = Font(bold=True)
    ranked = sorted(kinds, key=lambda code: (float(kinds[code].rank), code))
    page.cell(len(HELP) + 2, 2, "Kinds of source, the most trusted first: " + "; ".join(ranked))
    write_file(path, book_bytes(book))


def _choices(table: str) -> dict[str, tuple[str, ...]]:
    if table == "notes":
        return {"kind": NOTE_KINDS, "told by": ("book", "shop", "maker's bulletin", "incident")}
    return {"unit": ("kg", "lb", "g", "t"), "state": ("dry", "drained", "filled")}


def _drop_down(sheet: Any, column: str, words: tuple[str, ...]) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    quoted = ",".join(words)
    rule = DataValidation(type="list", formula1=f'"{quoted}"', allow_blank=True)
    rule.error = "Choose one of the list, or leave it empty."
    sheet.add_data_validation(rule)
    rule.add(f"{column}2:{column}{ROWS}")
