"""``handling-db heavier``: which of two pieces or lifts is heavier, or that nobody can tell."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import database_option, first_unit_of, json_option, open_named, print_json

if TYPE_CHECKING:
    from handling_db.lookup.heavier import Heavier, Range


@click.command()
@click.argument("first")
@click.argument("second")
@click.option("--state", type=click.Choice(["dry", "drained", "filled"]), default="dry", show_default=True)
@click.option("--unit", type=click.Choice(["kg", "lb"]), help="Which unit comes first; both are shown.")
@database_option
@json_option
def command(
    first: str, second: str, state: str, unit: str | None, database: Path | None, *, as_json: bool
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

    connection = open_named(database)
    found = heavier(*(_range(connection, name, state) for name in (first, second)))
    if as_json:
        print_json(json_of(found))
        return
    click.echo(text(found, unit or first_unit_of(connection)))


def _range(connection: sqlite3.Connection, name: str, state: str) -> Range:
    """A lift group of that id, or the component that goes by the name."""
    from handling_db.database import queries
    from handling_db.lookup.heavier import Range

    row = connection.execute(
        "select 1 from record where kind = 'lift group' and code = ?", (name,)
    ).fetchone()
    if row is not None:
        return _lifted(connection, name)
    answer = queries.stored_answer(connection, queries.resolve(connection, name))
    (figure,) = [one for one in answer.states if one.state == state]
    missing = tuple(named.name for named in (*figure.unknown, *figure.open_lists))
    high = figure.high if figure.complete else None
    return Range(answer.name, f"as listed, {state}", figure.low, figure.best, high, missing)


def _lifted(connection: sqlite3.Connection, name: str) -> Range:
    from handling_db.database.queries.lift import lift_collection, root_of
    from handling_db.lifting.answer import lift_answer
    from handling_db.lifting.case import Question
    from handling_db.lookup.heavier import Range

    root = root_of(connection, "lift group", name)
    assert root is not None
    answer = lift_answer(lift_collection(connection, [root]), name, Question())
    load = answer.lift
    if load is None:
        return Range(answer.name, "as parted", 0, 0, None, answer.missing)
    return Range(
        answer.name, "as parted, with what is inside", load.low, load.best, load.high, answer.missing
    )


def text(found: Heavier, first: str) -> str:
    """Both ranges and the verdict, as lines."""
    from handling_db.lookup.heavier import CANNOT_TELL, FIRST
    from handling_db.lookup.words import FIGURES_NOT_PERMISSION
    from handling_db.quantities.display import at_least, pair, span
    from handling_db.weights.answer import StateFigure

    if found.verdict == CANNOT_TELL:
        head = f"Cannot tell which is heavier: {found.because}."
    else:
        one, other = (found.first, found.second) if found.verdict == FIRST else (found.second, found.first)
        least = found.least or 0
        by = (
            f"at least {pair(least, least / 10, first=first)}"
            if found.most is None
            else span(least, found.most, first=first)
        )
        head = f"{one.name} is heavier than {other.name}, by {by}."
    lines = [head]
    for side in (found.first, found.second):
        if side.high is not None:
            told = span(side.low, side.high, first=first)
        else:
            known = StateFigure("", side.best, side.low, 2 * side.best - side.low, False, "")
            told = f"{at_least(known, first=first)}, nobody weighed {', '.join(side.missing)}"
        lines.append(f"  {side.name} ({side.what}): {told}")
    return "\n".join([*lines, "", FIGURES_NOT_PERMISSION])
