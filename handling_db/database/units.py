"""Which records of a collection belong together, so that a question about one unit need read no other.

Two records belong together where one names the other, a figure of it or, as a note does, something held in
it. What a shop has once, such as its gear and its sources, belongs to every unit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from handling_db.records.collection import KINDS
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
    if isinstance(value, dict):
        if isinstance(value.get("id"), str):
            yield value["id"]
        for item in value.values():
            yield from _ids_in(item)
    elif isinstance(value, list):
        for item in value:
            yield from _ids_in(item)


def words_in(value: Any) -> Iterator[str]:
    """Every text in plain values, keys of mappings too: whatever names another record is among them."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield key
            yield from words_in(item)
    elif isinstance(value, list):
        for item in value:
            yield from words_in(item)
    elif isinstance(value, str):
        yield value


def units(records: Mapping[Key, tuple[Any, Any]]) -> dict[Key, str]:
    """By record, the unit it is in: records of which one may speak of the other share one.

    A unit goes by the first of its components, or by its first record where it has none.

    Parameters
    ----------
    records : mapping of key to (record, its plain values)
        What a shop has once is passed over: all units rest on it.
    """
    own = [key for key in records if key[0] not in SHARED]
    number = {key: place for place, key in enumerate(own)}
    root = list(range(len(own)))

    def find(one: int) -> int:
        while root[one] != one:
            root[one] = root[root[one]]
            one = root[one]
        return one

    def join(one: int, other: int) -> None:
        root[find(one)] = find(other)

    named: dict[str, int] = {}  # the first that goes by a name stands for all that do
    held: dict[str, list[int]] = {}
    about: list[tuple[int, str]] = []
    for key in own:
        record, plain = records[key]
        join(number[key], named.setdefault(key[1], number[key]))
        for what, name in inner_ids(key[0], record, plain):
            if what == "figure":
                join(number[key], named.setdefault(name, number[key]))
            elif what == "held":
                held.setdefault(name, []).append(number[key])
            elif what == "about":
                about.append((number[key], name))
    for key in own:
        for word in words_in(records[key][1]):
            if word in named:
                join(number[key], named[word])
    for note, name in about:
        for holder in held.get(name, ()):
            join(note, holder)
    first_of: dict[int, tuple[bool, Key]] = {}
    for key in own:
        at = find(number[key])
        first_of[at] = min(first_of.get(at, (True, key)), (key[0] != "component", key))
    return {key: _label(*first_of[find(number[key])][1]) for key in own}


def _label(kind: str, code: str) -> str:
    return code if kind == "component" else f"{kind}: {code}"


def unit_of_component(label: str) -> str:
    """A unit as the database has it: empty for what belongs to no component, and so to every unit."""
    return "" if ": " in label else label
