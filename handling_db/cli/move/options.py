"""What the commands about moving share: what a move can be asked with."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.common import together
from handling_db.cli.options import as_of_option, assume_option, set_option, state_option

# Everything a move can be asked with.
move_options = together(
    state_option(None),
    set_option,
    click.option("--packing", help="Id of the packing, or none."),
    click.option("--pallet", help="Id of the pallet, or none."),
    click.option("--fixture", help="Id of the stand it is set on, or none."),
    click.option("--face", help="Id of the face it stands on."),
    click.option("--shop", help="Id of the shop whose trucks, floors and doors count."),
    click.option("--route", help="Id of one route of the shop."),
    click.option("--job", help="Id of the job: its build, and what is off already."),
    click.option(
        "--serial",
        help="Serial number of the unit at hand: its one open job counts without being named.",
    ),
    click.option("--lift-height", metavar="LENGTH", help="Highest fork height, such as 300 mm."),
    click.option("--carried-at", metavar="LENGTH", help="Height of its underside on the way."),
    click.option("--push-at", metavar="LENGTH", help="Height of a level push over the floor."),
    click.option("--slope", metavar="ANGLE", help="Of floor or ramp, such as 3 deg."),
    assume_option,
    as_of_option,
)


def asked_of(**options: Any) -> Any:
    """What is asked about a move, from the options of a command.

    Raises
    ------
    HandlingError
        A day or a range that cannot be read.
    """
    from handling_db.lifting.asked import assumed_ranges
    from handling_db.loading import day

    as_of, assumed = day(options.pop("as_of")), assumed_ranges(options.pop("assumed"), "--assume ")
    return {**options, "as_of": as_of, "assume": assumed}
