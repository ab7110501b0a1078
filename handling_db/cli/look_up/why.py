"""``handling-db why``: where each figure comes from, down to paper."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import build_options, state_option
from handling_db.cli.parameters import Helped


@click.command(cls=Helped)
@click.argument("component")
@state_option("filled")
@build_options
@answered(named="component")
def command(found: Found, state: Any, settings: tuple[str, ...], build_name: str | None) -> Told:
    """Where the figure of COMPONENT comes from, part by part, down to the sheet or the scale.

    Each figure in the sum with its source, place, date, reader and doubt; what it was made from, if it was
    made; and, after "beside it", recorded figures that are not in the sum.

    \b
    Example:
      handling-db why differential-section
      handling-db why lock-clutch-pack --set discs=12 --state dry --json
    """
    import handling_db as hd
    from handling_db.lifting.asked import settings as pairs

    given = pairs(settings, "--set ")
    return hd.why(found.records, found.id, state=state, settings=given, build=build_name)
