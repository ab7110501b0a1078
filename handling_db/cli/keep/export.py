"""``handling-db export``: one component or everything, for other programs and for paper."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from handling_db.errors import HandlingError

ENDINGS = (".csv", ".xlsx", ".html")


@click.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--component", metavar="ID", help="This one and everything below it; otherwise every record.")
@click.option("--state", type=click.Choice(["dry", "drained", "filled"]), default="dry", show_default=True)
@click.option(
    "-o",
    "--out",
    required=True,
    type=click.Path(path_type=Path),
    help="With --component a .csv, .xlsx or .html file, otherwise a new folder.",
)
def command(paths: tuple[Path, ...], component: str | None, state: str, out: Path) -> None:
    """Write a component of PATHS as .csv, .xlsx or one .html page, or everything as CSV tables.

    With everything comes datapackage.json, which describes the tables to other programs. What nobody knows
    is an empty cell, never a zero. Nothing is written over what is there.

    \b
    Example:
      handling-db export my-records --component gear-section -o gear-section.xlsx
      handling-db export my-records -o tables
    """
    from handling_db.findings import Verdict
    from handling_db.tables.sources import read_paths

    reading = read_paths(paths)
    faults = [finding for finding in reading.findings if finding.verdict is Verdict.FAULT]
    if faults:
        for finding in faults:
            click.echo(str(finding), err=True)
        raise HandlingError("the records have faults; put them right first")
    if component is None:
        _package(reading.collection, out)
    else:
        _component(reading.collection, component, state, out, paths)


def _package(collection: object, out: Path) -> None:
    from handling_db.files.atomic import write_folder
    from handling_db.records.collection import Collection
    from handling_db.tables.exports.package_out import package_files
    from handling_db.tables.sheets.cells_in import word_id

    assert isinstance(collection, Collection)
    files = package_files(collection, name=word_id(out.name) or "collection")
    write_folder(out, files)
    click.echo(f"{out}: {len(files) - 1} tables and datapackage.json")


def _component(collection: object, code: str, state: str, out: Path, paths: tuple[Path, ...]) -> None:
    from handling_db.files.atomic import write_file
    from handling_db.lookup.listing import listing
    from handling_db.lookup.weight import answer
    from handling_db.records.collection import Collection
    from handling_db.tables.exports import sheet_out

    assert isinstance(collection, Collection)
    ending = out.suffix.lower()
    if ending not in ENDINGS:
        raise click.UsageError(f"{out}: a component is written as one of: {', '.join(ENDINGS)}")
    lines = listing(collection, code, state)  # type: ignore[arg-type]  # click checked the word
    if ending == ".csv":
        data = sheet_out.csv_of(*sheet_out.table_of(collection, lines))
    else:
        told = answer(collection, code)
        if ending == ".xlsx":
            data = sheet_out.xlsx_of(collection, told, lines, state)
        else:
            names = ", ".join(path.name for path in paths)
            foot = f"Written on {datetime.date.today().isoformat()} from {names}."
            data = sheet_out.html_of(told, lines, state, foot)
    write_file(out, data)
    click.echo(f"{out}: {code} and what is below it, {len(lines)} lines, {state}")
