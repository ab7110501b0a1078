"""``handling-db why``: where each figure comes from, down to paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import build_options, loaded, source_options, state_option, unit_option

if TYPE_CHECKING:
    pass


@click.command()
@click.argument("component", shell_complete=names("component"))
@state_option("filled")
@build_options
@unit_option
@source_options
def command(
    component: str,
    state: Any,
    settings: tuple[str, ...],
    build_name: str | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """Where the figure of COMPONENT comes from, part by part, down to the sheet or the scale.

    Each figure in the sum with its source, place, date, reader and doubt; what it was made from, if it was
    made; and, after "beside it", recorded figures that are not in the sum.

    \b
    Example:
      handling-db why differential-section
      handling-db why lock-clutch-pack --set discs=12 --state dry --json
    """
    import handling_db as hd
    from handling_db.lifting.asked import settings as pairs

    found = loaded(folders, database, component, reach="handled")
    answer = hd.why(
        found.records, found.id, state=state, settings=pairs(settings, "--set "), build=build_name
    )
    show(answer, unit, as_json=as_json)
