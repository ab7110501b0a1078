"""``handling-db move``: where it goes, on what, with which truck, along which way."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.common import print_json
from handling_db.cli.completion import names
from handling_db.cli.move.options import PIECE, asked_of, move_options
from handling_db.cli.options import loaded


@click.command()
@click.argument("name", shell_complete=names("lift group", "component"))
@click.option("--scale", metavar="MASS", help="What your own scale showed, to put beside the paper.")
@click.option("--scale-doubt", metavar="MASS", help="Half-width of the doubt of that scale, such as 1 kg.")
@move_options
def command(name: str, scale: str | None, scale_doubt: str | None, *, as_json: bool, **options: Any) -> None:
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
    from handling_db.loading import day
    from handling_db.moving.as_json import dock_json
    from handling_db.moving.dock_scale import against_scale
    from handling_db.moving.words import dock_words

    found = loaded(options["folders"], options["database"], name, PIECE, "handled")
    answer = hd.move(found.records, found.id, as_of=day(options["as_of"]), **asked_of(options))
    dock = None
    if scale is not None or scale_doubt is not None:
        seen, doubt = kilograms(scale, "--scale"), kilograms(scale_doubt, "--scale-doubt")
        dock = against_scale(answer.figures, seen, doubt)
    first = options["unit"] or found.first_unit
    if as_json:
        print_json(
            {
                **answer.to_json(marked=False),
                "scale": dock_json(dock, first=first),
            }
        )
        return
    if dock is not None:
        told = dock_words(dock, first=first)
        click.echo("\n".join(("Paper and scale", *(f"  {line}" for line in told), "")))
    click.echo(answer.words(first=options["unit"], marked=False))
