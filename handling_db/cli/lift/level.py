"""``handling-db level``: the leg lengths that hang a load level, in whole links of a recorded pitch."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.options import asked_of, asked_options, loaded, source_options


@click.command()
@click.argument("name")
@click.option(
    "--hook", metavar="LENGTH", help="Height of the hook over the centre; otherwise as high as it goes."
)
@asked_options
@source_options
def command(
    name: str,
    hook: str | None,
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
    """Leg lengths with which the lift group NAME hangs in its attitude, and the tilt that remains in links.

    \b
    Example:
      handling-db level upper-half-with-brake
      handling-db level upper-half-with-brake --hook "900 mm"
    """
    import handling_db as hd
    from handling_db.lifting.asked import metres

    found = loaded(folders, database, name, ("lift group",), "handled")
    height = metres(hook, "--hook")
    answer = hd.level(found.records, found.id, hook_m=height, **asked_of(job_id, serial, as_of, assumed))
    show(answer, unit, as_json=as_json)
