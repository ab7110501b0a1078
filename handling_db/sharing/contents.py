"""What goes into a parcel: a component with everything a receiver needs, or the news since a day."""

from __future__ import annotations

import contextlib
import datetime
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from handling_db.errors import UnknownNameError
from handling_db.records.collection import KINDS, Collection
from handling_db.records.ids import made_at
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.origin import BOOKKEEPING
from handling_db.records.versions import Key
from handling_db.records.written import texts_in, version, written

# What is said about a piece goes along with it; what merely contains it stays at home.
_SAID_OF_IT = ("weighing", "note")
_FIRM = ("component", "joint", "lift group", "job", *_SAID_OF_IT)
_THINGS = tuple(kind for kind in KINDS if kind not in _FIRM and kind not in BOOKKEEPING)
_POINTS_AT_IT = ("joint", "lift group", "job", *_THINGS)


def for_component(collection: Collection, code: str) -> frozenset[Key]:
    """The records a receiver of one component needs.

    Its tree down to the last part; the joints, lift groups, jobs with their open temporary ties, notes and
    weighings that speak of any of it; and the sources, shops, fixtures, movers, gear and materials that
    these name.

    Raises
    ------
    UnknownNameError
        No component has that id.
    """
    if code not in collection.components:
        raise UnknownNameError(f"there is no component {code!r} here; write its id, such as gear-section")
    tree = {code}
    stack = [code]
    while stack:
        for line in collection.components[stack.pop()].parts:
            if line.component in collection.components and line.component not in tree:
                tree.add(line.component)
                stack.append(line.component)
    found: set[Key] = {("component", piece) for piece in tree}
    for kind in _POINTS_AT_IT:
        for record_id, record in collection.of_kind(kind).items():
            if not tree.isdisjoint(texts_in(written(kind, record))):
                found.add((kind, record_id))
    found |= {("weighing", code) for code, w in collection.weighings.items() if w.of in tree}
    # Notes are about the pieces, and about the joints, ties, lift groups, points and gear that come along.
    named = ids_with_notes(collection, found)
    found |= {("note", code) for code, note in collection.notes.items() if note.about.id in named}
    return with_what_they_name(collection, found)


def ids_with_notes(collection: Collection, keys: Iterable[Key]) -> frozenset[str]:
    """Ids of some records and of what stands inside them, ties and pick points: notes may be about any."""
    every = [*keys]
    named = {record_id for _, record_id in every}
    for kind, record_id in every:
        named |= _inside(collection.of_kind(kind)[record_id])
    return frozenset(named)


def _inside(record: Any) -> set[str]:
    """Ids of what stands inside a record and has notes of its own: ties, pick points."""
    points = getattr(record, "pick_points", None)
    inside = {str(point.id) for point in points} if isinstance(points, tuple) else set()
    if isinstance(record, Joint):
        inside |= {tie.key(record.joint) for tie in record.tie_list}
    return inside


def since(collection: Collection, day: datetime.date) -> frozenset[Key]:
    """Every record that carries a date on or after a day, or an id made since, with what these name."""
    found: set[Key] = set()
    for kind, record in collection.records():
        if kind in BOOKKEEPING or kind == "source kind":
            continue
        made = made_at(record.id)
        dates = [*_happened(written(kind, record)), *([made.date()] if made else [])]
        if any(date >= day for date in dates):
            found.add((kind, record.id))
    return with_what_they_name(collection, found)


def not_in(collection: Collection, known: Mapping[Key, Iterable[str]]) -> frozenset[Key]:
    """Every record whose version is not among those an earlier parcel held, with what these name."""
    found = {
        (kind, record.id)
        for kind, record in collection.records()
        if kind not in BOOKKEEPING and version(kind, record) not in set(known.get((kind, record.id), ()))
    }
    return frozenset(found)


def everything(collection: Collection) -> frozenset[Key]:
    """Every record but the marks of what this shop took in and decided."""
    return frozenset((kind, r.id) for kind, r in collection.records() if kind not in BOOKKEEPING)


def with_what_they_name(collection: Collection, keys: Iterable[Key]) -> frozenset[Key]:
    """The records and the sources, shops, fixtures, gear and so on that they name, to the end."""
    things: dict[str, list[Key]] = {}
    for kind in _THINGS:  # by id, so that a text of a record is looked for once and not in every kind
        for code in collection.of_kind(kind):
            things.setdefault(code, []).append((kind, code))
    found = set(keys)
    stack = list(found)
    while stack:
        kind, record_id = stack.pop()
        record = collection.of_kind(kind).get(record_id)
        for text in texts_in(written(kind, record)) if record is not None else ():
            for key in things.get(text, ()):
                if key not in found:
                    found.add(key)
                    stack.append(key)
    return frozenset(found)


def named_outside(collection: Collection, keys: frozenset[Key]) -> tuple[Key, ...]:
    """Components, joints and lift groups that the records name but that stay at home: what they build on."""
    ids = {(kind, record_id) for kind, record_id in keys}
    found: set[Key] = set()
    for kind, record_id in keys:
        record = collection.of_kind(kind).get(record_id)
        if record is None:
            continue  # every version of it lies aside; what those name the receiver will see for himself
        for text in set(texts_in(written(kind, record))):
            for named in ("component", "joint", "lift group"):
                if text in collection.of_kind(named) and (named, text) not in ids:
                    found.add((named, text))
    return tuple(sorted(found))


def _happened(value: Any, key: str = "") -> Iterator[datetime.date]:
    """Every day on which something of the record happened; the days on which something is due left out."""
    if isinstance(value, dict):
        for name, item in value.items():
            yield from _happened(item, name)
    elif isinstance(value, list):
        for item in value:
            yield from _happened(item, key)
    elif key in ("on", "last check", "proof on", "put in on"):
        with contextlib.suppress(ValueError):  # `on` also says what something stands on
            yield datetime.date.fromisoformat(value)
