"""``handling-db heavier``: which of two pieces or lifts is heavier, or that nobody can tell."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import show
from handling_db.cli.completion import names
from handling_db.cli.options import PIECE, as_of_option, loaded, source_options, state_option, unit_option
from handling_db.cli.parameters import Helped

if TYPE_CHECKING:
    from pathlib import Path


@click.command(cls=Helped)
@click.argument("first", shell_complete=names("component", "lift group"))
@click.argument("second", shell_complete=names("component", "lift group"))
@state_option("dry")
@as_of_option
@unit_option
@source_options
def command(
    first: str,
    second: str,
    state: Any,
    as_of: str | None,
    unit: str | None,
    folders: tuple[Path, ...],
    database: str | None,
    *,
    as_json: bool,
) -> None:
    """Which is heavier, FIRST or SECOND? Each is a component or a lift group.

    Compares worst-case ranges and says "cannot tell" where they overlap. A component is taken as listed and
    in the state asked for; a lift group as it is parted, with what is trapped inside.

    \b
    Example:
      handling-db heavier gear-section differential-section
      handling-db heavier lower-half upper-half-lift
    """
    import handling_db as hd
    from handling_db.loading import day, together

    one, other = several = [loaded(folders, database, name, PIECE, "handled") for name in (first, second)]
    answer = hd.heavier(together(several), one.id, other.id, state=state, as_of=day(as_of))
    show(answer, unit, as_json=as_json)
