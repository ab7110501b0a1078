"""Which of the databases that a Datasette serves are ours. What belongs to others is left alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from weakref import WeakKeyDictionary

from handling_db.database.file import has_mark

OWN = b"handling-own-page"  # marks a failure that is said on a page of ours already; never sent
_INTERNAL = "_internal"
_EMPTY = "_memory"  # what Datasette adds by itself where no file is named
_known: WeakKeyDictionary[Any, bool] = WeakKeyDictionary()  # by database, once its file was read


def is_own(database: Any) -> bool:
    """Whether a database of a Datasette was built by this program."""
    if database not in _known:
        if database.path is None:
            return False
        try:
            _known[database] = has_mark(Path(database.path))
        except OSError:  # not there at the moment: look again
            return False
    return _known[database]


def own_names(datasette: Any) -> list[str]:
    """The names under which databases of this program are served."""
    return [name for name, database in list(datasette.databases.items()) if is_own(database)]


def alone(datasette: Any) -> bool:
    """Whether nothing but databases of this program is served.

    Only then are the start page, every failure and the rules at the edge ours. Among databases of others our
    pages are there too, and everything else is as it would be without this program.
    """
    served = [(name, one) for name, one in list(datasette.databases.items()) if name != _INTERNAL]
    named = [(name, one) for name, one in served if name != _EMPTY or not one.is_memory]
    return bool(named) and all(is_own(one) for _, one in named)


def taken(datasette: Any, path: str) -> bool:
    """Whether an address belongs to a database of somebody else, such as one called ``notes``."""
    first = path.strip("/").partition("/")[0].partition(".")[0]
    return any(first == one.route and not is_own(one) for one in list(datasette.databases.values()))
