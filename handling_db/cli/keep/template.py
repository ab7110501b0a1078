"""``handling-db template``: a spreadsheet to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import FILE


@click.command()
@click.argument("file", type=FILE)
def command(file: Path) -> None:
    """Write a spreadsheet template to FILE (.xlsx): parts, masses, notes, with drop-downs and help.

    \b
    Example:
      handling-db template my-parts.xlsx
    """
    from handling_db.tables.exports.template import template_file

    if file.suffix.lower() != ".xlsx":
        raise click.UsageError(f"{file}: a template ends in .xlsx")
    template_file(file)
    click.echo(f"{file}: fill it in, then: handling-db sheet {file}")
