"""``handling-db explain``: what would explain a disagreement. It changes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import loaded, source_options, unit_option

if TYPE_CHECKING:
    from handling_db.evidence.answer import ExplainAnswer


@click.command()
@click.argument("component")
@unit_option
@source_options
def command(
    component: str, unit: str | None, folders: tuple[Path, ...], database: Path | None, *, as_json: bool
) -> None:
    """Where figures of COMPONENT disagree, and every single thing that would explain it.

    Every cause that fits inside the doubt is listed, with how many pairs of parts would fit by chance: one
    that fits is no proof. Nothing is repaired; weigh, look, or record a choice.

    \b
    Example:
      handling-db explain differential-section
    """
    from handling_db.balance.explained import explain_answer

    found = loaded(folders, database, component, reach="around")
    collection = found.records
    code = found.id
    first = found.first_unit
    answer = explain_answer(collection, code)
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(explain_text(answer, unit or first))


def explain_text(answer: ExplainAnswer, first: str) -> str:
    """The explanations as lines of text."""
    from handling_db.lookup import number_words
    from handling_db.lookup import words as wording
    from handling_db.quantities.display import counted

    lines = [f"{answer.name} ({answer.id}): {counted(answer.figures, 'figure')} recorded for it"]
    for one in answer.explained:
        state = f", {one.state}" if one.state else ""
        lines += ["", one.sentence(first), f"  {one.source_name}: {one.printed}{state} [{one.statement}]"]
        lines.append("  Any single one of these would explain it:" if one.causes else "")
        lines += [f"  - {words}" for words in number_words.explained_words(one, first=first)]
        lines.append(f"  {number_words.pairs_words(one)}")
    for conflict in answer.conflicts:
        lines += ["", f"Two figures apart: {number_words.conflict_words(conflict, first=first)}"]
    if answer.not_compared:
        lines += ["", "Cannot be checked:"]
        lines += [f"  {said}: {because}" for said, because in answer.not_compared]
    if answer.choices:
        lines += ["", "Decided or open:"]
        lines += [f"  {number_words.choice_words(choice)} [{choice.id}]" for choice in answer.choices]
    if not answer.explained and not answer.conflicts:
        lines += ["", "No recorded figure of it contradicts another. That says nothing about the iron."]
    return "\n".join([*(line for line in lines), "", wording.FIGURES_NOT_PERMISSION])
