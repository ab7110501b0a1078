"""``handling-db weight``: the look-up."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import first_unit_of, mark_from, open_named, show
from handling_db.cli.completion import names
from handling_db.cli.options import build_options, loaded, source_options, state_option, unit_option
from handling_db.errors import AmbiguousNameError
from handling_db.quantities.columns import columns
from handling_db.weights.answer import WeightAnswer

if TYPE_CHECKING:
    from handling_db.serialise import Answer
    from handling_db.weights.answer import WeightAnswer


@click.command()
@click.argument("name", shell_complete=names("component"))
@state_option(None)
@click.option("--without", multiple=True, metavar="PART", help="Taken off already; repeat for more.")
@build_options
@click.option(
    "--serial",
    type=int,
    metavar="SERIAL",
    help="The unit at hand: what was weighed on others is a hint, and only where nothing else bounds it.",
)
@unit_option
@source_options
def command(
    name: str,
    state: str | None,
    without: tuple[str, ...],
    settings: tuple[str, ...],
    build_name: str | None,
    serial: int | None,
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

    try:
        answer = _answer(name, state, without, settings, build_name, serial, folders, database)
    except AmbiguousNameError as error:
        click.echo(f"{error.name!r} fits several components; ask again with an id:", err=True)
        click.echo(columns([list(choice) for choice in error.choices]), err=True)
        raise SystemExit(2) from None
    show(answer, unit, as_json=as_json)


def _answer(
    name: str,
    state: Any,
    without: Sequence[str],
    settings: Sequence[str],
    build_name: str | None,
    serial: int | None,
    folders: Sequence[Path],
    database: Path | None,
) -> Answer[WeightAnswer]:
    """The answer; a stored one is read without any record, so that it starts fast."""
    given = {}
    if settings:
        from handling_db.lifting.asked import settings as pairs

        given = pairs(settings, "--set ")
    if folders or serial is not None:
        import handling_db as hd

        found = loaded(folders, database, name, reach="around")
        asked: dict[str, Any] = {"state": state, "without": without, "settings": given, "build": build_name}
        return hd.weight(found.records, found.id, serial=serial, **asked)
    from handling_db.database import queries
    from handling_db.serialise import told_weight

    connection = open_named(database)
    code = queries.resolve(connection, name)
    mark_from(connection, "component", code)
    first = first_unit_of(connection)
    if state is None and not without and not settings and build_name is None:
        return told_weight(queries.stored_answer(connection, code), first)
    off = [queries.resolve(connection, part) for part in without]
    told = queries.what_if(connection, code, given_texts=given, build=build_name, state=state, without=off)
    return told_weight(told, first)
