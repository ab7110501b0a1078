"""What the commands about lifts share: where the records come from, and what is asked besides the lift."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from handling_db.cli.common import database_option, json_option, open_named
from handling_db.errors import HandlingError, UnknownNameError

if TYPE_CHECKING:
    from handling_db.lifting.case import Question
    from handling_db.records.collection import Collection

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def source_options(command: Decorated) -> Decorated:
    """Add ``--from``, ``--db`` and ``--json``."""
    command = json_option(database_option(command))
    return click.option(
        "--from",
        "folders",
        multiple=True,
        type=click.Path(path_type=Path),
        help="Read record folders or files instead of a database; repeat for more.",
    )(command)


def asked_options(command: Decorated) -> Decorated:
    """Add ``--job``, ``--as-of``, ``--assume`` and ``--unit``."""
    command = click.option("--unit", type=click.Choice(["kg", "lb"]), help="Which unit comes first.")(command)
    command = click.option(
        "--assume",
        "assumed",
        multiple=True,
        metavar="PART=RANGE",
        help="A range for a part that nobody weighed, such as 'auxiliary-drive=19 kg to 25 kg'.",
    )(command)
    command = click.option(
        "--as-of", metavar="DATE", help="Judge inspections as of this date (default: today)."
    )(command)
    return click.option("--job", "job_id", metavar="JOB", help="The unit in hand: what is out, off and in.")(
        command
    )


def gather(kind: str, code: str, folders: Sequence[Path], database: Path | None) -> Collection:
    """The records that an answer about a joint, lift group or job rests on.

    Raises
    ------
    UnknownNameError
        There is no such record; the message lists those there are.
    HandlingError
        A folder has a fault: then figures from it could leave something out.
    """
    from handling_db.lifting.asked import not_there

    if folders:
        collection = folders_collection(folders)
        known = collection.of_kind(kind)
        if code not in known:
            raise UnknownNameError(not_there(kind, code, sorted(known)))
        return collection
    connection = open_named(database)
    from handling_db.database.queries.lift import lift_collection, root_of

    root = root_of(connection, kind, code)
    if root is None:
        raise UnknownNameError(not_there(kind, code, _ids(connection, kind)))
    collection = lift_collection(connection, [root])
    group = collection.lift_groups.get(code) if kind == "lift group" else None
    others = (group.other_half, group.turn.side if group.turn else None) if group else ()
    roots = [collection.lift_groups[o].root for o in others if o and o in collection.lift_groups]
    return lift_collection(connection, [root, *roots]) if {*roots} - {root} else collection


def folders_collection(folders: Sequence[Path]) -> Collection:
    """The records of some folders.

    Raises
    ------
    HandlingError
        A record has a fault; the first is named.
    """
    from handling_db.files.folders import read_collection

    reading = read_collection(folders)
    if reading.findings:
        more = len(reading.findings) - 1
        rest = f" (and {more} more; 'handling-db check' lists them)" if more else ""
        raise HandlingError(f"{reading.findings[0]}{rest}")
    return reading.collection


def _ids(connection: sqlite3.Connection, kind: str) -> list[str]:
    return [
        row[0] for row in connection.execute("select code from record where kind = ? order by code", (kind,))
    ]


def day(text: str | None) -> datetime.date:
    """A date from text, or today.

    Raises
    ------
    HandlingError
        Not a date.
    """
    if text is None:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise HandlingError(f"{text!r} is not a date; write year-month-day, such as 2026-03-09") from None


def question(
    collection: Collection,
    job_id: str | None,
    as_of: str | None,
    assumed: Sequence[str],
    *,
    picks: dict[str, float | None] | None = None,
    drop_m: float | None = None,
    stretch_m: float | None = None,
) -> Question:
    """What is asked besides the lift group.

    Raises
    ------
    HandlingError
        A text that cannot be read.
    """
    from handling_db.files.rating_factors import rating_factors
    from handling_db.lifting.asked import assumed_ranges, job_named
    from handling_db.lifting.case import Question

    return Question(
        job=job_named(collection, job_id),
        as_of=day(as_of),
        assumed=assumed_ranges(assumed, "--assume "),
        factors=rating_factors(),
        picks=picks,
        drop_m=drop_m,
        stretch_m=stretch_m,
    )


def metres(text: str | None) -> float | None:
    """A length from text.

    Raises
    ------
    HandlingError
        Not a length.
    """
    from handling_db.quantities.quantity import parse_quantity

    return None if text is None else float(parse_quantity(text, "length").base)


def first_unit(collection: Collection, unit: str | None) -> str:
    """The unit asked for, or that of the collection's first shop."""
    if unit is not None:
        return unit
    shops = sorted(collection.shops.items())
    return shops[0][1].first_unit if shops else "kg"
