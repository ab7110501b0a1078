"""``handling-db heavier``: which of two pieces or lifts is heavier, or that nobody can tell."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import as_of_option, loaded, question, source_options, state_option, unit_option

if TYPE_CHECKING:
    from handling_db.loading import Loaded
    from handling_db.lookup.heavier import Range
    from handling_db.records.parts.texts import State

KINDS = ("lift group", "component")


@click.command()
@click.argument("first")
@click.argument("second")
@state_option("dry")
@as_of_option
@unit_option
@source_options
def command(
    first: str,
    second: str,
    state: Any,
    as_of: str | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """Which is heavier, FIRST or SECOND? Each is a component or a lift group.

    Compares worst-case ranges and says "cannot tell" where they overlap. A component is taken as listed and
    in the state asked for; a lift group as it is parted, with what is trapped inside.

    \b
    Example:
      handling-db heavier gear-section differential-section
      handling-db heavier lower-half upper-half-lift
    """
    from handling_db.lookup.heavier import as_json as json_of
    from handling_db.lookup.heavier import heavier
    from handling_db.lookup.heavier_text import heavier_text

    several = [loaded(folders, database, name, KINDS, "handled") for name in (first, second)]
    found = heavier(*(_range(one, state, as_of) for one in several))
    if as_json:
        print_json(json_of(found))
        return
    click.echo(heavier_text(found, unit or several[0].first_unit))


def _range(found: Loaded, state: State, as_of: str | None) -> Range:
    """The lift group as it is parted, or the component as listed."""
    from handling_db.lookup.heavier import Range

    if found.kind == "lift group":
        return _lifted(found, as_of)
    from handling_db.lookup.weight import answer

    told = answer(found.records, found.id, state=state)
    (figure,) = [one for one in told.states if one.state == state]
    missing = tuple(named.name for named in (*figure.unknown, *figure.open_lists))
    high = figure.high if figure.complete else None
    return Range(told.name, f"as listed, {state}", figure.low, figure.best, high, missing)


def _lifted(found: Loaded, as_of: str | None) -> Range:
    from handling_db.lifting.answer import lift_answer
    from handling_db.lookup.heavier import Range

    answer = lift_answer(found.records, found.id, question(found.records, None, None, as_of, ()))
    load = answer.lift
    if load is None:
        return Range(answer.name, "as parted", 0, 0, None, answer.missing)
    return Range(
        answer.name, "as parted, with what is inside", load.low, load.best, load.high, answer.missing
    )
