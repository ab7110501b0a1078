"""``handling-db build``: one database file from records and tables."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import FILE, PATH, json_option, own_database, print_json
from handling_db.cli.keep.tables import decimal_option, how_read, mapping_option

if TYPE_CHECKING:
    from handling_db.interface.answer_forms import BuiltJson


@click.command()
@click.argument("paths", nargs=-1, required=True, type=PATH)
@click.option(
    "-o", "--out", type=FILE, help="File to write; otherwise your own database, which the look-ups read."
)
@decimal_option
@mapping_option
@click.option("--whole", is_flag=True, help="Build everything, also what did not change.")
@json_option
def command(
    paths: tuple[Path, ...],
    out: Path | None,
    decimal: str | None,
    mapping: Path | None,
    *,
    whole: bool,
    as_json: bool,
) -> None:
    """Build the database file from PATHS: record folders, .yml files, tables and spreadsheets.

    Any fault stops it and leaves the old file as it was. Over a file that is there only units in which
    something changed are read, checked and written anew; all tables are then as a whole build has them. Where
    it cannot be told surely what rests on a change, everything is built, and it says why. The same input
    always gives the same file when it is built as a whole.

    \b
    Example:
      handling-db build my-records parts.csv
      handling-db build data/demo -o handling.db
    """
    from handling_db.database.building import build_with_bar
    from handling_db.quantities.display import counted

    target = out or own_database()
    there = target.exists()
    built_now = build_with_bar(paths, target, how=how_read(decimal, mapping), whole=whole)
    report = built_now.report
    if as_json:
        built: BuiltJson = {
            "file": str(report.out),
            "stamp": report.stamp,
            "counts": dict(report.counts),
        }
        print_json(built)
        return
    counts = ", ".join(f"{number} {noun}" for noun, number in report.counts.items() if number)
    click.echo(f"{report.out}: {counts}; stamp {report.stamp}")
    if built_now.records is not None:
        click.echo(f"Read, checked and written anew: {counted(built_now.records, 'record')}.", err=True)
    elif there and not whole:
        click.echo(f"Built as a whole: {built_now.because}.", err=True)
