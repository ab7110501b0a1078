"""``handling-db reconcile``: all figures adjusted together, and which is likely wrong. It changes nothing."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import state_option


@click.command()
@click.argument("component", required=False)
@state_option("dry")
@click.option(
    "--significance",
    type=float,
    default=0.05,
    show_default=True,
    help="Share of collections without any error in which a figure is still named.",
)
@answered(reach="around", named="component")
def command(found: Found, state: Any, significance: float) -> Told:
    """Adjust all figures around COMPONENT (or all there are) so that every sum holds, and test them.

    For people who keep the data: it names what is likely wrong and proposes. Nothing is changed, and no lift
    is planned with adjusted figures.

    \b
    Example:
      handling-db reconcile ferry-pinion-group
      handling-db reconcile --state drained --significance 0.01
    """
    import handling_db as hd

    return hd.reconcile(found.records, found.code, state=state, significance=significance)
