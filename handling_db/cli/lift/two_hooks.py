"""``handling-db two-hooks``: raising the head of a load while a second hook holds its tail."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import asked_options, loaded, question, source_options

if TYPE_CHECKING:
    from handling_db.lifting.two_hooks import TwoHookAnswer


@click.command()
@click.argument("name")
@click.option("--head", required=True, metavar="POINT", help="Id of the pick point that is raised.")
@click.option("--tail", required=True, metavar="POINT", help="Id of the pick point that is held.")
@click.option("--every", type=click.IntRange(1, 90), default=10, help="List every so many degrees.")
@asked_options
@source_options
def command(
    name: str,
    head: str,
    tail: str,
    every: int,
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
    """Raise the head of the lift group NAME with one hook while a second one holds its tail.

    Loads on both plumb hooks at every angle with the heaviest believable load, the worst of each, and where
    the tail hook goes slack. Figures without snatch.

    \b
    Example:
      handling-db two-hooks upper-half-lift --head cover-ear-90 --tail cover-ear-210
    """
    from handling_db.lifting.as_json import lift_json
    from handling_db.lifting.two_hooks import two_hook_answer

    found = loaded(folders, database, name, ("lift group",), "handled")
    collection, name = found.records, found.id
    answer = two_hook_answer(
        collection, name, head, tail, question(collection, job_id, serial, as_of, assumed)
    )
    if as_json:
        print_json(lift_json(answer, first=unit or found.first_unit))
        return
    click.echo(text(answer, unit or found.first_unit, every))


def text(answer: TwoHookAnswer, first: str, every: int) -> str:
    """The answer as lines; what is not known comes first."""
    from decimal import ROUND_CEILING

    from handling_db.lifting.notices import first_lines
    from handling_db.lifting.words import load_words, title_words
    from handling_db.quantities.sentence import both_units, whole

    def up(kg: float) -> str:
        return whole(kg, first=first, rounding=ROUND_CEILING)

    lines = [line for _, line in first_lines(answer.first, first=first)]
    lines += [*(f"! {both_units(told)}" for told in answer.says), "", title_words(answer.lift)]
    if answer.no_figures:
        return "\n".join([*lines, f"No figures: {both_units(answer.no_figures)}", "", *answer.cautions])
    lines.append(
        f"turning: {load_words(answer.turning, first=first)}; head {answer.head}, tail {answer.tail}"
    )
    lines += ["", "raised  head hook; tail hook, heaviest load"]
    lines += [
        f"{step.turned:5.0f}°  {up(step.head_kg)}; {up(step.tail_kg)}"
        for step in answer.steps
        if round(step.turned) % every == 0 or step is answer.steps[-1]
    ]
    for label, worst in (("head", answer.worst_head), ("tail", answer.worst_tail)):
        if worst is not None:
            kg = worst.head_kg if label == "head" else worst.tail_kg
            lines.append(f"most on the {label} hook: {up(kg)} at {worst.turned:.0f}°")
    return "\n".join([*lines, "", *answer.cautions])
