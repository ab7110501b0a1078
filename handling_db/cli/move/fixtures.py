"""``handling-db fixtures``: which one is needed, who has one, what was used instead, was that rated."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import as_of_option, loaded, source_options, unit_option
from handling_db.shop.figures import FixtureAnswer, FixtureLine


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


def fixtures_text(a: FixtureAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    from handling_db.moving.words import load_words

    head = a.name if a.load is None else f"{a.name}: {load_words(a.load, first=first)}"
    lines = [head, *(f"  {text}" for text in a.says)]
    for title, listed in (("Needed", a.needed), ("Others recorded for it", a.others)):
        if listed:
            lines += ["", title]
        for line in listed:
            lines += fixture_lines(line, first)
    return "\n".join((*lines, "", *a.cautions))


def fixture_lines(line: FixtureLine, first: str) -> list[str]:
    """One fixture, indented."""
    from handling_db.moving.words import beside_words

    lines = [f"  {line.name} ({line.id}), {line.kind}: {line.standing}; rated load {line.rated}"]
    lines += [f"    {line.fits}"] if line.fits else []
    lines += [f"    for {name}: {act}" for name, act in line.needed]
    if line.beside is not None:
        lines.append(f"    {line.beside.note}: {beside_words(line.beside, first=first)}")
    lines.append(f"    had by: {', '.join(line.has) or 'no shop is recorded to have one'}")
    past = " (PAST)" if line.past else ""
    lines.append(
        f"    faces: {line.faces}; overhang: {line.overhang}; inspection due: {line.inspection}{past}"
    )
    lines.append(f"    floor: {line.floor}")
    if line.papers_missing:
        lines.append(f"    shop-made, lacks: {', '.join(line.papers_missing)}")
    for used in line.instead:
        lines.append(f"    used instead at {used.shop}: {used.what}; {used.status}")
        lines += [f"      {used.outcome}"] if used.outcome else []
    lines += [f"    {line.remark}"] if line.remark else []
    return lines
