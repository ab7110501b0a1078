"""``handling-db weight``: the look-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import first_unit_of, mark_from, open_named, show
from handling_db.cli.completion import names
from handling_db.cli.options import (
    build_options,
    hint_option,
    loaded,
    source_options,
    state_option,
    unit_option,
)
from handling_db.cli.parameters import Helped
from handling_db.errors import AmbiguousNameError
from handling_db.quantities.columns import columns

if TYPE_CHECKING:
    from pathlib import Path

    from handling_db.interface.lookup import WeightAsked
    from handling_db.records.parts.texts import State
    from handling_db.serialise import Answer
    from handling_db.weights.answer import WeightAnswer


@click.command(cls=Helped)
@click.argument("name", shell_complete=names("component"))
@state_option(None)
@click.option("--without", multiple=True, metavar="PART", help="Taken off already; repeat for more.")
@build_options
@hint_option
@unit_option
@source_options
def command(
    name: str,
    state: State | None,
    without: tuple[str, ...],
    settings: tuple[str, ...],
    build_name: str | None,
    serial: int | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: str | None,
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

    try:
        asked: WeightAsked = {
            "state": state,
            "without": without,
            "settings": _set(settings),
            "build": build_name,
            "serial": serial,
        }
        if folders or serial is not None:
            answer = _worked_out(name, asked, folders, database)
        else:
            answer = _stored(name, asked, database)
    except AmbiguousNameError as error:
        click.echo(f"{error.name!r} fits several components; ask again with an id:", err=True)
        click.echo(columns([list(choice) for choice in error.choices]), err=True)
        raise SystemExit(2) from None
    show(answer, unit, as_json=as_json)


def _set(settings: Sequence[str]) -> Mapping[str, str]:
    if not settings:
        return {}
    from handling_db.lifting.asked import settings as pairs

    return pairs(settings, "--set ")


def _worked_out(
    name: str, asked: WeightAsked, folders: Sequence[Path], database: str | None
) -> Answer[WeightAnswer]:
    import handling_db as hd

    found = loaded(folders, database, name, reach="around")
    return hd.weight(found.records, found.id, **asked)


def _stored(name: str, asked: WeightAsked, database: str | None) -> Answer[WeightAnswer]:
    """The answer of a database; a stored one is read without any record, so that it starts fast."""
    from handling_db.database import queries
    from handling_db.serialise import told_weight

    connection = open_named(database)
    code = queries.resolve(connection, name)
    mark_from(connection, "component", code)
    first = first_unit_of(connection)
    if not any(asked.values()):
        return told_weight(queries.stored_answer(connection, code), first)
    off = [queries.resolve(connection, part) for part in asked["without"]]
    told = queries.what_if(
        connection,
        code,
        given_texts=asked["settings"],
        build=asked["build"],
        state=asked["state"],
        without=off,
    )
    return told_weight(told, first)
