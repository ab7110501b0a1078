"""``handling-db demo``: the invented collection, built, looked up, checked and served."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from handling_db.cli.common import FOLDER, demo_database, first_unit_of


@click.command()
@click.argument("folder", required=False, type=FOLDER)
@click.option("--no-serve", is_flag=True, help="Build and print only.")
@click.option("--port", type=click.IntRange(0, 65535), default=8001, show_default=True)
@click.option("--lan", is_flag=True, help="Let others on this network read.")
def command(folder: Path | None, port: int, *, no_serve: bool, lan: bool) -> None:
    """Build the demo collection (in FOLDER, or with your user data), look it up, check it and serve it.

    FOLDER gets the records as well (FOLDER/records), and metadata.yml for the view of other programs. What
    stands there already is left as it is.

    Everything in the demo is invented: places, makers, machines, figures.

    \b
    Example:
      handling-db demo
      handling-db demo --no-serve try
    """
    from handling_db.checker import check, closing_words
    from handling_db.cli.serve import serve
    from handling_db.database import queries
    from handling_db.database.building import build_with_bar
    from handling_db.files.folders import data_folder, read_collection
    from handling_db.lookup.weight_text import weight_text
    from handling_db.web.service.processes import one_thread_each

    one_thread_each()  # before the build loads anything
    target = folder / "handling.db" if folder else demo_database()
    demo = data_folder() / "demo"
    if folder is not None:
        _copy(demo, folder)
        demo = folder / "records"
    report = build_with_bar([demo], target).report
    click.echo(f"built {report.out} (everything in it is invented)\n")
    connection = queries.open_database(target)
    answer = queries.stored_answer(connection, "differential-section")
    click.echo(weight_text(answer, first_unit_of(connection)))
    collection = read_collection([demo]).collection
    findings = check(collection, as_of=datetime.date.today())
    click.echo(f"\nThe checker: {closing_words(collection, findings)}")
    if not no_serve:
        from handling_db.web.service.place import ServedAt

        click.echo("")
        serve({"": target}, ServedAt(listen="0.0.0.0" if lan else "127.0.0.1", port=port))


def _copy(demo: Path, folder: Path) -> None:
    """The demo's records, the schema of their files and the metadata beside them; nothing is written over.

    Raises
    ------
    HandlingError
        A file cannot be written.
    """
    import json

    from handling_db.files.atomic import write_file, write_folder
    from handling_db.files.editor_line import NAME
    from handling_db.records.schema import file_schema
    from handling_db.web.serving import metadata_file

    records = folder / "records"
    schema = (json.dumps(file_schema(), indent=2, ensure_ascii=False) + "\n").encode()
    if not records.exists():  # whole or not at all: a copy that was stopped would pass for a collection
        files = (file for file in sorted(demo.rglob("*")) if file.is_file())
        copied = {file.relative_to(demo).as_posix(): file.read_bytes() for file in files}
        write_folder(records, {**copied, NAME: schema})
    for target, text in ((folder / "metadata.yml", metadata_file().read_bytes()), (records / NAME, schema)):
        if not target.exists():
            write_file(target, text)
