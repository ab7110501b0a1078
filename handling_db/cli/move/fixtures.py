"""``handling-db fixtures``: which one is needed, who has one, what was used instead, was that rated."""

from __future__ import annotations

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import PIECE, as_of_option


@click.command()
@click.argument("name", required=False)
@as_of_option
@answered(PIECE)
def command(found: Found, as_of: str | None) -> Told:
    """What fixture does NAME need, who has one, what did people use instead, and was that rated?

    Without NAME every fixture is listed. Gear without a rating is listed as seen in use; it is never the
    answer.

    \b
    Example:
      handling-db fixtures gear-section
      handling-db fixtures
    """
    import handling_db as hd
    from handling_db.loading import day

    return hd.fixtures(found.records, found.code, as_of=day(as_of))
