"""What commands that answer out of records share: where the records are, which unit, how it is printed."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from handling_db.cli.common import show
from handling_db.cli.options import asked_of, asked_options, loaded, source_options, unit_option

if TYPE_CHECKING:
    from handling_db.loading import Loaded, Reach
    from handling_db.serialise import Answer

Command = Callable[..., None]
Ask = Callable[..., "Answer[Any]"]


def answered(
    kinds: Sequence[str] = ("component",), reach: Reach = "handled", *, named: str = "name"
) -> Callable[[Ask], Command]:
    """Make a command of a question about one thing: with ``--unit``, ``--from``, ``--db`` and ``--json``.

    The question gets the records with the id of what was named, and its own options by name.

    Parameters
    ----------
    kinds : sequence of str
        What may be named.
    reach : str
        How much is read out of a database around it.
    named : str
        The argument that names it.
    """

    def made(ask: Ask) -> Command:
        @functools.wraps(ask)
        def command(**given: Any) -> None:
            found, unit, as_json = _taken(given, kinds, reach, named)
            show(ask(found, **given), unit, as_json=as_json)

        return unit_option(source_options(command))

    return made


def answered_of_lift(ask: Ask) -> Command:
    """The same about a lift group: with ``--job``, ``--serial``, ``--as-of`` and ``--assume`` too.

    The question gets what is asked besides as the public interface takes it.
    """

    @functools.wraps(ask)
    def command(**given: Any) -> None:
        found, unit, as_json = _taken(given, ("lift group",), "handled", "name")
        besides = asked_of(*(given.pop(word) for word in ("job_id", "serial", "as_of", "assumed")))
        show(ask(found, besides, **given), unit, as_json=as_json)

    return asked_options(source_options(command))


def _taken(
    given: dict[str, Any], kinds: Sequence[str], reach: Reach, named: str
) -> tuple[Loaded, str | None, bool]:
    """The records and how the answer is printed, out of what was given to a command."""
    folders: tuple[Path, ...] = given.pop("folders")
    database: Path | None = given.pop("database")
    return loaded(folders, database, given.pop(named), kinds, reach), given.pop("unit"), given.pop("as_json")
