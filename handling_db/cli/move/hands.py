"""``handling-db hands``: what is above the shop's hand limit; the revised NIOSH index of one piece."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import loaded, source_options
from handling_db.errors import HandlingError


@click.command()
@click.argument("name")
@click.option("--shop", help="Id of the shop whose limit and rules count.")
@click.option("--reach", type=float, help="Hands from the ankles, H [in or cm]; asks for the index of NAME.")
@click.option("--height", type=float, help="Hands above the floor, V.")
@click.option("--travel", type=float, help="Vertical travel, D.")
@click.option("--turn", "asymmetry", type=float, help="Turning of the trunk, A [degrees].")
@click.option("--per-minute", type=float, help="Lifts per minute; 0.2 for one now and then.")
@click.option("--duration", type=click.Choice(["short", "moderate", "long"]), help="Up to 1 h, 2 h, 8 h.")
@click.option("--grip", type=click.Choice(["good", "fair", "poor"]), help="Oily gloves are a poor grip.")
@click.option(
    "--units", type=click.Choice(["US", "metric"]), default="metric", help="lb and in, or kg and cm."
)
@source_options
def command(
    name: str,
    shop: str | None,
    reach: float | None,
    height: float | None,
    travel: float | None,
    asymmetry: float | None,
    per_minute: float | None,
    duration: str | None,
    grip: str | None,
    units: str,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """Which pieces of NAME are above the shop's limit for lifting by hand? Unknown ones are listed too.

    With the geometry of a lift: the recommended limit and the index of the revised NIOSH equation. A figure
    and an index; who decides is the shop and its people.

    \b
    Example:
      handling-db hands transfer-box --shop quay-shed-nine
      handling-db hands output-gear --reach 40 --height 75 --travel 30 --turn 0 --per-minute 0.2
        --duration short --grip poor
    """
    found = loaded(folders, database, name, ("lift group", "component"), "handled")
    collection = found.records
    code = found.code
    given = (reach, height, travel, asymmetry, per_minute)
    if any(value is not None for value in given):
        if duration is None or grip is None:
            raise HandlingError(
                "the index needs --duration and --grip too; nothing is assumed in their place"
            )
        from handling_db.shop.hands import Reach, index_answer

        index = index_answer(
            collection,
            code or name,
            Reach(
                horizontal=reach,
                vertical=height,
                travel=travel,
                asymmetry=asymmetry,
                per_minute=per_minute,
                duration=duration,  # type: ignore[arg-type]
                coupling=grip,  # type: ignore[arg-type]
                units=units,  # type: ignore[arg-type]
            ),
        )
        if as_json:
            from handling_db.lookup.as_json import plain

            print_json(plain(index))
            return
        unit = "kg" if units == "metric" else "lb"
        load = "not known" if index.load is None else f"{index.load:.1f} {unit}"
        lines = [
            index.remark,
            f"  {index.name}: heaviest believable {load}; recommended limit {index.limit:.1f} {unit}",
        ]
        lines += ["  " + ", ".join(f"{name} {value:.2f}" for name, value in index.multipliers), ""]
        click.echo("\n".join((*lines, *index.cautions)))
        return
    from handling_db.shop.hands import hands_answer
    from handling_db.shop.text import hands_text

    answer = hands_answer(collection, code or name, shop=shop)
    if as_json:
        from handling_db.lookup.as_json import plain

        print_json(plain(answer))
        return
    click.echo(hands_text(answer))
