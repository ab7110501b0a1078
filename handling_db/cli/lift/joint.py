"""``handling-db joint``: what still holds two pieces together, from every document and this job."""

from __future__ import annotations

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import serial_option


@click.command()
@click.argument("name")
@click.option("--job", "job_id", metavar="JOB", help="The unit in hand: which ties are out or in.")
@serial_option
@answered(("joint",))
def command(found: Found, job_id: str | None, serial: int | None) -> Told:
    """What still holds the joint NAME: every tie with its state, what nobody looked for first.

    \b
    Example:
      handling-db joint section-joint --job qsn-1187
    """
    import handling_db as hd
    from handling_db.loading import day

    return hd.joint(found.records, found.id, job=job_id, serial=serial, as_of=day(None))
