"""``handling-db tilt``: it hung out of level at the trial lift; where is the centre, what to shorten?"""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.options import asked_of, asked_options, loaded, source_options


@click.command()
@click.argument("name")
@click.argument("seen")
@click.option("--low", required=True, metavar="SIDE", help="The side that hung low, or a pick point: left.")
@click.option("--within", default="0.5 deg", show_default=True, metavar="ANGLE", help="How well it was seen.")
@asked_options
@source_options
def command(
    name: str,
    seen: str,
    low: str,
    within: str,
    job_id: str | None,
    serial: int | None,
    as_of: str | None,
    assumed: tuple[str, ...],
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """What a tilt SEEN at a trial lift of the lift group NAME says: an angle, or how much lower one side was.

    \b
    Example:
      handling-db tilt upper-half-with-brake "3.5 deg" --low left
      handling-db tilt upper-half-lift "15 mm" --low cover-ear-90
    """
    import handling_db as hd

    found = loaded(folders, database, name, ("lift group",), "handled")
    question = asked_of(job_id, serial, as_of, assumed)
    show(hd.tilt(found.records, found.id, seen, low, within=within, **question), unit, as_json=as_json)
