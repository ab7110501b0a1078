"""``handling-db fixtures``: which one is needed, who has one, what was used instead, was that rated."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.move.options import PIECE
from handling_db.cli.options import as_of_option, loaded, source_options, unit_option


@click.command()
@click.argument("name", shell_complete=names("component"), required=False)
@as_of_option
@unit_option
@source_options
def command(
    name: str | None,
    as_of: str | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
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

    found = loaded(folders, database, name, PIECE, "handled")
    answer = hd.fixtures(found.records, found.code, as_of=day(as_of))
    show(answer, unit, as_json=as_json)
