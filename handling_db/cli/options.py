"""The options that commands share, one spelling and one meaning each; and records from what was given."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import (
    PATH,
    Decorated,
    database_option,
    json_option,
    mark,
    mark_from,
    open_named,
    tell_left_out,
    together,
)
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from pathlib import Path

    from handling_db.loading import Loaded, Reach

PIECE = ("lift group", "component")

# Where the records are.
records_options = together(
    click.option(
        "--from",
        "folders",
        multiple=True,
        type=PATH,
        help="Read record folders, files or tables instead of a database; repeat for more.",
    ),
    database_option,
)
source_options = together(records_options, json_option)


def state_option(default: str | None) -> Callable[[Decorated], Decorated]:
    """Add ``--state``."""
    return click.option(
        "--state",
        type=click.Choice(["dry", "drained", "filled"]),
        default=default,
        show_default=default is not None,
        help="Which fluids count." if default else "Which fluids count; otherwise all three.",
    )


unit_option = click.option(
    "--unit", type=click.Choice(["kg", "lb"]), help="Which unit comes first; both are shown."
)
set_option = click.option(
    "--set", "settings", multiple=True, metavar="PARAM=VALUE", help="Another size; repeat for more."
)
build_options = together(
    click.option("--build", "build_name", metavar="NAME", help="A named build, such as 'long frame'."),
    set_option,
)
assume_option = click.option(
    "--assume",
    "assumed",
    multiple=True,
    metavar="'PART=LOW to HIGH'",
    help="A range for a part that nobody weighed, such as 'auxiliary-drive=19 kg to 25 kg', or for "
    "fluid, packing or gear that nobody stated; repeat for more.",
)
as_of_option = click.option(
    "--as-of", metavar="DATE", help="Judge inspections as of this date (default: today)."
)
serial_option = click.option(
    "--serial",
    type=int,
    metavar="SERIAL",
    help="Serial number of the unit at hand: its one open job counts without being named.",
)
# Of a unit for whose parts other units are hints.
hint_option = click.option(
    "--serial",
    type=int,
    metavar="SERIAL",
    help="The unit at hand: what was weighed on others is a hint, and only where nothing else bounds it.",
)
zeroed_option = click.option(
    "--zeroed-with-gear/--zeroed-empty",
    "zeroed",
    default=None,
    help="How the cell was zeroed: it goes before what the record says.",
)
asked_options = together(
    click.option("--job", "job_id", metavar="JOB", help="The unit in hand: what is out, off and in."),
    serial_option,
    as_of_option,
    assume_option,
    unit_option,
)
# Every limit that a load may be asked to be under; one at most is given.
limit_options = together(
    click.option("--under", metavar="MASS", help="The limit itself, such as 500kg."),
    click.option("--hoist", metavar="MOVER", help="Rating of this hoist or crane, less its cell error."),
    click.option("--fork", metavar="MOVER", help="Plate of this truck, at its rated load centre."),
    click.option("--load-centre", metavar="LENGTH", help="Load centre for --fork, such as 700mm."),
    click.option("--pallet", metavar="PALLET", help="Rating of this pallet."),
    click.option("--floor", metavar="SHOP:AREA", help="Limit of this floor, lift or rack of a shop."),
    click.option("--scale", metavar="SOURCE", help="How far this scale reads."),
    click.option("--hands", metavar="SHOP", help="Hand limit of this shop."),
    click.option("--shop", metavar="SHOP", help="Whose rules count; with no limit: its largest hook."),
    click.option(
        "--break-loose/--no-break-loose",
        default=None,
        help="Count the shop's share for breaking loose, or not; else where the lift parts a joint.",
    ),
)


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
