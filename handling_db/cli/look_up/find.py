"""``handling-db find``: components and notes by any word or fragment."""

from __future__ import annotations

import click

from handling_db.classes import replace
from handling_db.cli.common import database_option, json_option, open_named, print_json
from handling_db.cli.parameters import Helped
from handling_db.quantities.columns import columns


@click.command(cls=Helped)
@click.argument("text")
@click.option("--most", type=click.IntRange(1, 200), default=20, show_default=True, help="Rows of each kind.")
@database_option
@json_option
def command(text: str, most: int, database: str | None, *, as_json: bool) -> None:
    """Find components and notes that hold the words or fragment TEXT.

    Exit status 1 when nothing is found.

    \b
    Example:
      handling-db find "rear half"
      handling-db find PT34-2
    """
    from handling_db.database.queries import MARK_OFF, MARK_ON, search
    from handling_db.database.queries.jobs import jobs_among
    from handling_db.database.queries.origin import marks_of
    from handling_db.records.open_job import job_words

    connection = open_named(database)
    found = search(connection, text, most)
    came = marks_of(connection)
    # The signs around found words are for pages, which turn them into marks.
    hits = [replace(hit, snippet=hit.snippet.replace(MARK_ON, "").replace(MARK_OFF, "")) for hit in found]
    pieces = {hit.id: hit.title for hit in hits if hit.kind == "component"}
    jobs = jobs_among(connection, tuple(pieces))
    if as_json:
        from dataclasses import asdict

        from handling_db.lookup.json_forms import plain

        told = [{**asdict(hit), "came": came.get((hit.kind, hit.id), "")} for hit in hits]
        print_json({"hits": told, "jobs": plain([job for job, _ in jobs])})
    elif hits:
        for job, about in jobs:
            click.echo(f"{job_words(job)}; about {', '.join(pieces[code] for code in about)}")
        rows = [[hit.kind, hit.id, hit.title, hit.snippet, came.get((hit.kind, hit.id), "")] for hit in hits]
        click.echo(columns(rows, indent=""))
    else:
        click.echo(f"nothing found for {text!r}", err=True)
    raise SystemExit(0 if hits else 1)
