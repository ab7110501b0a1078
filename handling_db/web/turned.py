"""Long lists turned over like the leaves of a book: one address a leaf, the rest of the address as it was."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

MOST = 1_000_000  # leaves; a number above it is no leaf of any list


@dataclass(frozen=True, slots=True)
class Leaf:
    """Which part of a list is shown, and how to come to the others.

    Parameters
    ----------
    number, of : int
        Counted from 1.
    each : int
        Rows on a leaf.
    path : str
        Of the page, below the prefix of the service.
    before, after : str
        The questions of its address for the leaves beside it, which may be empty.
    """

    number: int
    of: int
    each: int
    path: str
    before: str = ""
    after: str = ""

    @property
    def start(self) -> int:
        """How many rows stand on the leaves before it."""
        return (self.number - 1) * self.each

    @property
    def end(self) -> int:
        """How many stand up to its last."""
        return self.number * self.each


def leaf(request: Any, path: str, rows: int, each: int) -> Leaf:
    """The leaf that an address asks for; the nearest there is where it asks for none of them.

    Parameters
    ----------
    request : Request
    path : str
    rows : int
        In the whole list.
    each : int
        On a leaf.
    """
    asked = (request.args.get("page") or "").strip()
    of = max(-(-rows // each), 1)
    number = min(max(int(asked), 1), of) if asked.isdecimal() and len(asked) < len(str(MOST)) else 1
    others = [
        (name, value) for name in request.args for value in request.args.getlist(name) if name != "page"
    ]
    return Leaf(number, of, each, path, _question(others, number - 1), _question(others, number + 1))


def _question(others: Iterable[tuple[str, str]], number: int) -> str:
    query = [*others, *([("page", str(number))] if number > 1 else [])]
    return f"?{urlencode(query)}" if query else ""
