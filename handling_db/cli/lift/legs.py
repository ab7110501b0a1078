"""``handling-db legs``: what each leg carries, with the recorded pick points or others."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import asked_options, loaded, question, source_options


@click.command()
@click.argument("name")
@click.option(
    "--point",
    "points",
    multiple=True,
    metavar="POINT[=LENGTH]",
    help="Use this pick point, with a leg this long; repeat for each leg. Otherwise those recorded.",
)
@asked_options
@source_options
def command(
    name: str,
    points: tuple[str, ...],
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
    """What each leg of the lift group NAME carries, which go slack, and where it comes to rest.

    \b
    Example:
      handling-db legs upper-half-with-brake
      handling-db legs upper-half-lift --point cover-ear-90 --point cover-ear-330="950 mm"
    """
    from handling_db.lifting.answer import lift_answer
    from handling_db.lifting.as_json import lift_json
    from handling_db.lifting.asked import metres
    from handling_db.lifting.notices import first_lines, reasons
    from handling_db.lifting.words import (
        centre_words,
        joined,
        leg_lines,
        load_words,
        point_words,
        rating_words,
    )

    found = loaded(folders, database, name, ("lift group",), "handled")
    collection, name = found.records, found.id
    picks = {point.partition("=")[0]: metres(point.partition("=")[2] or None, "--point") for point in points}
    asked = question(collection, job_id, serial, as_of, assumed, picks=picks or None)
    answer = lift_answer(collection, name, asked)
    if as_json:
        whole = lift_json(answer, first=unit or found.first_unit)
        kept = ("units", "id", "first", "lift", "centre", "no_centre", "legs", "no_legs")
        print_json({key: whole[key] for key in (*kept, "points", "ratings", "cautions")})
        return
    first = unit or found.first_unit
    lines = [text for _, text in first_lines(answer.first, first=first)]
    lines.append("")
    lines += [f"on the legs: {load_words(answer.lift, first=first)}", *centre_words(answer), ""]
    lines += leg_lines(answer, first=first)
    lines += [rating_words(rating, first=first) for rating in answer.ratings]
    lines += [point_words(point) for point in answer.points]
    lines += ["", "Why, in the same order", *(f"  {text}" for text in reasons(answer.first, first=first))]
    click.echo(joined([*lines, "", *answer.cautions]))
