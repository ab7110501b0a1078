"""The options that commands share, one spelling and one meaning each; and records from what was given."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from handling_db.cli.common import (
    PATH,
    database_option,
    json_option,
    mark,
    mark_from,
    open_named,
    tell_left_out,
)
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from pathlib import Path

    from handling_db.loading import Loaded, Reach

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def source_options(command: Decorated) -> Decorated:
    """Add ``--from PATH`` (repeatable), ``--db FILE`` and ``--json``."""
    return records_options(json_option(command))


def records_options(command: Decorated) -> Decorated:
    """Add ``--from PATH`` (repeatable) and ``--db FILE``."""
    command = database_option(command)
    return click.option(
        "--from",
        "folders",
        multiple=True,
        type=PATH,
        help="Read record folders, files or tables instead of a database; repeat for more.",
    )(command)


def state_option(default: str | None) -> Callable[[Decorated], Decorated]:
    """Add ``--state``."""
    return click.option(
        "--state",
        type=click.Choice(["dry", "drained", "filled"]),
        default=default,
        show_default=default is not None,
        help="Which fluids count." if default else "Which fluids count; otherwise all three.",
    )


def unit_option(command: Decorated) -> Decorated:
    """Add ``--unit``."""
    return click.option(
        "--unit", type=click.Choice(["kg", "lb"]), help="Which unit comes first; both are shown."
    )(command)


def set_option(command: Decorated) -> Decorated:
    """Add ``--set PARAM=VALUE``."""
    return click.option(
        "--set", "settings", multiple=True, metavar="PARAM=VALUE", help="Another size; repeat for more."
    )(command)


def build_options(command: Decorated) -> Decorated:
    """Add ``--set PARAM=VALUE`` and ``--build NAME``."""
    named = click.option("--build", "build_name", metavar="NAME", help="A named build, such as 'long frame'.")
    return named(set_option(command))


def assume_option(command: Decorated) -> Decorated:
    """Add ``--assume PART=RANGE``."""
    return click.option(
        "--assume",
        "assumed",
        multiple=True,
        metavar="'PART=LOW to HIGH'",
        help="A range for a part that nobody weighed, such as 'auxiliary-drive=19 kg to 25 kg', or for "
        "fluid, packing or gear that nobody stated; repeat for more.",
    )(command)


def as_of_option(command: Decorated) -> Decorated:
    """Add ``--as-of DATE``."""
    return click.option(
        "--as-of", metavar="DATE", help="Judge inspections as of this date (default: today)."
    )(command)


def serial_option(command: Decorated) -> Decorated:
    """Add ``--serial``."""
    return click.option(
        "--serial",
        type=int,
        metavar="SERIAL",
        help="Serial number of the unit at hand: its one open job counts without being named.",
    )(command)


def hint_option(command: Decorated) -> Decorated:
    """Add ``--serial`` of a unit for whose parts other units are hints."""
    return click.option(
        "--serial",
        type=int,
        metavar="SERIAL",
        help="The unit at hand: what was weighed on others is a hint, and only where nothing else bounds it.",
    )(command)


def zeroed_option(command: Decorated) -> Decorated:
    """Add how the load cell was zeroed."""
    return click.option(
        "--zeroed-with-gear/--zeroed-empty",
        "zeroed",
        default=None,
        help="How the cell was zeroed: it goes before what the record says.",
    )(command)


def asked_options(command: Decorated) -> Decorated:
    """Add ``--job``, ``--serial``, ``--as-of``, ``--assume`` and ``--unit``."""
    command = as_of_option(assume_option(unit_option(command)))
    command = serial_option(command)
    return click.option("--job", "job_id", metavar="JOB", help="The unit in hand: what is out, off and in.")(
        command
    )


def limit_options(command: Decorated) -> Decorated:
    """Add every limit that a load may be asked to be under; one at most is given."""
    for option in reversed(
        [
            click.option("--under", metavar="MASS", help="The limit itself, such as 500kg."),
            click.option(
                "--hoist", metavar="MOVER", help="Rating of this hoist or crane, less its cell error."
            ),
            click.option("--fork", metavar="MOVER", help="Plate of this truck, at its rated load centre."),
            click.option("--load-centre", metavar="LENGTH", help="Load centre for --fork, such as 700mm."),
            click.option("--pallet", metavar="PALLET", help="Rating of this pallet."),
            click.option("--floor", metavar="SHOP:AREA", help="Limit of this floor, lift or rack of a shop."),
            click.option("--scale", metavar="SOURCE", help="How far this scale reads."),
            click.option("--hands", metavar="SHOP", help="Hand limit of this shop."),
            click.option(
                "--shop", metavar="SHOP", help="Whose rules count; with no limit: its largest hook."
            ),
            click.option(
                "--break-loose/--no-break-loose",
                default=None,
                help="Count the shop's share for breaking loose, or not; else where the lift parts a joint.",
            ),
        ]
    ):
        command = option(command)
    return command


def loaded(
    folders: Sequence[Path],
    database: str | None,
    name: str | None = None,
    kinds: Sequence[str] = ("component",),
    reach: Reach = "below",
) -> Loaded:
    """Records from ``--from`` or a database, and the id of what was named.

    Raises
    ------
    HandlingError
        Both were given, records have faults, there is no database, or nothing goes by the name.
    """
    from handling_db import loading

    if folders:
        if database is not None:
            raise HandlingError("write --from or --db, not both")
        found = loading.from_paths(folders, name, kinds)
        from handling_db.sharing.marks import marks_about

        mark(marks_about(found.records, found.kind, found.code))
        return found
    connection: sqlite3.Connection = open_named(database)
    found = loading.from_database(connection, name, kinds, reach)
    mark_from(connection, found.kind, found.code)
    if found.left_out:
        tell_left_out(found.left_out)
    return found


def asked_of(job_id: str | None, serial: int | None, as_of: str | None, assumed: Sequence[str]) -> Any:
    """What is asked besides the lift group, as the public interface takes it; the published rules always.

    Raises
    ------
    HandlingError
        A text that cannot be read.
    """
    import handling_db as hd
    from handling_db.lifting.asked import assumed_ranges
    from handling_db.loading import day

    ranges = assumed_ranges(assumed, "--assume ")
    return {"as_of": day(as_of), "rules": hd.rules(), "job": job_id, "serial": serial, "assume": ranges}
