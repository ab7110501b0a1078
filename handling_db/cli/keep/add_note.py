"""``handling-db add-note``: what was learned, written down at once."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import FILE, FOLDER
from handling_db.cli.keep.asking import ask_for

QUESTIONS = (
    ("about", "About what (such as component=gear-section)?", True),
    ("kind", "Which kind (tie, stick, turn, set-down, ...)?", True),
    ("text", "What to look for, before the act, in a sentence or two?", True),
    ("hazard", "What happens without it (empty: nothing known)?", False),
    ("exposed", "To whom (empty: nothing known)?", False),
    ("attitude", "Which way up is it then (empty: any)?", False),
    ("gear used", "What gear was used (empty: none)?", False),
    ("rated", "What was that gear rated (such as 500 kg, or none; empty: not known)?", False),
    ("seen", "How often and where was it seen (empty: not said)?", False),
    ("author", "Your role?", True),
)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--about", metavar="KIND=ID", help="One thing, such as component=gear-section or joint=...")
@click.option("--kind", help="Such as tie, stick, turn, set-down.")
@click.option("--text", help="What to look for, before the act.")
@click.option("--hazard", help="What happens without it.")
@click.option("--exposed", help="To whom.")
@click.option("--attitude", help="Which way up it is then.")
@click.option("--state", help="dry, drained or filled.")
@click.option("--reading", help="What the load cell showed, with unit.")
@click.option("--gear-used", help="What gear was used.")
@click.option("--rated", help="What that gear is rated, with unit; or none.")
@click.option(
    "--told-by", default="shop", show_default=True, help="book, shop, maker's bulletin or incident."
)
@click.option("--source", help="Id of the source, for a book or a bulletin.")
@click.option("--author", help="Role of who writes it.")
@click.option("--shop", help="Id of the shop.")
@click.option("--seen", help="How often, and in which shops.")
@click.option("--model", help="Model it holds for.")
@click.option("--serials", metavar="FROM-TO", help="Serial numbers it holds for, such as 1001-1999.")
@click.option(
    "--fact", "facts", multiple=True, metavar="NAME=VALUE", help="A particular of its kind; repeat."
)
@click.option("--photo", type=FILE, help="Kept beside the records.")
@click.option("--on", help="Day (default: today).")
@click.option("--replaces", help="Id of the note that this one corrects.")
@click.option("--ask", is_flag=True, help="Ask for what is missing even if this is no terminal.")
def command(
    folder: Path,
    *,
    ask: bool,
    on: str | None,
    model: str | None,
    serials: str | None,
    facts: tuple[str, ...],
    photo: Path | None,
    **options: str | None,
) -> None:
    """Write a note into FOLDER as a draft; in a terminal it asks for what is not given.

    It gets an id of its own and is never edited: a correction says what it replaces.

    \b
    Example:
      handling-db add-note my-records --about component=gear-section --kind set-down --author fitter \\
          --text "On 150 mm of wood: the input flange stands proud." --fact "base=150 mm of wood"
    """
    from handling_db.files.new_id import new_id
    from handling_db.files.observing import add_record, keep_picture
    from handling_db.loading import day
    from handling_db.sharing.take_in import own_collection

    fields = ask_for(options, QUESTIONS, ask=ask)
    fields["about"] = _pair("--about", fields["about"])
    fields["facts"] = {name: value for fact in facts for name, value in _pair("--fact", fact).items()} or None
    if model is not None:
        fields["fits"] = [{"model": model, **_serials(serials)}]
    elif serials is not None:
        raise click.UsageError("--serials needs --model: serial numbers of which?")
    fields["on"] = day(on, "--on").isoformat()
    fields["status"] = "draft"
    own = own_collection(folder)
    if photo is not None:
        fields["photo"] = keep_picture(folder, photo)
    click.echo(str(add_record(folder, own, "note", new_id(), fields)))


def _pair(option: str, text: str) -> dict[str, str]:
    name, sign, value = (part.strip() for part in text.partition("="))
    if not sign or not name or not value:
        raise click.UsageError(f"{option} {text!r}: write NAME=VALUE")
    return {name: value}


def _serials(text: str | None) -> dict[str, dict[str, str]]:
    if text is None:
        return {}
    first, sign, last = (part.strip() for part in text.partition("-"))
    if not sign or not (first or last):
        raise click.UsageError(f"--serials {text!r}: write FROM-TO, such as 1001-1999 or 1150-")
    ends = {name: end for name, end in (("from", first), ("to", last)) if end}
    return {"serials": ends}
