"""``handling-db shop``: everything a shop has beside one lift and move."""

from __future__ import annotations

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import PIECE, as_of_option


@click.command()
@click.argument("shop")
@click.argument("name")
@click.option("--before", help="Id of the shop that had it before: what did it have that this one lacks?")
@as_of_option
@answered(PIECE)
def command(found: Found, shop: str, before: str | None, as_of: str | None) -> Told:
    """What has SHOP for lifting and moving NAME, as figures, and what is missing?

    Every mover, gear and fixture beside the true figures, and beside every printed figure of the whole.

    \b
    Example:
      handling-db shop low-tarrowby section-off-the-truck --before quay-shed-nine
    """
    import handling_db as hd
    from handling_db.loading import day

    return hd.shop_has(found.records, shop, found.id, as_of=day(as_of), before=before)
