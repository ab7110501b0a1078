"""``handling-db joint``: what still holds two pieces together, from every document and this job."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import loaded, serial_option, source_options, unit_option


@click.command()
@click.argument("name")
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
    from handling_db.lifting.as_json import lift_json
    from handling_db.lifting.asked import job_named
    from handling_db.lifting.ties import joint_answer
    from handling_db.lifting.words import joined, joint_answer_lines

    found = loaded(folders, database, name, ("joint",), "handled")
    answer = joint_answer(
        found.records,
        found.records.joints[found.id],
        job=job_named(found.records, job_id),
        serial=serial,
        as_of=datetime.date.today(),
    )
    first = unit or found.first_unit
    if as_json:
        print_json(lift_json(answer, first=first))
        return
    click.echo(joined(joint_answer_lines(answer, first=first)))
