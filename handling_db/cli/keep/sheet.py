"""``handling-db sheet``: a shop's own spreadsheet as record files."""

from __future__ import annotations

import datetime
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import json_option, print_json
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.tables.sheets.headings import Layout
    from handling_db.tables.sheets.sheet_in import SheetReading


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--sheet", "name", help="Which sheet, where there are several.")
@click.option("--table", type=click.Choice(["parts", "masses", "notes"]), help="What kind of list it is.")
@click.option("--mapping", type=click.Path(path_type=Path, dir_okay=False), help="Which column is which.")
@click.option("--show-mapping", is_flag=True, help="Print the guess as a mapping file, to be corrected.")
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False), help="Folder to write record files to."
)
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
    out: Path | None,
    *,
    show_mapping: bool,
    yes: bool,
    show_all: bool,
    as_json: bool,
) -> None:
    """Read the spreadsheet FILE (.xlsx, .csv) and say what becomes of every row; write records with --out.

    The columns are guessed from the headings. The guess is printed; before anything is written it has to be
    confirmed with --yes, or given in a mapping file. Rows of totals are compared and never counted.

    Exit status: 2 something cannot be read, 1 a row was refused or a total disagrees, else 0.

    \b
    Example:
      handling-db sheet parts.xlsx --sheet Weights
      handling-db sheet parts.xlsx --show-mapping > parts-columns.yml
      handling-db sheet parts.xlsx --mapping parts-columns.yml --out my-records
    """
    from handling_db.tables.sheets.headings import guess, mapping_text
    from handling_db.tables.sheets.sheet_in import choose_grid, is_template, read_grids, read_sheet

    grids = read_grids(file)
    given = _mapping(mapping) if mapping else None
    wanted = name or (given.sheet if given else None)
    own = is_template(grids) and wanted is None and given is None
    if own:
        chosen = [grid for grid in grids if grid.name in ("Parts", "Masses", "Notes")]
    else:
        chosen = [choose_grid(grids, wanted)]
    readings = []
    for grid in chosen:
        layout = given or guess(grid, table)  # type: ignore[arg-type]  # click checked the word
        if show_mapping:
            click.echo(mapping_text(layout, grid), nl=False)
            continue
        readings.append(read_sheet(grid, layout, datetime.date.today()))
    if show_mapping:
        return
    if as_json:
        print_json([_json(reading) for reading in readings])
    else:
        for reading in readings:
            if given is None and not own:
                click.echo("Columns, guessed:\n" + mapping_text(reading.layout, reading.grid), err=True)
            click.echo(reading_text(reading, show_all=show_all))
    if out is not None:
        if given is None and not own and not yes:
            raise HandlingError(
                "the columns are a guess: confirm them with --yes, or save them with --show-mapping, "
                "correct them and give them with --mapping; nothing was written"
            )
        _write(out, readings)
    raise SystemExit(_status(readings))


def _mapping(path: Path) -> Layout:
    from handling_db.tables.sheets.headings import read_mapping

    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise HandlingError(f"{path}: cannot be read ({error})") from None
    layout, findings = read_mapping(text, str(path))
    if layout is None:
        raise HandlingError("\n".join(str(finding) for finding in findings))
    return layout


def reading_text(reading: SheetReading, *, show_all: bool) -> str:
    """What becomes of the rows, as lines of text."""
    from handling_db.tables.sheets.parts_in import TAKEN

    where = f"{reading.grid.file}{f', sheet {reading.grid.name}' if reading.grid.name else ''}"
    lines = []
    for fate in reading.fates:
        dull = not fate.why if fate.fate == TAKEN else fate.why == "blank"
        if show_all or not dull:
            lines.append(f"row {fate.row}: {fate.fate}{f': {fate.why}' if fate.why else ''}")
    counts = Counter(fate.fate for fate in reading.fates)
    told = ", ".join(f"{number} {fate}" for fate, number in counts.items())
    hidden = [column for column in reading.layout.columns.values() if column in reading.grid.hidden_columns]
    if hidden:
        from handling_db.tables.sheets.grid import letters

        lines.append(f"hidden columns were read: {', '.join(letters(column) for column in hidden)}")
    lines += [str(finding) for finding in reading.findings]
    lines.append(f"{where}: {reading.layout.table}: {told or 'no rows'}")
    return "\n".join(lines)


def _json(reading: SheetReading) -> dict[str, object]:
    return {
        "file": reading.grid.file,
        "sheet": reading.grid.name,
        "table": reading.layout.table,
        "rows": [{"row": fate.row, "fate": fate.fate, "why": fate.why} for fate in reading.fates],
        "findings": [finding.as_json() for finding in reading.findings],
        "files": reading.files,
    }


def _status(readings: list[SheetReading]) -> int:
    from handling_db.tables.sheets.parts_in import REFUSED

    if any(reading.findings for reading in readings):
        return 2
    fates = [fate for reading in readings for fate in reading.fates]
    return 1 if any(f.fate == REFUSED or f.why.endswith("disagrees") for f in fates) else 0


def _write(out: Path, readings: list[SheetReading]) -> None:
    """Write the record files, none over another, and only if the reader of records takes them all."""
    from handling_db.files.atomic import write_file

    if any(reading.findings for reading in readings):
        raise HandlingError(
            "the records would have faults, so nothing was written; put the sheet right first"
        )
    files = {out / name: text for reading in readings for name, text in reading.files.items()}
    there = [file for file in files if file.exists()]
    if there:
        raise HandlingError(f"{there[0]}: is there already; move it away, or give another folder")
    for file, text in files.items():
        write_file(file, text.encode())
        click.echo(f"written: {file}")
