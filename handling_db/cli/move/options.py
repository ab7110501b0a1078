"""What the commands about moving share: which records they read, and options with units."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from handling_db.cli.common import database_option, first_unit_of, open_named
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.records.collection import Collection

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def records_options(command: Decorated) -> Decorated:
    """Add ``--from FOLDER`` and ``--db FILE``."""
    option = click.option(
        "--from",
        "folder",
        type=click.Path(path_type=Path, exists=True),
        help="Read this folder of records instead of a database.",
    )
    return option(database_option(command))


def records_of(
    folder: Path | None, database: Path | None, name: str | None
) -> tuple[Collection, str | None, str]:
    """The records, the id of the piece that was named, and the unit that comes first.

    Raises
    ------
    HandlingError
        The folder has faults, or nothing goes by the name.
    """
    if folder is not None:
        from handling_db.files.folders import read_collection

        reading = read_collection([folder])
        faults = [str(finding) for finding in reading.findings]
        if faults:
            shown = "\n".join(faults)
            raise HandlingError(f"{folder} has {len(faults)} faults; correct them first:\n{shown}")
        first = next((shop.first_unit for _, shop in sorted(reading.collection.shops.items())), "kg")
        return reading.collection, None if name is None else _in_folder(reading.collection, name), first
    from handling_db.database.queries.handling import handling_collection, piece_named

    connection: sqlite3.Connection = open_named(database)
    code = None if name is None else piece_named(connection, name)
    return handling_collection(connection, code), code, first_unit_of(connection)


def _in_folder(collection: Collection, name: str) -> str:
    wanted = " ".join(name.casefold().split())
    if name in collection.lift_groups or name in collection.components:
        return name
    found = [
        code
        for code, component in sorted(collection.components.items())
        if wanted
        in {" ".join(text.casefold().split()) for text in (code, component.name, *component.also_called)}
    ]
    if len(found) == 1:
        return found[0]
    if found:
        raise HandlingError(f"{name!r} fits several components: {', '.join(found)}; ask again with an id")
    groups = ", ".join(sorted(collection.lift_groups)) or "none"
    raise HandlingError(f"there is no lift group and no component {name!r}; lift groups: {groups}")


def move_options(command: Decorated) -> Decorated:
    """Add everything a move can be asked with."""
    for option in reversed(
        [
            click.option("--state", type=click.Choice(["dry", "drained", "filled"]), help="Of a component."),
            click.option("--set", "sets", multiple=True, metavar="PARAM=VALUE", help="Another size."),
            click.option("--packing", help="Id of the packing, or none."),
            click.option("--pallet", help="Id of the pallet, or none."),
            click.option("--face", help="Id of the face it stands on."),
            click.option("--shop", help="Id of the shop whose trucks, floors and doors count."),
            click.option("--route", help="Id of one route of the shop."),
            click.option("--job", help="Id of the job: its build, and what is off already."),
            click.option("--lift-height", metavar="LENGTH", help="Highest fork height, such as 300 mm."),
            click.option("--carried-at", metavar="LENGTH", help="Height of its underside on the way."),
            click.option("--slope", metavar="ANGLE", help="Of floor or ramp, such as 3 deg."),
            click.option(
                "--assume",
                multiple=True,
                metavar="'PART=LOW to HIGH'",
                help="A range for a part without a mass.",
            ),
            click.option("--unit", type=click.Choice(["kg", "lb"]), help="Which unit comes first."),
        ]
    ):
        command = option(command)
    return records_options(command)


def question_of(what: str, options: dict[str, Any]) -> Any:
    """The question about a move from the options of a command."""
    from handling_db.moving.texts import read_question

    return read_question(
        what,
        {
            name: options[name]
            for name in (
                "state",
                "packing",
                "pallet",
                "face",
                "shop",
                "route",
                "job",
                "lift_height",
                "carried_at",
                "slope",
            )
        },
        sets=options["sets"],
        assume=options["assume"],
    )
