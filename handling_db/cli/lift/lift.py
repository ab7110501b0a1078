"""``handling-db lift``: what comes up, what still holds it, what the hook should read."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered_of_lift
from handling_db.cli.options import zeroed_option


@click.command()
@click.argument("name")
@click.option("--drop", metavar="LENGTH", help="Fall before slack legs are straight, such as '10 mm'.")
@click.option("--stretch", metavar="LENGTH", help="Stretch of the rigging under the load at rest.")
@click.option(
    "--dynamic",
    metavar="ID[=NUMBER]",
    help="Count a published dynamic factor on the hoist; off otherwise. A wrong id lists them.",
)
@zeroed_option
@answered_of_lift
def command(found: Found, besides: Any, drop: str | None, stretch: str | None, **given: Any) -> Told:
    """Everything about the lift group NAME: IN and NOT IN, expected reading, stop figures, legs, ties.

    What is not known comes first. Figures, not permission.

    \b
    Example:
      handling-db lift upper-half-lift --job qsn-1187
      handling-db lift lower-half --assume "auxiliary-drive=19 kg to 25 kg"
    """
    import handling_db as hd
    from handling_db.lifting.asked import metres

    fall, stretched = metres(drop, "--drop"), metres(stretch, "--stretch")
    return hd.lift(found.records, found.id, drop_m=fall, stretch_m=stretched, **given, **besides)
