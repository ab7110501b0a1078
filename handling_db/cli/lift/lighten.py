"""``handling-db lighten``: it is too heavy for what is here; which pieces come off first."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import PIECE, limit_options, set_option, state_option


@click.command()
@click.argument("name")
@limit_options
@state_option(None)
@set_option
@answered(PIECE, "everything", besides=True)
def command(found: Found, besides: Any, **limits: Any) -> Told:
    """Which pieces of NAME (a lift group or a component) come off first, so that the rest is under a limit?

    Fewest pieces first, in an order that recorded ties allow; the rest is worked out by all the evidence.
    Without a limit the hoist of the lift itself counts. Figures, not permission.

    \b
    Example:
      handling-db lighten section-broken-loose-tarrowby
      handling-db lighten section-off-the-truck --under 450kg
      handling-db lighten transfer-box --shop low-tarrowby --state drained
      handling-db lighten saw-gearbox --hands quay-shed-nine
    """
    import handling_db as hd

    del besides["rules"]  # nothing is rated here
    return hd.lighten(found.records, found.id, **limits, **besides)
