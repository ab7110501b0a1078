"""``handling-db level``: the leg lengths that hang a load level, in whole links of a recorded pitch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.answers import answered_of_lift

if TYPE_CHECKING:
    from handling_db.loading import Loaded
    from handling_db.serialise import Answer


@click.command()
@click.argument("name")
@click.option(
    "--hook", metavar="LENGTH", help="Height of the hook over the centre; otherwise as high as it goes."
)
@answered_of_lift
def command(found: Loaded, besides: Any, hook: str | None) -> Answer[Any]:
    """Leg lengths with which the lift group NAME hangs in its attitude, and the tilt that remains in links.

    \b
    Example:
      handling-db level upper-half-with-brake
      handling-db level upper-half-with-brake --hook "900 mm"
    """
    import handling_db as hd
    from handling_db.lifting.asked import metres

    return hd.level(found.records, found.id, hook_m=metres(hook, "--hook"), **besides)
