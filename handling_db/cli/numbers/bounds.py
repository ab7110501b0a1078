"""``handling-db bounds``: what all figures together allow."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import hint_option, state_option


@click.command()
@click.argument("component", required=False)
@state_option("dry")
@hint_option
@answered(reach="around", named="component")
def command(found: Found, state: Any, serial: int | None) -> Told:
    """What all figures together allow COMPONENT and its parts to weigh, from above and from below.

    Without COMPONENT: everything that is inferred only, or where figures contradict one another. An inferred
    range is shown and never used to check what it came from; bounds never lower a figure to plan with.

    \b
    Example:
      handling-db bounds gear-section --state drained
      handling-db bounds gear-section --serial 1188
      handling-db bounds
    """
    import handling_db as hd

    return hd.bounds(found.records, found.code, state=state, serial=serial)
