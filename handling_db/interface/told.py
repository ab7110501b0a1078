"""An answer out of records, marked for what it is about."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from handling_db.loading import named
from handling_db.records.proved import Records
from handling_db.serialise import Answer, marked_by

Found = TypeVar("Found")


def told(
    records: Records,
    about: tuple[str | None, Sequence[str]],
    found: Found,
    text: Callable[[Any, str], str],
    write: Callable[..., Any],
) -> Answer[Found]:
    """Figures with their words and their JSON.

    Parameters
    ----------
    records : Records
    about : (name, kinds)
        What was asked about, and the kinds of record that may go by the name; None for everything.
    found : frozen dataclass
    text, write : callable
        As `Answer` takes them; both are told which unit comes first.
    """
    name, kinds = about
    marks = marked_by(records, None if name is None else named(records, name, kinds))
    return Answer(found, records.first_unit, text, write, True, marks)
