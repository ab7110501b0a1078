"""``handling-db tidy``: records in one form, comments kept."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import PATH


@click.command()
@click.argument("paths", nargs=-1, required=True, type=PATH)
@click.option("--check", "only_check", is_flag=True, help="Write nothing; say which files would change.")
def command(paths: tuple[Path, ...], *, only_check: bool) -> None:
    """Put the record files in PATHS into one form: fields in the order of the format, comments kept.

    What nobody looked at (what a whole counts, what holds a joint) is written out as "nobody looked". Every
    file is read again before it is written: it says the same afterwards. To undo, use git.

    Exit status: 2 a file has faults and was left alone, 1 with --check a file would change, else 0.

    \b
    Example:
      handling-db tidy my-records
      handling-db tidy my-records --check
    """
    from handling_db.files.tidy import tidy_paths

    status = 0
    for one in tidy_paths(list(paths), write=not only_check):
        for finding in one.findings:
            click.echo(str(finding))
        if one.why:
            click.echo(f"{one.file}: left alone: {one.why}")
        if one.findings or one.why:
            status = 2
        elif one.changed:
            click.echo(f"{one.file}: {'would change' if only_check else 'tidied'}")
            status = max(status, 1 if only_check else 0)
    raise SystemExit(status)
