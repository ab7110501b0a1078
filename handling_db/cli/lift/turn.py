"""``handling-db turn``: hook load over the angle, and where it goes over by itself."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import asked_of, asked_options, loaded, source_options


@click.command()
@click.argument("name", shell_complete=names("lift group"))
@click.option("--every", type=click.IntRange(1, 90), default=10, help="List every so many degrees.")
@asked_options
@source_options
def command(
    name: str,
    every: int,
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
    """Turn the lift group NAME over its recorded edge with one hook.

    Hook load at every angle, the angle where it goes over by itself, and what the joint and its temporary
    ties carry. Figures without snatch.

    \b
    Example:
      handling-db turn turn-onto-front-face --assume "auxiliary-drive=19 kg to 25 kg" --job qsn-1187
    """
    import handling_db as hd

    found = loaded(folders, database, name, ("lift group",), "handled")
    question = asked_of(job_id, serial, as_of, assumed)
    show(hd.turn(found.records, found.id, every=every, **question), unit, as_json=as_json)
