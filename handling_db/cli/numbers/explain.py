"""``handling-db explain``: what would explain a disagreement. It changes nothing."""

from __future__ import annotations

import click

from handling_db.cli.answers import Found, Told, answered


@click.command()
@click.argument("component")
@answered(reach="around", named="component")
def command(found: Found) -> Told:
    """Where figures of COMPONENT disagree, and every single thing that would explain it.

    Every cause that fits inside the doubt is listed, with how many pairs of parts would fit by chance: one
    that fits is no proof. Nothing is repaired; weigh, look, or record a choice.

    \b
    Example:
      handling-db explain differential-section
    """
    import handling_db as hd

    return hd.explain(found.records, found.id)
