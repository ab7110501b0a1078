"""``handling-db explain``: what would explain a disagreement. It changes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import loaded, source_options, unit_option

if TYPE_CHECKING:
    pass


@click.command()
@click.argument("component", shell_complete=names("component"))
@unit_option
@source_options
def command(
    component: str, unit: str | None, folders: tuple[Path, ...], database: Path | None, *, as_json: bool
) -> None:
    """Where figures of COMPONENT disagree, and every single thing that would explain it.

    Every cause that fits inside the doubt is listed, with how many pairs of parts would fit by chance: one
    that fits is no proof. Nothing is repaired; weigh, look, or record a choice.

    \b
    Example:
      handling-db explain differential-section
    """
    import handling_db as hd

    found = loaded(folders, database, component, reach="around")
    answer = hd.explain(found.records, found.id)
    show(answer, unit, as_json=as_json)
