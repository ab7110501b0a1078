"""``handling-db move``: where it goes, on what, with which truck, along which way."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.common import print_json
from handling_db.cli.move.options import move_options, question_of
from handling_db.cli.options import loaded
from handling_db.moving.figures import MoveAnswer


@click.command()
@click.argument("name")
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
    from handling_db.loading import day
    from handling_db.moving.answer import move_answer

    found = loaded(options["folders"], options["database"], name, ("lift group", "component"), "handled")
    collection = found.records
    code = found.code
    first = found.first_unit
    answer = move_answer(collection, question_of(code or name, options), as_of=day(options["as_of"]))
    dock = None
    if scale is not None or scale_doubt is not None:
        from handling_db.lifting.asked import kilograms
        from handling_db.moving.dock_scale import against_scale

        seen, doubt = kilograms(scale, "--scale"), kilograms(scale_doubt, "--scale-doubt")
        dock = against_scale(answer, seen, doubt)
    if as_json:
        from handling_db.lookup.as_json import plain

        print_json({**plain(answer), "scale": plain(dock)})
        return
    text = move_text(answer, options["unit"] or first)
    if dock is not None:
        from handling_db.moving.words import dock_words

        told = "\n".join(f"  {line}" for line in dock_words(dock, first=options["unit"] or first))
        text = f"Paper and scale\n{told}\n\n{text}"
    click.echo(text)


def move_text(a: MoveAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    from handling_db.moving import words as words

    lines = [words.gross_words(a, first=first), f"  {a.name} ({a.id}); {a.gross_words}", f"  {a.first}"]
    lines.append(f"  fluid: {a.state_words}")
    if a.build:
        lines.append(f"  build: {words.build_words(a.build)}")
    lines += ["", "Not known"]
    lines += [f"  {text}" for text in a.not_known] or ["  nothing on the list of this program"]
    lines += ["", "What the gross is made of"]
    lines += [f"  {name}: {mass}" for name, mass in (words.line_words(line, first=first) for line in a.lines)]
    lines += ["", f"Size: {words.size_words(a.size)}"]
    lines += ["", "Forks"]
    lines += [f"  {text}" for text in words.entries_words(a)]
    if a.no_centre:
        lines.append(f"  {a.no_centre}")
    for truck in a.trucks:
        lines.append(f"  {words.truck_title(truck, a)}")
        lines += [f"    {text}" for text in words.truck_lines(truck, first=first)]
        lines += [f"    {text}" for text in words.own_says(truck.says, a)]
    lines += ["", "Standing"]
    lines += stand_lines(a)
    if a.pallet:
        p = a.pallet
        lines += ["", f"Pallet: {p.name}, load spread: {p.spread}"]
        lines.append(f"  {words.beside_words(p.beside, first=first)}; {p.source}")
        lines.append(f"  {p.stacking} Tie down: {a.tie_down}")
        lines += [f"  {text}" for text in words.own_says(p.says, a)]
    if a.feet or a.feet_words:
        lines += ["", "Feet"]
        for foot in a.feet:
            most = "no upper figure" if foot.highest_kg is None else f"up to {foot.highest_kg:.0f} kg"
            pressure = "" if foot.pressure_kpa is None else f", {foot.pressure_kpa:.0f} kPa"
            lines.append(f"  at {foot.at[0] * 1000:.0f}, {foot.at[1] * 1000:.0f} mm: {most}{pressure}")
        lines += [f"  {text}" for text in words.own_says(a.feet_words, a)]
    for floor in a.floors:
        lines += ["", f"Floor: {floor.name}"]
        lines += [f"  {text}" for text in words.floor_words(floor, first=first)]
        lines += [f"  {text}" for text in words.own_says(floor.says, a)]
    for way in a.ways:
        lines += ["", f"Way: {way.name}"]
        lines += [
            f"  {one.name}: straight {words.room_words(one.room_straight, one.straight)}, turned "
            f"{words.room_words(one.room_turned, one.turned)}, above "
            f"{words.room_words(one.room_above, one.above)}"
            for one in way.passages
        ]
        lines += [f"  {text}" for text in words.own_says(way.says, a)]
    lines += ["", f"Held for the journey or still in ({a.ties_words})"]
    lines += [f"  {words.tie_words(tie)}" for tie in a.ties]
    lines += ["", "Marks to put on"]
    lines += [f"  {mark.name}: {mark.why}" for mark in a.marks]
    lines += [f"  {a.gross_mark}", f"  {a.drips}", ""]
    lines += list(a.cautions)
    return "\n".join(lines)


def stand_lines(a: MoveAnswer) -> list[str]:
    """How it stands, edge by edge."""
    from handling_db.moving import words as words

    lines = []
    for stand in a.standing:
        lines.append(f"  {words.stand_words(stand)}")
        lines += [f"    {text}" for text in words.told_edges(stand)[1:]]
        lines += [f"    {text}" for text in words.own_says(stand.says, a)]
    if not a.standing:
        lines.append(f"  {a.no_centre or 'no face is known to stand on'}")
    lines += [f"  must not rest on: {face}" for face in a.must_not]
    return lines
