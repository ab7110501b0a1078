"""Which records of a collection belong together, so that a question about one unit need read no other.

Two records belong together where one names the other, a figure of it or, as a note does, something held in
it. What a shop has once, such as its gear and its sources, belongs to every unit.
"""

from __future__ import annotations

import bisect
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from handling_db.findings import Place
from handling_db.records.collection import KINDS, Lines
from handling_db.records.kinds.component import Component

Key = tuple[str, str]
"""Kind and id of a record."""

# What a shop has once, and records of all its units rest on: where one of them changes, the whole is built.
SHARED = frozenset(
    {
        "source",
        "source kind",
        "material",
        "gear",
        "fixture",
        "mover",
        "shop",
        "pallet",
        "packing",
        "origin",
        "aside",
        "review",
        "pairing",
    }
)


def inner_ids(kind: str, record: Any, plain: Any) -> Iterator[tuple[str, str]]:
    """Ids inside a record, each with what it is of: a figure, a part line, or anything held in it.

    What a note says about a pick point, a tie or the like is looked for in all records: ``about``.
    """
    if isinstance(record, Component):
        yield from (("figure", statement.key(record.id)) for statement in record.masses)
        yield from (("line", line.id) for line in record.parts if line.id is not None)
    if kind == "weighing":
        yield "figure", record.id
    if kind == "note" and record.about.kind not in KINDS:
        yield "about", record.about.id
    yield from (("held", name) for name in _ids_in(plain))


def _ids_in(value: Any) -> Iterator[str]:
    waiting = [value]
    while waiting:
        here = waiting.pop()
        if isinstance(here, dict):
            if isinstance(here.get("id"), str):
                yield here["id"]
            waiting += here.values()
        elif isinstance(here, list):
            waiting += here


def words_in(value: Any) -> Iterator[str]:
    """Every text in plain values, keys of mappings too: whatever names another record is among them."""
    waiting = [value]
    while waiting:
        here = waiting.pop()
        if isinstance(here, str):
            yield here
        elif isinstance(here, dict):
            yield from here
            waiting += here.values()
        elif isinstance(here, list):
            waiting += here


def units(records: Mapping[Key, tuple[Any, Any]]) -> dict[Key, str]:
    """By record, the unit it is in: records of which one may speak of the other share one.

    A unit goes by the first of its components, or by its first record where it has none.

    Parameters
    ----------
    records : mapping of key to (record, its plain values)
        What a shop has once is passed over: all units rest on it.
    """
    found = UnitsOf()
    for key, (record, plain) in records.items():
        found.add(key, record, plain)
    return found.labels(lambda key: records[key][1])


class UnitsOf:
    """Finds the units of records that come one by one, so that they need not all be held."""

    def __init__(self) -> None:
        self._own: list[Key] = []
        self._root: list[int] = []
        self._named: dict[str, int] = {}  # the first that goes by a name stands for all that do
        self._held: dict[str, list[int]] = {}
        self._about: list[tuple[int, str]] = []

    def add(self, key: Key, record: Any, plain: Any) -> None:
        """One more record, from itself and its plain values."""
        if key[0] in SHARED:
            return
        number = len(self._own)
        self._own.append(key)
        self._root.append(number)
        self._join(number, self._named.setdefault(key[1], number))
        for what, name in inner_ids(key[0], record, plain):
            if what == "figure":
                self._join(number, self._named.setdefault(name, number))
            elif what == "held":
                self._held.setdefault(name, []).append(number)
            elif what == "about":
                self._about.append((number, name))

    def labels(self, plain_of: Callable[[Key], Any]) -> dict[Key, str]:
        """By record, the unit it is in, once all are there; `plain_of` gives the plain values of one."""
        for number, key in enumerate(self._own):
            for word in words_in(plain_of(key)):
                if word in self._named:
                    self._join(number, self._named[word])
        for note, name in self._about:
            for holder in self._held.get(name, ()):
                self._join(note, holder)
        first_of: dict[int, tuple[bool, Key]] = {}
        for number, key in enumerate(self._own):
            at = self._find(number)
            first_of[at] = min(first_of.get(at, (True, key)), (key[0] != "component", key))
        return {key: _label(*first_of[self._find(number)][1]) for number, key in enumerate(self._own)}

    def spoken_of(self, words: Iterable[str]) -> set[Key]:
        """Records that go by one of some words, or hold something that does."""
        found: set[Key] = set()
        for word in words:
            if word in self._named:
                found.add(self._own[self._named[word]])
            found.update(self._own[number] for number in self._held.get(word, ()))
        return found

    def _find(self, one: int) -> int:
        root = self._root
        while root[one] != one:
            root[one] = root[root[one]]
            one = root[one]
        return one

    def _join(self, one: int, other: int) -> None:
        self._root[self._find(one)] = self._find(other)


def _label(kind: str, code: str) -> str:
    return code if kind == "component" else f"{kind}: {code}"


def unit_of_component(label: str) -> str:
    """A unit as the database has it: empty for what belongs to no component, and so to every unit."""
    return "" if ": " in label else label


def first_lines(lines: Mapping[Key, Lines]) -> list[tuple[str, int, Key]]:
    """The file and the first line of every record."""
    return [(own.file, own.place(key[0]).line, key) for key, own in lines.items()]


class Standing:
    """Whose each line of a file is.

    Parameters
    ----------
    first : iterable of (file, line, key)
        The first line of every record.
    """

    def __init__(self, first: Iterable[tuple[str, int, Key]]) -> None:
        self._of: dict[str, list[tuple[int, Key]]] = {}
        for file, line, key in sorted(first):
            self._of.setdefault(file, []).append((line, key))
        self._lines = {file: [line for line, _ in several] for file, several in self._of.items()}

    def owner(self, place: Place | None) -> Key | None:
        """The record that a line belongs to."""
        lines = self._lines.get(place.file) if place else None
        if not lines or place is None:
            return None
        at = bisect.bisect_right(lines, place.line) - 1
        return self._of[place.file][max(at, 0)][1]
