"""``handling-db sweep``: one component over the values of one parameter."""

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
@click.argument("parameter")
@click.argument("values", nargs=-1)
@state_option("filled")
@build_options
@click.option("--without", multiple=True, metavar="PART", help="Taken off already; repeat for more.")
@unit_option
@source_options
def command(
    component: str,
    parameter: str,
    values: tuple[str, ...],
    state: Any,
    settings: tuple[str, ...],
    build_name: str | None,
    without: tuple[str, ...],
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """Mass and centre of gravity of COMPONENT over the VALUES of PARAMETER.

    Without VALUES: every choice, or every step of its range. A value out of its range is refused with the
    range; a build that cannot be says why.

    \b
    Example:
      handling-db sweep lock-clutch-pack discs --state dry
      handling-db sweep differential-section length "620 mm" "780 mm" --set discs=12
    """
    from handling_db.loading import named
    from handling_db.lookup.number_text import sweep_text
    from handling_db.lookup.sweep_answer import sweep_answer

    found = loaded(folders, database, component, reach="below")
    collection = found.records
    code = found.id
    first = found.first_unit
    answer = sweep_answer(
        collection,
        code,
        parameter,
        values or None,
        state=state,
        given=given_of(collection, code, settings, build_name),
        without=[named(collection, part)[1] for part in without],
    )
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(sweep_text(answer, unit or first))
