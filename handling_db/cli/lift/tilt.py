"""``handling-db tilt``: it hung out of level at the trial lift; where is the centre, what to shorten?"""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered_of_lift


@click.command()
@click.argument("name")
@click.argument("seen")
@click.option("--low", required=True, metavar="SIDE", help="The side that hung low, or a pick point: left.")
@click.option("--within", default="0.5 deg", show_default=True, metavar="ANGLE", help="How well it was seen.")
@answered_of_lift
def command(found: Found, besides: Any, seen: str, low: str, within: str) -> Told:
    """What a tilt SEEN at a trial lift of the lift group NAME says: an angle, or how much lower one side was.

    \b
    Example:
      handling-db tilt upper-half-with-brake "3.5 deg" --low left
      handling-db tilt upper-half-lift "15 mm" --low cover-ear-90
    """
    import handling_db as hd

    return hd.tilt(found.records, found.id, seen, low, within=within, **besides)
