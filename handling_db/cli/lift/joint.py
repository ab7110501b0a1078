"""``handling-db joint``: what still holds two pieces together, from every document and this job."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import loaded, serial_option, source_options, unit_option


@click.command()
@click.argument("name", shell_complete=names("joint"))
@click.option("--job", "job_id", metavar="JOB", help="The unit in hand: which ties are out or in.")
@serial_option
@unit_option
@source_options
def command(
    name: str,
    job_id: str | None,
    serial: int | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """What still holds the joint NAME: every tie with its state, what nobody looked for first.

    \b
    Example:
      handling-db joint section-joint --job qsn-1187
    """
    import handling_db as hd
    from handling_db.loading import day

    found = loaded(folders, database, name, ("joint",), "handled")
    answer = hd.joint(found.records, found.id, job=job_id, serial=serial, as_of=day(None))
    show(answer, unit, as_json=as_json)
