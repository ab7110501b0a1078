"""``handling-db pallets``: the pallets recorded, and several pieces onto the fewest of them."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import PIECE, loaded, source_options, unit_option
from handling_db.errors import HandlingError


@click.command()
@click.argument("names", nargs=-1)
@click.option("--pallet", help="Id of the pallet whose rating and size are the limits.")
@click.option(
    "--spread", type=click.Choice(["any", "even", "full surface"]), default="any", show_default=True
)
@click.option("--most", metavar="MASS", help="Mass limit of one pallet or trip instead, such as 500 kg.")
@click.option("--places", type=int, help="How many pieces one pallet or trip takes at most.")
@click.option("--seconds", type=float, default=10.0, show_default=True, help="Longest time for the solver.")
@unit_option
@source_options
def command(
    names: tuple[str, ...],
    pallet: str | None,
    spread: str,
    most: str | None,
    places: int | None,
    seconds: float,
    unit: str | None,
    folders: tuple[Path, ...],
    database: str | None,
    *,
    as_json: bool,
) -> None:
    """Without NAMES: the pallets recorded and their ratings. With NAMES: on how few of them do they go?

    Each piece counts with its heaviest believable mass; one without a mass is not placed and is named.

    \b
    Example:
      handling-db pallets
      handling-db pallets gear-case gear-case-cover differential-case --pallet saddle-pallet
    """
    from handling_db.moving.words import joined, notice_words, told
    from handling_db.shop.pallets import PalletAsked, few_pallets, pallet_list

    several = [loaded(folders, database, name, PIECE, "handled") for name in names or (None,)]
    collection = several[0].records
    first = unit or several[0].first_unit
    if not names:
        listed = pallet_list(collection)
        if as_json:
            print_json({"pallets": [dict(row) for row in listed]})
            return
        lines = []
        for row in listed:
            lines.append(f"{row['name']} ({row['id']}), {row['kind']}: {row['ratings']}")
            lines.append(f"    {row['size']}; own mass {row['own_mass']}; forks from {row['fork_entry']}")
        click.echo(joined(lines, first))
        return
    pieces = {found.id: found.records for found in several}
    if most is None and pallet is None:
        raise HandlingError("say the limit: --pallet ID, or --most MASS such as 500 kg")
    limit = None
    if most is not None:
        from handling_db.quantities.quantity import parse_mass

        limit = float(parse_mass(most).base)
    asked = PalletAsked(pallet=pallet, spread=spread, most_kg=limit, places=places)
    packed = few_pallets(pieces, collection, asked, seconds=seconds)
    if as_json:
        from handling_db.moving.as_json import move_json

        print_json(move_json(packed, first=first))
        return
    proof = (
        "proved smallest" if packed.proved_smallest else f"not proved smallest, at least {packed.at_least}"
    )
    lines = [f"{packed.number} ({proof}; {packed.method})"]
    lines += [
        f"  {number}: {', '.join(load.pieces)}: up to {load.mass_kg:.1f} kg"
        for number, load in enumerate(packed.loads, start=1)
    ]
    lines += [f"  not placed: {name}: {notice_words(why, first=first)}" for name, why in packed.not_placed]
    click.echo(joined([*lines, *told(packed.cautions, first)], first))
