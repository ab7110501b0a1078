"""``handling-db hands``: what is above the shop's hand limit; the revised NIOSH index of one piece."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import PIECE
from handling_db.errors import HandlingError


@click.command()
@click.argument("name")
@click.option("--shop", help="Id of the shop whose limit and rules count.")
@click.option(
    "--reach",
    "horizontal",
    type=float,
    help="Hands from the ankles, H [in or cm]; asks for the index of NAME.",
)
@click.option("--height", "vertical", type=float, help="Hands above the floor, V.")
@click.option("--travel", type=float, help="Vertical travel, D.")
@click.option("--turn", "asymmetry", type=float, help="Turning of the trunk, A [degrees].")
@click.option("--per-minute", type=float, help="Lifts per minute; 0.2 for one now and then.")
@click.option("--duration", type=click.Choice(["short", "moderate", "long"]), help="Up to 1 h, 2 h, 8 h.")
@click.option(
    "--spell",
    "spells",
    multiple=True,
    metavar="WORK/REST",
    help="Instead of --duration: minutes of lifting and of light work after, such as 30/10; repeat.",
)
@click.option(
    "--with", "others", multiple=True, metavar="PIECE", help="Another piece in the same job, lifted alike."
)
@click.option(
    "--grip", "coupling", type=click.Choice(["good", "fair", "poor"]), help="Oily gloves are a poor grip."
)
@click.option(
    "--units", type=click.Choice(["US", "metric"]), default="metric", help="lb and in, or kg and cm."
)
@answered(PIECE)
def command(
    found: Found, shop: str | None, spells: tuple[str, ...], others: tuple[str, ...], **lift: Any
) -> Told:
    """Which pieces of NAME are above the shop's limit for lifting by hand? Unknown ones are listed too.

    With the geometry of a lift: the recommended limit and the index of the revised NIOSH equation. A figure
    and an index; who decides is the shop and its people.

    \b
    Example:
      handling-db hands transfer-box --shop quay-shed-nine
      handling-db hands output-gear --reach 40 --height 75 --travel 30 --turn 0 --per-minute 0.2 \\
        --duration short --grip poor
    """
    import handling_db as hd

    words = ("duration", "coupling", "units")
    if all(value is None for name, value in lift.items() if name not in words):
        return hd.hands(found.records, found.id, shop=shop)
    if spells and lift["duration"] is None:
        lift["duration"] = duration_of(spells)
    if lift["duration"] is None or lift["coupling"] is None:
        raise HandlingError("the index needs --duration and --grip too; nothing is assumed in their place")
    return hd.hand_index(found.records, found.id, others=others, **lift)


def duration_of(spells: Sequence[str]) -> str:
    """``30/10`` and ``45`` as the duration class of the day. [min]

    Raises
    ------
    HandlingError
        Not two numbers with a stroke, or no day that the table knows.
    """
    from handling_db.carrying.lifting_job import duration_class

    read: list[tuple[float, float | None]] = []
    for text in spells:
        work, stroke, rest = text.partition("/")
        try:
            read.append((float(work), float(rest) if stroke else None))
        except ValueError:
            raise HandlingError(
                f"--spell {text!r}: write minutes of lifting and of rest, such as 30/10"
            ) from None
    return duration_class(read)[0]
