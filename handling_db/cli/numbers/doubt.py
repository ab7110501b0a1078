"""``handling-db doubt``: which records become doubtful if a source was off."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import show
from handling_db.cli.options import loaded, source_options


@click.command()
@click.argument("source")
@source_options
def command(source: str, folders: tuple[Path, ...], database: str | None, *, as_json: bool) -> None:
    """Which records become doubtful if SOURCE was off: a scale, a document, a list, a density?

    First the figures read from it, then what was made from these, then every component whose figure rests
    on any of them, the nearest first.

    \b
    Example:
      handling-db doubt quay-bench-scale
    """
    import handling_db as hd

    found = loaded(folders, database, None, reach="everything")
    answer = hd.doubt(found.records, source)
    show(answer, None, as_json=as_json)
