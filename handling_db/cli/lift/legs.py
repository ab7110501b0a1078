"""``handling-db legs``: what each leg carries, with the recorded pick points or others."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import asked_of, asked_options, loaded, source_options


@click.command()
@click.argument("name", shell_complete=names("lift group"))
@click.option(
    "--point",
    "points",
    multiple=True,
    metavar="POINT[=LENGTH]",
    help="Use this pick point, with a leg this long; repeat for each leg. Otherwise those recorded.",
)
@asked_options
@source_options
def command(
    name: str,
    points: tuple[str, ...],
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
    """What each leg of the lift group NAME carries, which go slack, and where it comes to rest.

    \b
    Example:
      handling-db legs upper-half-with-brake
      handling-db legs upper-half-lift --point cover-ear-90 --point cover-ear-330="950 mm"
    """
    import handling_db as hd
    from handling_db.lifting.asked import metres

    found = loaded(folders, database, name, ("lift group",), "handled")
    picks = {point.partition("=")[0]: metres(point.partition("=")[2] or None, "--point") for point in points}
    question = asked_of(job_id, serial, as_of, assumed)
    show(hd.legs(found.records, found.id, picks=picks or None, **question), unit, as_json=as_json)
