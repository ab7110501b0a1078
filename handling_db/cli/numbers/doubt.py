"""``handling-db doubt``: which records become doubtful if a source was off."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import columns, print_json
from handling_db.cli.options import loaded, source_options

if TYPE_CHECKING:
    from handling_db.evidence.answer import DoubtAnswer


@click.command()
@click.argument("source")
@source_options
def command(source: str, folders: tuple[Path, ...], database: Path | None, *, as_json: bool) -> None:
    """Which records become doubtful if SOURCE was off: a scale, a document, a list, a density?

    First the figures read from it, then what was made from these, then every component whose figure rests
    on any of them, the nearest first.

    \b
    Example:
      handling-db doubt quay-bench-scale
    """
    from handling_db.evidence.doubt import doubt_answer, source_named

    found = loaded(folders, database, None, reach="everything")
    collection = found.records
    answer = doubt_answer(collection, source_named(collection, source))
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(doubt_text(answer))


def doubt_text(answer: DoubtAnswer) -> str:
    """What becomes doubtful as lines of text."""
    from handling_db.lookup import number_words
    from handling_db.lookup import words as wording
    from handling_db.quantities.display import counted

    lines = [f"If {answer.name} ({answer.source}; {answer.kind}) was off"]
    figures = [
        [one.printed, one.name, number_words.doubtful_words(one), f"[{one.id}]"] for one in answer.figures
    ]
    components = [[one.name, number_words.resting_words(one)] for one in answer.components]
    lines += ["", f"{counted(len(figures), 'recorded figure')} would be doubtful"]
    lines += [columns(figures)] if figures else []
    lines += ["", f"{counted(len(components), 'component')} would be doubtful, in some state or build"]
    lines += [columns(components)] if components else []
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])
