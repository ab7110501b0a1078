"""``handling-db stand``: how far to every edge, and at what tilt it goes over."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.move.options import asked_of, move_options
from handling_db.cli.options import PIECE


@click.command()
@click.argument("name")
@move_options
@answered(PIECE)
def command(found: Found, **options: Any) -> Told:
    """How does NAME stand on its face: distance to every edge and tilt at which it goes over?

    The doubt of the centre of gravity and the slope are taken off. Static figures.

    \b
    Example:
      handling-db stand upper-half-lift --slope "3 deg"
      handling-db stand turn-onto-front-face --face front-face --assume "auxiliary-drive=19 kg to 25 kg"
    """
    import handling_db as hd

    return hd.stand(found.records, found.id, **asked_of(**options))
