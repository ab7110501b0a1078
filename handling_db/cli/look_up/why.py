"""``handling-db why``: where each figure comes from, down to paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import build_options, given_of, loaded, source_options, state_option, unit_option

if TYPE_CHECKING:
    from handling_db.evidence.answer import WhyAnswer


@click.command()
@click.argument("component")
@state_option("filled")
@build_options
@unit_option
@source_options
def command(
    component: str,
    state: Any,
    settings: tuple[str, ...],
    build_name: str | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """Where the figure of COMPONENT comes from, part by part, down to the sheet or the scale.

    Each figure in the sum with its source, place, date, reader and doubt; what it was made from, if it was
    made; and, after "beside it", recorded figures that are not in the sum.

    \b
    Example:
      handling-db why differential-section
      handling-db why lock-clutch-pack --set discs=12 --state dry --json
    """
    from handling_db.lookup.why import why

    found = loaded(folders, database, component, reach="below")
    collection = found.records
    code = found.id
    first = found.first_unit
    answer = why(collection, code, state=state, given=given_of(collection, code, settings, build_name))
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(why_text(answer, unit or first))


def why_text(answer: WhyAnswer, first: str) -> str:
    """The chain as lines of text."""
    from handling_db.lookup import number_words
    from handling_db.lookup import words as wording
    from handling_db.quantities.display import counted

    lines = [f"{answer.name} ({answer.id}), {answer.state}: {wording.plan_words(answer.figure, first=first)}"]
    build = wording.build_words(answer.build)
    lines += [f"  build: {build}"] if build else []
    figures = counted(len(answer.shares), "figure", "different figures")
    lines += [f"  {wording.state_words(answer.figure, first=first)}; made of {figures}", ""]
    for line in answer.lines:
        indent = "  " * line.depth
        lines.append(f"{indent}{number_words.why_words(line, first=first)}")
        if line.paper is not None:
            lines.append(f"{indent}    {number_words.paper_words(line.paper)} [{line.paper.id}]")
            lines += [f"{indent}    {made}" for made in number_words.made_words(line.paper)]
        for paper in line.beside:
            lines.append(f"{indent}    beside it: {number_words.paper_words(paper)} [{paper.id}]")
            lines += [f"{indent}      {made}" for made in number_words.made_words(paper)]
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])
