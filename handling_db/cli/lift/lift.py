"""``handling-db lift``: what comes up, what still holds it, what the hook should read."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import asked_of, asked_options, loaded, source_options


@click.command()
@click.argument("name", shell_complete=names("lift group"))
@click.option("--drop", metavar="LENGTH", help="Fall before slack legs are straight, such as '10 mm'.")
@click.option("--stretch", metavar="LENGTH", help="Stretch of the rigging under the load at rest.")
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
    drop: str | None,
    stretch: str | None,
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
    """Everything about the lift group NAME: IN and NOT IN, expected reading, stop figures, legs, ties.

    What is not known comes first. Figures, not permission.

    \b
    Example:
      handling-db lift upper-half-lift --job qsn-1187
      handling-db lift lower-half --assume "auxiliary-drive=19 kg to 25 kg"
    """
    import handling_db as hd
    from handling_db.lifting.asked import metres

    found = loaded(folders, database, name, ("lift group",), "handled")
    question = asked_of(job_id, serial, as_of, assumed)
    fall, stretched = metres(drop, "--drop"), metres(stretch, "--stretch")
    answer = hd.lift(found.records, found.id, drop_m=fall, stretch_m=stretched, zeroed=zeroed, **question)
    show(answer, unit, as_json=as_json)
