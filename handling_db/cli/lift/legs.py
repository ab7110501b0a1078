"""``handling-db legs``: what each leg carries, with the recorded pick points or others."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered_of_lift
from handling_db.errors import HandlingError


@click.command()
@click.argument("name")
@click.option(
    "--point",
    "points",
    multiple=True,
    metavar="POINT[=LENGTH]",
    help="Use this pick point, with a leg this long; repeat for each leg. Otherwise those recorded.",
)
@answered_of_lift
def command(found: Found, besides: Any, points: tuple[str, ...]) -> Told:
    """What each leg of the lift group NAME carries, which go slack, and where it comes to rest.

    \b
    Example:
      handling-db legs upper-half-with-brake
      handling-db legs upper-half-lift --point cover-ear-90 --point cover-ear-330="950 mm"
    """
    import handling_db as hd
    from handling_db.lifting.asked import metres

    named = [point.partition("=")[0] for point in points]
    twice = sorted({name for name in named if named.count(name) > 1})
    if twice:
        raise HandlingError(f"--point {twice[0]!r} is given twice: two legs on one point count as one")
    picks = {point.partition("=")[0]: metres(point.partition("=")[2] or None, "--point") for point in points}
    return hd.legs(found.records, found.id, picks=picks or None, **besides)
