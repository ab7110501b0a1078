"""``handling-db new``: a record to fill in."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("kind")
@click.argument("id", required=False)
@click.option(
    "-o", "--out", type=click.Path(path_type=Path, dir_okay=False), help="File; it must not be there."
)
def command(kind: str, id: str | None, out: Path | None) -> None:
    """Write a valid record of KIND called ID to fill in, with every field it may have.

    What is observed (weighing, note, job) gets an id of its own if you give none.

    \b
    Example:
      handling-db new component gear-section -o my-records/gear-section.yml
      handling-db new weighing
    """
    from handling_db.files.atomic import write_file
    from handling_db.files.editor_line import with_editor_line
    from handling_db.files.new_id import new_id
    from handling_db.files.skeletons import skeleton

    if id is None and kind not in ("weighing", "note", "job"):
        raise click.UsageError(f"give the {kind} an id in plain words, such as gear-section")
    text = skeleton(kind, id or new_id())
    if out is None:
        click.echo(text, nl=False)
        return
    write_file(out, with_editor_line(out, text).encode())
    click.echo(f"{out}: fill it in, then: handling-db check {out.parent}", err=True)
