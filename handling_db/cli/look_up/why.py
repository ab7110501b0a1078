"""``handling-db why``: where each figure comes from, down to paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import build_options, given_of, loaded, source_options, state_option, unit_option

if TYPE_CHECKING:
    pass


@click.command()
@click.argument("component")
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
    from handling_db.lookup.number_text import why_text
    from handling_db.lookup.why import why

    found = loaded(folders, database, component, reach="below")
    collection = found.records
    code = found.id
    first = found.first_unit
    answer = why(collection, code, state=state, given=given_of(collection, code, settings, build_name))
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(why_text(answer, unit or first))
