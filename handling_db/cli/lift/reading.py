"""``handling-db reading``: the hook shows something else than expected; what could that be?"""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered_of_lift
from handling_db.cli.options import zeroed_option


@click.command()
@click.argument("name")
@click.argument("seen")
@zeroed_option
@answered_of_lift
def command(found: Found, besides: Any, seen: str, zeroed: bool | None) -> Told:
    """What a reading SEEN at the hook may mean for the lift group NAME: open ties, or what excess force.

    \b
    Example:
      handling-db reading upper-half-lift "445 kg" --job qsn-1187
    """
    import handling_db as hd

    return hd.reading(found.records, found.id, seen, zeroed=zeroed, **besides)
