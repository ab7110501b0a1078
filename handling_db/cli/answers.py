"""What commands that answer out of records share: where the records are, which unit, how it is printed."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

from handling_db.cli.common import show
from handling_db.cli.options import asked_of, asked_options, loaded, source_options, unit_option

if TYPE_CHECKING:
    from handling_db.loading import Loaded, Reach
    from handling_db.serialise import Answer

    Found: TypeAlias = Loaded
    Told: TypeAlias = Answer[Any]
else:
    Found = Told = Any  # what is named, and what is answered: a command's help reads no records

Command = Callable[..., None]
Ask = Callable[..., Told]


def answered(
    kinds: Sequence[str] = ("component",),
    reach: Reach = "handled",
    *,
    named: str = "name",
    besides: bool = False,
    against: Callable[[Any], bool] = lambda _figures: False,
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
    besides : bool
        With ``--job``, ``--serial``, ``--as-of`` and ``--assume`` too: the question gets them as `besides`,
        as the public interface takes them.
    against : callable
        Whether the figures of an answer say that something is wrong: the command ends with status 1 then.
    """

    def made(ask: Ask) -> Command:
        @functools.wraps(ask)
        def command(**given: Any) -> None:
            found = loaded(given.pop("folders"), given.pop("database"), given.pop(named), kinds, reach)
            unit, as_json = given.pop("unit"), given.pop("as_json")
            if besides:
                words = ("job_id", "serial", "as_of", "assumed")
                given["besides"] = asked_of(*(given.pop(word) for word in words))
            answer = ask(found, **given)
            show(answer, unit, as_json=as_json)
            if against(answer.figures):
                raise SystemExit(1)

        command.__dict__["completed"] = {named: tuple(kinds)}
        return (asked_options if besides else unit_option)(source_options(command))

    return made


answered_of_lift = answered(("lift group",), besides=True)
