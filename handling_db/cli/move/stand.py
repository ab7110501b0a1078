"""``handling-db stand``: how far to every edge, and at what tilt it goes over."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.common import print_json
from handling_db.cli.move.options import move_options, question_of
from handling_db.cli.options import loaded


@click.command()
@click.argument("name")
@move_options
def command(name: str, *, as_json: bool, **options: Any) -> None:
    """How does NAME stand on its face: distance to every edge and tilt at which it goes over?

    The doubt of the centre of gravity and the slope are taken off. Static figures.

    \b
    Example:
      handling-db stand upper-half-lift --slope "3 deg"
      handling-db stand turn-onto-front-face --face front-face --assume "auxiliary-drive=19 kg to 25 kg"
    """
    from handling_db.moving.answer import move_answer
    from handling_db.moving.text import stand_text

    found = loaded(options["folders"], options["database"], name, ("lift group", "component"), "handled")
    collection = found.records
    code = found.code
    first = found.first_unit
    answer = move_answer(collection, question_of(code or name, options))
    if as_json:
        from handling_db.lookup.as_json import plain

        print_json(
            {
                "id": answer.id,
                "standing": plain(answer.standing),
                "must_not_rest_on": list(answer.must_not),
                "not_known": list(answer.not_known),
                "cautions": list(answer.cautions),
            }
        )
        return
    click.echo(stand_text(answer, options["unit"] or first))
