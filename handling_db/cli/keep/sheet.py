"""``handling-db sheet``: a shop's own spreadsheet as record files."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import FILE, FOLDER, json_option, print_json
from handling_db.cli.keep.tables import decimal_option, how_read, mapping_option
from handling_db.errors import HandlingError
from handling_db.findings import exit_status

if TYPE_CHECKING:
    from collections.abc import Sequence

    from handling_db.interface.answer_forms import SheetJson, SheetsJson
    from handling_db.tables.read import TableReading


@click.command()
@click.argument("file", type=FILE)
@click.option("--sheet", "name", help="Which sheet, where there are several.")
@click.option("--table", type=click.Choice(["parts", "masses", "notes"]), help="What kind of list it is.")
@mapping_option
@decimal_option
@click.option("--show-mapping", is_flag=True, help="Print the guess as a mapping file, to be corrected.")
@click.option("--out", type=FOLDER, help="Folder to write record files to.")
@click.option("--yes", is_flag=True, help="Take the guess of the columns as it is.")
@click.option(
    "--all", "show_all", is_flag=True, help="Show rows that were taken without anything to say, too."
)
@json_option
def command(
    file: Path,
    name: str | None,
    table: str | None,
    mapping: Path | None,
    decimal: str | None,
    out: Path | None,
    *,
    show_mapping: bool,
    yes: bool,
    show_all: bool,
    as_json: bool,
) -> None:
    """Read the spreadsheet FILE (.xlsx, .ods, .xls, .csv), say what becomes of every row; write with --out.

    The columns are guessed from the headings. The guess is printed; before anything is written it has to be
    confirmed with --yes, or given in a mapping file. Rows of totals are compared and never counted.

    Exit status: 2 something cannot be read, so that a row or its mass was dropped; 1 a total or two masses
    disagree, else 0.

    \b
    Example:
      handling-db sheet parts.xlsx --sheet Weights
      handling-db sheet parts.xlsx --show-mapping > parts-columns.yml
      handling-db sheet parts.xlsx --mapping parts-columns.yml --out my-records
    """
    from dataclasses import replace

    from handling_db.tables.read import read_file
    from handling_db.tables.sheets.mapping import mapping_text

    how = how_read(decimal, mapping, row_by_row=True)
    how = replace(how, sheet=name or how.sheet, table=table or "")
    tables = read_file(file, how)
    readings = [found.sheet for found in tables if found.sheet is not None]
    own = all(reading.layout.own_words for reading in readings)
    if show_mapping:
        for reading in readings:
            click.echo(mapping_text(reading.layout, reading.grid), nl=False)
        return
    if as_json:
        read: SheetsJson = {"sheets": [_json(found) for found in tables]}
        print_json(read)
    else:
        for found in tables:
            if found.sheet is not None and not found.sheet.layout.own_words:
                guessed = mapping_text(found.sheet.layout, found.sheet.grid)
                click.echo("Columns, guessed:\n" + guessed, err=True)
            click.echo(reading_text(found, file, show_all=show_all))
    if out is not None:
        if not (own or yes):
            raise HandlingError(
                "the columns are a guess: confirm them with --yes, or save them with --show-mapping, "
                "correct them and give them with --mapping; nothing was written"
            )
        _write(out, tables)
    raise SystemExit(exit_status(finding for found in tables for finding in found.findings))


def reading_text(found: TableReading, file: Path, *, show_all: bool) -> str:
    """What becomes of the rows, as lines of text; then what is said of the sheet as a whole."""
    from handling_db.tables.sheets.fates import TAKEN

    reading = found.sheet
    if reading is None:
        return "\n".join(str(finding) for finding in found.findings) or f"{file}: nothing was read"
    where = f"{reading.grid.file}{f', sheet {reading.grid.name}' if reading.grid.name else ''}"
    lines = []
    for fate in reading.fates:
        dull = not fate.why if fate.fate == TAKEN else fate.why == "blank"
        if show_all or not dull:
            lines.append(f"row {fate.row}: {fate.fate}{f': {fate.why}' if fate.why else ''}")
    told_by_row = {fate.row for fate in reading.fates if fate.why}
    lines += [
        str(finding)
        for finding in found.findings
        if finding.place is None
        or finding.place.line not in told_by_row
        or finding.place.line <= reading.layout.heading_row
        or "decimal sign" in finding.remedy + finding.sentence
    ]
    counts = Counter(fate.fate for fate in reading.fates)
    told = ", ".join(f"{number} {fate}" for fate, number in counts.items())
    lines.append(f"{where}: {reading.layout.table}: {told or 'no rows'}")
    return "\n".join(lines)


def _json(found: TableReading) -> SheetJson:
    from handling_db.tables.exports.files_out import record_files_of

    reading = found.sheet
    return {
        "file": reading.grid.file if reading else None,
        "sheet": reading.grid.name if reading else None,
        "table": reading.layout.table if reading else None,
        "rows": list(reading.fates) if reading else [],
        "findings": [finding.as_json() for finding in found.findings],
        "files": record_files_of([found]),
    }


def _write(out: Path, tables: Sequence[TableReading]) -> None:
    """Write the record files, none over another, and only if every row that says something was taken."""
    from handling_db.files.atomic import write_files
    from handling_db.tables.exports.files_out import record_files_of
    from handling_db.tables.read import has_faults

    if has_faults(tables):
        raise HandlingError(
            "rows of the sheet were refused, so nothing was written; put the sheet right first"
        )
    files = {out / name: text for name, text in record_files_of(tables).items()}
    there = [file for file in files if file.exists()]
    if there:
        raise HandlingError(f"{there[0]}: is there already; move it away, or give another folder")
    write_files({file: text.encode() for file, text in files.items()})
    for file in files:
        click.echo(f"written: {file}")
