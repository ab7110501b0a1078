"""``handling-db export``: for other programs, for paper, and for where there is no signal."""

from __future__ import annotations

import contextlib
import datetime
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import PATH, database_option, demo_database, one_there_is
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.records.collection import Collection

ENDINGS = (".csv", ".xlsx", ".html")


@click.command()
@click.argument("paths", nargs=-1, type=PATH)
@click.option("--component", metavar="ID", help="This one and everything below it; otherwise every record.")
@click.option("--state", type=click.Choice(["dry", "drained", "filled"]), default="dry", show_default=True)
@click.option(
    "-o", "--out", type=PATH, help="With --component a .csv, .xlsx or .html file, otherwise a new folder."
)
@click.option(
    "--site",
    type=PATH,
    metavar="FOLDER",
    help="Write the whole view as plain files, of PATHS or of a database; a copy that is there is replaced.",
)
@click.option(
    "--parquet",
    type=PATH,
    metavar="FOLDER",
    help="Write typed tables for a fleet into a new folder, of PATHS or of a database.",
)
@click.option(
    "--shop", metavar="ID", help="With --parquet: whose collection it is; otherwise the one recorded."
)
@database_option
@click.option(
    "--public-url", default="", metavar="URL", help="With --site: where the codes on crate tags lead."
)
def command(
    paths: tuple[Path, ...], component: str | None, state: str, out: Path | None, **more: Any
) -> None:
    """Write a component of PATHS as .csv, .xlsx or one .html page, or everything as CSV tables.

    With everything comes datapackage.json, which describes the tables to other programs. What nobody knows
    is an empty cell, never a zero. Nothing is written over what is there.

    With --site the view itself is written as plain files: every piece, lift, move, note and sheet, with an
    index. They open from a phone's storage or any web server. What-ifs are left out, and named.

    With --parquet typed tables are written for 'handling-db fleet': part lines, masses, statements, names,
    totals and findings, with shop and stamp in each.

    \b
    Example:
      handling-db export my-records --component gear-section -o gear-section.xlsx
      handling-db export my-records -o tables
      handling-db export --site view
      handling-db export --parquet quay --shop quay-shed-nine my-records
    """
    site, public_url = more["site"], more["public_url"]
    database = Path(more["database"]) if more["database"] is not None else None
    if more["parquet"] is not None:
        if out is not None or component is not None or site is not None or public_url:
            raise click.UsageError(
                "--parquet writes everything into its folder; leave -o, --component and --site out"
            )
        with _database("--parquet", paths, database) as served:
            _parquet(served, more["parquet"], more["shop"])
        return
    if more["shop"] is not None:
        raise click.UsageError("--shop belongs to --parquet")
    if site is not None:
        if out is not None or component is not None:
            raise click.UsageError(
                "--site writes the whole view into its folder; leave -o and --component out"
            )
        with _database("--site", paths, database) as served:
            _site(served, site, public_url)
        return
    if database is not None or public_url:
        raise click.UsageError("--db belongs to --site and --parquet, --public-url to --site")
    if not paths or out is None:
        raise click.UsageError("give PATHS and -o, or --site FOLDER, or --parquet FOLDER")
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


@contextlib.contextmanager
def _database(option: str, paths: tuple[Path, ...], named: Path | None) -> Iterator[Path]:
    """The database that is written out: built of PATHS for now, the one named, or a person's own."""
    from handling_db.database.building import build_with_bar

    if paths and named is not None:
        raise click.UsageError(f"{option} is of PATHS or of --db FILE; give the one or the other")
    with tempfile.TemporaryDirectory() as room:
        if paths:
            named = Path(room) / "handling.db"
            build_with_bar(paths, named)
        yield named or one_there_is()


def _site(database: Path, target: Path, public_url: str) -> None:
    from handling_db.web.plain.folder import copy_view

    copy = copy_view(database, target, public_url)
    size = sum(map(len, copy.files.values())) / 1e6
    click.echo(f"{target}: {len(copy.pages)} pages, {size:.1f} MB; {copy.told}")
    for asked in copy.unanswered:
        click.echo(f"{asked}: this page says why it cannot be answered")
    click.echo(f"Open {target / 'index.html'}; what is not in it stands in {target / 'left-out.html'}.")


def _parquet(database: Path, target: Path, shop: str | None) -> None:
    from handling_db.fleet.engine import Bounds
    from handling_db.fleet.write import write_tables

    if database == demo_database():
        click.echo("(demo collection; everything in it is invented)", err=True)
    written = write_tables(database, target, shop, Bounds())
    rows = ", ".join(f"{number:,} {table}" for table, number in written.rows.items())
    click.echo(f"{target}: {written.shop}: {rows}")


def _package(collection: Collection, out: Path) -> None:
    from handling_db.files.atomic import write_folder
    from handling_db.tables.exports.package_out import package_files
    from handling_db.tables.sheets.cells_in import word_id

    files = package_files(collection, name=word_id(out.name) or "collection")
    write_folder(out, files)
    click.echo(f"{out}: {len(files) - 1} tables and datapackage.json")


def _component(collection: Collection, code: str, state: str, out: Path, paths: tuple[Path, ...]) -> None:
    from handling_db.files.atomic import write_file
    from handling_db.lookup.listing import listing
    from handling_db.lookup.weight import answer
    from handling_db.tables.exports import sheet_out

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
