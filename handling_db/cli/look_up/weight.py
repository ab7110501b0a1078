"""``handling-db weight``: the look-up."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from handling_db.cli.common import first_unit_of, open_named, print_json
from handling_db.cli.options import build_options, given_of, loaded, source_options, state_option, unit_option
from handling_db.errors import AmbiguousNameError
from handling_db.quantities.columns import columns
from handling_db.weights.answer import WeightAnswer


@click.command()
@click.argument("name")
@state_option(None)
@click.option("--without", multiple=True, metavar="PART", help="Taken off already; repeat for more.")
@build_options
@unit_option
@source_options
def command(
    name: str,
    state: str | None,
    without: tuple[str, ...],
    settings: tuple[str, ...],
    build_name: str | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """How heavy is NAME (id, name, alias or part number)?

    The heaviest believable figure comes first, with whatever is not known in the same line; then what the
    sources say against the sum of the parts; then the parts.

    \b
    Example:
      handling-db weight "differential section" --without parking-brake
      handling-db weight lock-clutch-pack --set discs=12 --state dry
      handling-db weight differential-section --build "long frame"
    """
    from handling_db.lookup.weight_text import weight_text

    try:
        answer, first = _answer(name, state, without, settings, build_name, folders, database)
    except AmbiguousNameError as error:
        click.echo(f"{error.name!r} fits several components; ask again with an id:", err=True)
        click.echo(columns([list(choice) for choice in error.choices]), err=True)
        raise SystemExit(2) from None
    if as_json:
        from handling_db.lookup.as_json import weight_json

        print_json(weight_json(answer))
        return
    click.echo(weight_text(answer, unit or first))


def _answer(
    name: str,
    state: Any,
    without: Sequence[str],
    settings: Sequence[str],
    build_name: str | None,
    folders: Sequence[Path],
    database: Path | None,
) -> tuple[WeightAnswer, str]:
    """The answer, and the unit that comes first; a stored one is read without any record."""
    if folders:
        from handling_db.loading import named
        from handling_db.lookup.weight import answer

        found = loaded(folders, database, name)
        given = given_of(found.records, found.id, settings, build_name)
        off = [named(found.records, part)[1] for part in without]
        return answer(found.records, found.id, given=given, state=state, without=off), found.first_unit
    from handling_db.database import queries

    connection = open_named(database)
    code = queries.resolve(connection, name)
    first = first_unit_of(connection)
    if state is None and not without and not settings and build_name is None:
        return queries.stored_answer(connection, code), first
    from handling_db.lifting.asked import settings as settings_of

    texts = settings_of(settings, "--set ")
    off = [queries.resolve(connection, part) for part in without]
    found_answer = queries.what_if(
        connection, code, given_texts=texts, build=build_name, state=state, without=off
    )
    return found_answer, first
