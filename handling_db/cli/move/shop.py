"""``handling-db shop``: everything a shop has beside one lift and move."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import as_of_option, loaded, source_options, unit_option
from handling_db.shop.figures import ShopAnswer


@click.command()
@click.argument("shop")
@click.argument("name")
@click.option("--before", help="Id of the shop that had it before: what did it have that this one lacks?")
@as_of_option
@unit_option
@source_options
def command(
    shop: str,
    name: str,
    before: str | None,
    as_of: str | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """What has SHOP for lifting and moving NAME, as figures, and what is missing?

    Every mover, gear and fixture beside the true figures, and beside every printed figure of the whole.

    \b
    Example:
      handling-db shop low-tarrowby section-off-the-truck --before quay-shed-nine
    """
    from handling_db.loading import day
    from handling_db.shop.answer import shop_answer

    found = loaded(folders, database, name, ("lift group", "component"), "handled")
    collection = found.records
    code = found.code
    first = unit or found.first_unit
    answer = shop_answer(collection, code or name, shop, other=before, as_of=day(as_of))
    if as_json:
        from handling_db.lookup.as_json import plain

        print_json(plain(answer))
        return
    click.echo(shop_text(answer, first))


def shop_text(a: ShopAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    from handling_db.cli.move.fixtures import fixture_lines
    from handling_db.moving.words import beside_words, load_words, truck_lines

    lines = [f"{a.name}: {a.what_name}", f"  {a.first}", "", "What is asked of the hook"]
    for demand in a.demands:
        lines += [f"  {demand.name}: {load_words(demand.load, first=first)}", f"    {demand.words}"]
    lines += ["", "Hooks"]
    for mover in a.movers:
        lines.append(f"  {mover.name}, {mover.kind}: rated {mover.rating}; {mover.planning}")
        lines += [f"    {one.what}: {beside_words(one, first=first)}" for one in mover.beside]
        if mover.not_recorded:
            lines.append(f"    not recorded: {', '.join(mover.not_recorded)}")
        past = " (PAST)" if mover.past else ""
        lines.append(f"    inspection due: {mover.inspection}{past}")
    if not a.movers:
        lines.append("  none recorded: nobody wrote any, or there is none")
    lines += ["", "Trucks"]
    for truck in a.trucks:
        lines.append(f"  {truck.name}{f', with {truck.attachment}' if truck.attachment else ''}")
        lines += [f"    {text}" for text in truck_lines(truck, first=first)]
    lines += ["", "Gear the lift uses"]
    for gear in a.gear:
        lines += [f"  {gear.wanted}: {gear.words}", *(f"    {text}" for text in gear.here)]
    lines += ["", "Fixtures needed"]
    for fixture in a.fixtures:
        lines += fixture_lines(fixture, first)
    since = f" (beside {a.other})" if a.other else ""
    lines += ["", f"Not recorded here{since}", *(f"  {text}" for text in a.lacks)]
    lines += ["", "Not known", *(f"  {text}" for text in a.not_known)]
    lines += ["", "Rules of the shop", *(f"  {text}" for text in a.rules), f"  To call: {a.who_to_call}"]
    return "\n".join((*lines, "", *a.cautions))
