"""``handling-db move``: where it goes, on what, with which truck, along which way."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.move.options import asked_of, move_options
from handling_db.cli.options import PIECE


@click.command()
@click.argument("name")
@click.option("--scale", metavar="MASS", help="What your own scale showed, to put beside the paper.")
@click.option("--scale-doubt", metavar="MASS", help="Half-width of the doubt of that scale, such as 1 kg.")
@move_options
@answered(PIECE)
def command(found: Found, scale: str | None, scale_doubt: str | None, **options: Any) -> Told:
    """Where does NAME (a lift group or a component) go, and what can move it?

    Gross mass, centre of gravity from the fork face from every side, what to look up on the data plate, how
    it stands, what floor, pallet and doors get, and which marks go on. What is not known comes first.

    \b
    Example:
      handling-db move upper-half-lift
      handling-db move upper-half-lift --route bay-to-store --lift-height "300 mm"
      handling-db move upper-half-lift --scale "413 kg" --scale-doubt "1 kg"
      handling-db move gear-section --state dry --assume "auxiliary-drive=19 kg to 25 kg"
    """
    import handling_db as hd
    from handling_db.lifting.asked import kilograms
    from handling_db.moving.as_json import move_json
    from handling_db.moving.dock_scale import against_scale
    from handling_db.moving.words import dock_words

    answer = hd.move(found.records, found.id, **asked_of(**options))
    dock = None
    if scale is not None or scale_doubt is not None:
        seen, doubt = kilograms(scale, "--scale"), kilograms(scale_doubt, "--scale-doubt")
        dock = against_scale(answer.figures, seen, doubt)

    def text(_figures: Any, first: str) -> str:
        told = (
            ()
            if dock is None
            else ("Paper and scale", *(f"  {t}" for t in dock_words(dock, first=first)), "")
        )
        return "\n".join((*told, answer.words(first, marked=False)))

    def as_json(_figures: Any, first: str) -> dict[str, Any]:
        return {**answer.to_json(first, marked=False), "scale": move_json(dock, first=first)}

    return replace(answer, _text=text, _json=as_json)
