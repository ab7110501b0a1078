"""``handling-db two-hooks``: raising the head of a load while a second hook holds its tail."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered_of_lift


@click.command()
@click.argument("name")
@click.option("--head", required=True, metavar="POINT", help="Id of the pick point that is raised.")
@click.option("--tail", required=True, metavar="POINT", help="Id of the pick point that is held.")
@click.option("--every", type=click.IntRange(1, 90), default=10, help="List every so many degrees.")
@answered_of_lift
def command(found: Found, besides: Any, head: str, tail: str, every: int) -> Told:
    """Raise the head of the lift group NAME with one hook while a second one holds its tail.

    Loads on both plumb hooks at every angle with the heaviest believable load, the worst of each, and where
    the tail hook goes slack. Figures without snatch.

    \b
    Example:
      handling-db two-hooks upper-half-lift --head cover-ear-90 --tail cover-ear-210
    """
    import handling_db as hd

    return hd.two_hooks(found.records, found.id, head, tail, every=every, **besides)
