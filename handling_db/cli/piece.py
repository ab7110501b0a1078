"""What the commands about moving share: which records they read, and options with units."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from handling_db.cli.common import database_option, first_unit_of, open_named
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from fractions import Fraction

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
        from handling_db.store.files import read_collection

        reading = read_collection([folder])
        faults = [str(finding) for finding in reading.findings]
        if faults:
            shown = "\n".join(faults)
            raise HandlingError(f"{folder} has {len(faults)} faults; correct them first:\n{shown}")
        first = next((shop.first_unit for _, shop in sorted(reading.collection.shops.items())), "kg")
        return reading.collection, None if name is None else _in_folder(reading.collection, name), first
    from handling_db.store.queries_handling import handling_collection, piece_named

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


def metres(text: str | None, option: str) -> float | None:
    """A length option, such as ``300 mm``. [m]

    Raises
    ------
    HandlingError
        It is no length, or has no unit.
    """
    if text is None:
        return None
    from handling_db.units import parse_length

    try:
        return float(parse_length(text).base)
    except HandlingError as error:
        raise HandlingError(f"{option} {text!r}: {error}") from None


def radians(text: str | None, option: str) -> float | None:
    """An angle option, such as ``3 deg``. [rad]

    Raises
    ------
    HandlingError
        It is no angle from 0 up to 45 degrees.
    """
    if text is None:
        return None
    import math

    from handling_db.units import parse_angle

    try:
        angle = float(parse_angle(text).base)
    except HandlingError as error:
        raise HandlingError(f"{option} {text!r}: {error}") from None
    if not 0.0 <= angle <= 45.0:
        raise HandlingError(f"{option} {text!r}: write a slope from 0 deg to 45 deg")
    return math.radians(angle)


def ranges(texts: Sequence[str]) -> dict[str, tuple[Fraction, Fraction]]:
    """``auxiliary-drive=19 kg to 25 kg`` as component id and limits. [kg]

    Raises
    ------
    HandlingError
        A text is not of that form.
    """
    from handling_db.units import parse_mass

    found = {}
    for text in texts:
        name, sign, both = text.partition("=")
        low, between, high = both.partition(" to ")
        if not sign or not between or not name.strip():
            raise HandlingError(f"--assume {text!r}: write PART=LOW to HIGH, such as pump=19 kg to 25 kg")
        found[name.strip()] = (parse_mass(low).base, parse_mass(high).base)
    return found


def settings(texts: Sequence[str]) -> dict[str, str]:
    """``discs=12`` as parameter and text.

    Raises
    ------
    HandlingError
        A text is not PARAM=VALUE.
    """
    given = {}
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise HandlingError(f"--set {text!r}: write PARAM=VALUE, such as discs=12")
        given[name.strip()] = value.strip()
    return given


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
    from handling_db.calc.move_question import MoveQuestion

    return MoveQuestion(
        what=what,
        state=options["state"],
        build=settings(options["sets"]),
        packing=options["packing"],
        pallet=options["pallet"],
        face=options["face"],
        shop=options["shop"],
        route=options["route"],
        job=options["job"],
        lift_height=metres(options["lift_height"], "--lift-height"),
        carried_at=metres(options["carried_at"], "--carried-at"),
        slope=radians(options["slope"], "--slope"),
        assumed=ranges(options["assume"]),
    )
