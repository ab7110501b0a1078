"""``handling-db two-hooks``: raising the head of a load while a second hook holds its tail."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import asked_of, asked_options, loaded, source_options


@click.command()
@click.argument("name", shell_complete=names("lift group"))
@click.option("--head", required=True, metavar="POINT", help="Id of the pick point that is raised.")
@click.option("--tail", required=True, metavar="POINT", help="Id of the pick point that is held.")
@click.option("--every", type=click.IntRange(1, 90), default=10, help="List every so many degrees.")
@asked_options
@source_options
def command(
    name: str,
    head: str,
    tail: str,
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
    """Raise the head of the lift group NAME with one hook while a second one holds its tail.

    Loads on both plumb hooks at every angle with the heaviest believable load, the worst of each, and where
    the tail hook goes slack. Figures without snatch.

    \b
    Example:
      handling-db two-hooks upper-half-lift --head cover-ear-90 --tail cover-ear-210
    """
    import handling_db as hd

    found = loaded(folders, database, name, ("lift group",), "handled")
    question = asked_of(job_id, serial, as_of, assumed)
    answer = hd.two_hooks(found.records, found.id, head, tail, every=every, **question)
    show(answer, unit, as_json=as_json)
