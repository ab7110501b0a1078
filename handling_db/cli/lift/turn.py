"""``handling-db turn``: hook load over the angle, and where it goes over by itself."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered_of_lift


@click.command()
@click.argument("name")
@click.option("--every", type=click.IntRange(1, 90), default=10, help="List every so many degrees.")
@answered_of_lift
def command(found: Found, besides: Any, every: int) -> Told:
    """Turn the lift group NAME over its recorded edge with one hook.

    Hook load at every angle, the angle where it goes over by itself, and what the joint and its temporary
    ties carry. Figures without snatch.

    \b
    Example:
      handling-db turn turn-onto-front-face --assume "auxiliary-drive=19 kg to 25 kg" --job qsn-1187
    """
    import handling_db as hd

    return hd.turn(found.records, found.id, every=every, **besides)
