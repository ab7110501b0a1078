"""``handling-db notes``: handling notes, stored energy first whatever is asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from handling_db.cli.common import database_option, json_option, mark_from, open_named, print_json
from handling_db.cli.completion import names
from handling_db.cli.parameters import Helped

if TYPE_CHECKING:
    from handling_db.interface.answer_forms import NotesJson


@click.command(cls=Helped)
@click.argument("name", shell_complete=names("component", "joint", "lift group", "fixture"), required=False)
@click.option("--kind", help="Such as tie, turn, stick, set-down.")
@click.option("--shop", help="Id of the shop that wrote them.")
@click.option("--text", help="Words that must be in them.")
@database_option
@json_option
def command(
    name: str | None,
    kind: str | None,
    shop: str | None,
    text: str | None,
    database: str | None,
    *,
    as_json: bool,
) -> None:
    """Show the handling notes of NAME and of what it contains, or of everything.

    Notes on stored energy and pressure come first, whatever the filter. Withdrawn and stale notes stay
    visible and say so.

    \b
    Example:
      handling-db notes differential-section
      handling-db notes --kind tie
    """
    from handling_db.database import queries
    from handling_db.database.queries.jobs import open_jobs
    from handling_db.records.open_job import job_words

    connection = open_named(database)
    code = queries.resolve(connection, name) if name else None
    mark_from(connection, "component" if code else None, code)
    found = queries.notes_for(connection, code=code, kind=kind, shop=shop, text=text)
    jobs = open_jobs(connection, code) if code else ()
    if as_json:
        from handling_db.lookup.as_json import plain

        told: NotesJson = {"notes": found, "jobs": plain(jobs)}
        print_json(told)
        return
    for job in jobs:
        click.echo(job_words(job))
    if not found:
        click.echo("no notes recorded: nobody wrote any, which is not the same as nothing to know", err=True)
        return
    for note in found:
        standing = note.status + (f" ({note.reason})" if note.reason else "")
        click.echo(f"{note.kind.upper()}: {note.text}")
        click.echo(f"    {note.about_name}; {note.author}, {note.on}; {standing} [{note.id}]")
