"""``handling-db bounds``: what all figures together allow."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import loaded, source_options, state_option, unit_option
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    pass


@click.command()
@click.argument("component", required=False)
@state_option("dry")
@click.option("--exact", is_flag=True, help="The narrowest bounds of COMPONENT, by a solver (needs scipy).")
@unit_option
@source_options
def command(
    component: str | None,
    state: Any,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    exact: bool,
    as_json: bool,
) -> None:
    """What all figures together allow COMPONENT and its parts to weigh, from above and from below.

    Without COMPONENT: everything that is inferred only, or where figures contradict one another. An inferred
    range is shown and never used to check what it came from; bounds never lower a figure to plan with.

    \b
    Example:
      handling-db bounds gear-section --state drained
      handling-db bounds
    """
    from handling_db.balance.answer import bounds_answer
    from handling_db.lookup.number_text import bounds_text

    if exact and component is None:
        raise HandlingError("--exact is worked out for one component; name it")
    found = loaded(folders, database, component, reach="around")
    collection = found.records
    code = found.code
    first = found.first_unit
    answer = bounds_answer(collection, code, state=state, by_solver=exact)
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(bounds_text(answer, unit or first))
