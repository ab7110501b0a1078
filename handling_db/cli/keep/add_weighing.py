"""``handling-db add-weighing``: what a scale showed, written down at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import FOLDER
from handling_db.cli.keep.asking import ask_for

if TYPE_CHECKING:
    from handling_db.records.collection import Collection

QUESTIONS = (
    ("of", "What was weighed (id of the component)?", True),
    ("gross", "What did the scale show (with unit, such as 21.8 kg)?", True),
    ("tare", "What on it was not the piece (such as 1.25 kg, or none)?", True),
    (
        "plus or minus",
        "How far may the reading be off (such as 0.1 kg; empty: as usual for the scale)?",
        False,
    ),
    ("state", "dry, drained or filled (empty: nobody looked)?", False),
    ("counts", "Everything that is listed of it (as listed; empty: nobody looked)?", False),
    ("without", "What was missing (ids with commas, or none; empty: nobody looked)?", False),
    ("serial", "Serial number (empty: not known)?", False),
    ("source", "Which scale (id of the source)?", True),
    ("by", "Who read it, by role?", True),
)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--of", help="Id of the component.")
@click.option("--gross", help="Reading with unit.")
@click.option("--tare", help="What to take off, with unit; or none.")
@click.option("--plus-or-minus", help="Half-width of its doubt, with unit.")
@click.option("--state", help="dry, drained or filled.")
@click.option("--packed", type=click.Choice(["yes", "no"]), help="Whether packing was on the scale.")
@click.option("--counts", help="'as listed', or ids with commas.")
@click.option("--without", help="'none', or ids with commas.")
@click.option("--checked-by", help="Role of who looked, where something is none (otherwise as --by).")
@click.option("--serial", help="Serial number of the unit.")
@click.option("--source", help="Id of the scale's source record.")
@click.option("--by", help="Role of who read it.")
@click.option("--on", help="Day (default: today).")
@click.option("--replaces", help="Id of the weighing that this one corrects.")
@click.option("--remark", help="Anything else.")
@click.option("--ask", is_flag=True, help="Ask for what is missing even if this is no terminal.")
def command(folder: Path, *, ask: bool, on: str | None, **options: str | None) -> None:
    """Write a weighing into FOLDER; in a terminal it asks for what is not given.

    It gets an id of its own and is never edited: a correction says what it replaces.

    \b
    Example:
      handling-db add-weighing my-records --of auxiliary-drive --gross "21.8 kg" --tare none \\
          --plus-or-minus "0.1 kg" --source floor-scale --by foreman
    """
    from handling_db.files.new_id import new_id
    from handling_db.files.observing import add_record
    from handling_db.loading import day
    from handling_db.sharing.take_in import own_collection

    fields = ask_for(options, QUESTIONS, ask=ask)
    for name, word in (("counts", "as listed"), ("without", "none")):
        value = fields.get(name)
        if isinstance(value, str) and value != word:
            fields[name] = [part.strip() for part in value.split(",") if part.strip()]
    if "none" in (fields.get("tare"), fields.get("without")) and not fields.get("checked by"):
        fields["checked by"] = fields.get("by")
    fields["on"] = day(on, "--on").isoformat()
    own = own_collection(folder)
    target = add_record(folder, own, "weighing", new_id(), fields)
    click.echo(str(target))
    for sentence in _waits(own_collection(folder), fields["of"], target.stem):
        click.echo(sentence)
    for sentence in _contradictions(folder, fields["of"]):
        click.echo(sentence)


def _waits(collection: Collection, code: str, weighing: str) -> list[str]:
    """What to do about a reading of work done, which counts only once somebody confirms it."""
    from handling_db.weights.witness import witnesses

    found = witnesses(collection, collection.components[code])
    if not any(one.id == weighing and one.waits for one in found):
        return []
    return [
        "it was read in the course of work: it waits, and may only raise a plan, until somebody confirms it: "
        f"handling-db job confirm {weighing}"
    ]


def _contradictions(folder: Path, code: str) -> list[str]:
    """What the checker says of the component's figures now."""
    from handling_db.checker.evidence import Evidence
    from handling_db.checker.rules.contradictions import statements_apart
    from handling_db.files.folders import read_collection

    evidence = Evidence(read_collection([folder]).collection)
    return [str(finding) for finding in statements_apart(evidence) if finding.about == code]
