"""``handling-db lighten``: it is too heavy for what is here; which pieces come off first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.move.options import PIECE
from handling_db.cli.options import (
    asked_options,
    limit_options,
    loaded,
    set_option,
    source_options,
    state_option,
)


@click.command()
@click.argument("name", shell_complete=names("lift group", "component"))
@limit_options
@state_option(None)
@set_option
@asked_options
@source_options
def command(
    name: str,
    job_id: str | None,
    serial: int | None,
    as_of: str | None,
    assumed: tuple[str, ...],
    settings: tuple[str, ...],
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
    **limits: Any,
) -> None:
    """Which pieces of NAME (a lift group or a component) come off first, so that the rest is under a limit?

    Fewest pieces first, in an order that recorded ties allow; the rest is worked out by all the evidence.
    Without a limit the hoist of the lift itself counts. Figures, not permission.

    \b
    Example:
      handling-db lighten section-broken-loose-tarrowby
      handling-db lighten section-off-the-truck --under 450kg
      handling-db lighten transfer-box --shop low-tarrowby --state drained
      handling-db lighten saw-gearbox --hands quay-shed-nine
    """
    import handling_db as hd
    from handling_db.lifting.asked import assumed_ranges
    from handling_db.loading import day

    found = loaded(folders, database, name, PIECE, "everything")
    asked = {**limits, "job": job_id, "serial": serial, "settings": settings}
    answer = hd.lighten(
        found.records, found.id, as_of=day(as_of), assume=assumed_ranges(assumed, "--assume "), **asked
    )
    show(answer, unit, as_json=as_json)
