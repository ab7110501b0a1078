"""``handling-db level``: the leg lengths that hang a load level, in whole links of a recorded pitch."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered_of_lift


@click.command()
@click.argument("name")
@click.option(
    "--hook", metavar="LENGTH", help="Height of the hook over the centre; otherwise as high as it goes."
)
@answered_of_lift
def command(found: Found, besides: Any, hook: str | None) -> Told:
    """Leg lengths with which the lift group NAME hangs in its attitude, and the tilt that remains in links.

    \b
    Example:
      handling-db level upper-half-with-brake
      handling-db level upper-half-with-brake --hook "900 mm"
    """
    import handling_db as hd
    from handling_db.lifting.asked import metres

    return hd.level(found.records, found.id, hook_m=metres(hook, "--hook"), **besides)
