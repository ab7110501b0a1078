"""``handling-db reading``: the hook shows something else than expected; what could that be?"""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import asked_of, asked_options, loaded, source_options


@click.command()
@click.argument("name", shell_complete=names("lift group"))
@click.argument("seen")
@click.option(
    "--zeroed-with-gear/--zeroed-empty",
    "zeroed",
    default=None,
    help="How the cell was zeroed: it goes before what the record says.",
)
@asked_options
@source_options
def command(
    name: str,
    seen: str,
    zeroed: bool | None,
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
    """What a reading SEEN at the hook may mean for the lift group NAME: open ties, or what excess force.

    \b
    Example:
      handling-db reading upper-half-lift "445 kg" --job qsn-1187
    """
    import handling_db as hd

    found = loaded(folders, database, name, ("lift group",), "handled")
    question = asked_of(job_id, serial, as_of, assumed)
    show(hd.reading(found.records, found.id, seen, zeroed=zeroed, **question), unit, as_json=as_json)
