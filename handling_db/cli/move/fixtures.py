"""``handling-db fixtures``: which one is needed, who has one, what was used instead, was that rated."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import as_of_option, loaded, source_options, unit_option


@click.command()
@click.argument("name", required=False)
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
    from handling_db.loading import day
    from handling_db.shop.fixtures import fixtures_answer
    from handling_db.shop.text import fixtures_text

    found = loaded(folders, database, name, ("lift group", "component"), "handled")
    collection = found.records
    code = found.code
    first = unit or found.first_unit
    answer = fixtures_answer(collection, code, as_of=day(as_of))
    if as_json:
        from handling_db.lookup.as_json import plain

        print_json(plain(answer))
        return
    click.echo(fixtures_text(answer, first))
