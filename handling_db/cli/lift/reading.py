"""``handling-db reading``: the hook shows something else than expected; what could that be?"""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import asked_options, loaded, question, source_options


@click.command()
@click.argument("name")
@click.argument("seen")
@asked_options
@source_options
def command(
    name: str,
    seen: str,
    job_id: str | None,
    serial: int | None,
    as_of: str | None,
    assumed: tuple[str, ...],
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """What a reading SEEN at the hook may mean for the lift group NAME: open ties, or what excess force.

    \b
    Example:
      handling-db reading upper-half-lift "445 kg" --job qsn-1187
    """
    from handling_db.lifting.as_json import lift_json
    from handling_db.lifting.reading import reading_answer
    from handling_db.lifting.words import joined, reading_lines
    from handling_db.quantities.quantity import parse_quantity

    found = loaded(folders, database, name, ("lift group",), "handled")
    collection, name = found.records, found.id
    kg = float(parse_quantity(seen, "mass").base)
    answer = reading_answer(collection, name, kg, question(collection, job_id, serial, as_of, assumed))
    if as_json:
        print_json(lift_json(answer, first=unit or found.first_unit))
        return
    click.echo(joined(reading_lines(answer, first=unit or found.first_unit)))
