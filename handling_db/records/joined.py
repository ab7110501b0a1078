"""Two ids that a person said are one thing: one id stands for both in every record, and nothing is lost."""

from __future__ import annotations

from typing import Any

from handling_db.records.collection import KINDS, Collection, collect
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.origin import BOOKKEEPING
from handling_db.records.written import written

# Fields in which the id of a component stands, wherever they occur in a record.
_ID_FIELDS = frozenset(
    {"of", "component", "within", "between", "root", "part", "takes", "leaves", "unit", "stays with",
     "counts", "without", "only for", "fluid", "blocked by", "side", "together", "pieces"}
)  # fmt: skip


def joined(collection: Collection) -> Collection:
    """The collection with every pairing carried out: one id stands for both, and nothing is lost.

    What was said about the other id is said about the one that is kept: weighings, notes, part lines,
    mass statements, names. A pairing of ids that are not there does nothing.
    """
    into = _renamed(collection)
    if not into:
        return collection
    records: list[tuple[str, Any]] = []
    for kind, record in collection.records():
        if kind == "component" and record.id in into:
            continue
        if kind in BOOKKEEPING:
            records.append((kind, record))
            continue
        plain = written(kind, record)
        changed = {key: value if key == kind else _put(key, value, into) for key, value in plain.items()}
        records.append((kind, record if changed == plain else KINDS[kind].model_validate(changed)))
    kept = {record.id: place for place, (kind, record) in enumerate(records) if kind == "component"}
    for other, keep in sorted(into.items()):
        gone = collection.components[other]
        place = kept[keep]
        component = records[place][1]
        renamed = gone.model_copy(update={"component": keep})
        names = (*component.also_called, *_new_names(component, gone))
        wider = with_masses_of(component, renamed)
        records[place] = ("component", wider.model_copy(update={"also_called": names}))
    return collect(records, collection.lines)


def with_masses_of(component: Any, other: Any) -> Any:
    """A component with another version's mass statements added to its own; statements are never edited."""
    have = {statement.key(component.id) for statement in component.masses}
    more = tuple(s for s in other.masses if s.key(component.id) not in have)
    return component.model_copy(update={"masses": (*component.masses, *more)}) if more else component


def _new_names(component: Component, gone: Component) -> tuple[str, ...]:
    have = {name.lower() for name in (component.id, component.name, *component.also_called)}
    names = dict.fromkeys(
        name for name in (gone.id, gone.name, *gone.also_called) if name.lower() not in have
    )
    return tuple(names)


def _renamed(collection: Collection) -> dict[str, str]:
    """The id that stands for each paired one, chains followed; rings are left alone."""
    direct: dict[str, str] = {}
    for _, pairing in sorted(collection.pairings.items()):
        if pairing.keep in collection.components and pairing.same in collection.components:
            direct.setdefault(pairing.same, pairing.keep)
    found = {}
    for other in direct:
        seen = {other}
        keep = direct[other]
        while keep in direct and keep not in seen:
            seen.add(keep)
            keep = direct[keep]
        if keep not in seen:
            found[other] = keep
    return found


def _put(key: str, value: Any, into: dict[str, str]) -> Any:
    if isinstance(value, dict):
        return {name: _put(name, item, into) for name, item in value.items()}
    if isinstance(value, list):
        return [_put(key, item, into) for item in value]
    return into.get(value, value) if key in _ID_FIELDS else value
