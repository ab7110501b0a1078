"""``handling-db sweep``: one component over the values of one parameter."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import build_options, state_option


@click.command()
@click.argument("component")
@click.argument("parameter")
@click.argument("values", nargs=-1)
@state_option("filled")
@build_options
@click.option("--without", multiple=True, metavar="PART", help="Taken off already; repeat for more.")
@answered(reach="below", named="component")
def command(
    found: Found,
    parameter: str,
    values: tuple[str, ...],
    state: Any,
    settings: tuple[str, ...],
    build_name: str | None,
    without: tuple[str, ...],
) -> Told:
    """Mass and centre of gravity of COMPONENT over the VALUES of PARAMETER.

    Without VALUES: every choice, or every step of its range. A value out of its range is refused with the
    range; a build that cannot be says why.

    \b
    Example:
      handling-db sweep lock-clutch-pack discs --state dry
      handling-db sweep differential-section length "620 mm" "780 mm" --set discs=12
    """
    import handling_db as hd
    from handling_db.lifting.asked import settings as pairs

    asked: Any = {"without": without, "settings": pairs(settings, "--set "), "build": build_name}
    return hd.sweep(found.records, found.id, parameter, values or None, state=state, **asked)
