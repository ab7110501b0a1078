"""``handling-db bounds``: what all figures together allow."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import loaded, source_options, state_option, unit_option


@click.command()
@click.argument("component", shell_complete=names("component"), required=False)
@state_option("dry")
@click.option(
    "--serial",
    type=int,
    metavar="SERIAL",
    help="The unit at hand: what was weighed on others is a hint, and only where nothing else bounds it.",
)
@unit_option
@source_options
def command(
    component: str | None,
    state: Any,
    serial: int | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """What all figures together allow COMPONENT and its parts to weigh, from above and from below.

    Without COMPONENT: everything that is inferred only, or where figures contradict one another. An inferred
    range is shown and never used to check what it came from; bounds never lower a figure to plan with.

    \b
    Example:
      handling-db bounds gear-section --state drained
      handling-db bounds gear-section --serial 1188
      handling-db bounds
    """
    import handling_db as hd

    found = loaded(folders, database, component, reach="around")
    answer = hd.bounds(found.records, found.code, state=state, serial=serial)
    show(answer, unit, as_json=as_json)
