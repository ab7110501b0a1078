"""Two ids that a person said are one thing: one id stands for both in every record, and nothing is lost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from handling_db.files.reading import read_record
from handling_db.findings import Finding, fault
from handling_db.records.collection import Collection, Lines, collect
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.origin import BOOKKEEPING, Pairing
from handling_db.records.written import written

# Fields in which the id of a component stands, wherever they occur in a record.
_ID_FIELDS = frozenset(
    {"of", "component", "within", "between", "root", "part", "takes", "leaves", "unit", "stays with",
     "counts", "without", "only for", "for components", "fluid", "blocked by", "side", "together", "pieces"}
)  # fmt: skip
_NOWHERE = Lines("", {})


def joined(collection: Collection) -> tuple[Collection, tuple[Finding, ...]]:
    """The collection with every pairing carried out: one id stands for both, and nothing is lost.

    What was said about the other id is said about the one that is kept: weighings, notes, part lines,
    mass statements, names. A pairing of ids that are not there does nothing.

    Returns
    -------
    Collection
    tuple of Finding
        What could not be a record any more with one id for both, such as a joint of the two, or would be in
        no total any more, at the line of the pairing; such a pairing is not carried out.
    """
    findings: list[Finding] = []
    left = dict(collection.pairings)
    while into := _into(carried := _carried_out(collection, left.values())):
        together, unreadable = _put_together(collection, into)
        if not unreadable:
            return together, tuple(findings)
        for one in unreadable:
            findings += [_told(collection, carried[other], one) for other in one.others]
            for other in one.others:
                left.pop(carried[other].pairing, None)
    return collection, tuple(findings)


def stands_for(collection: Collection, code: str) -> str:
    """The id that stands for a component once every pairing is carried out; its own where none is."""
    return _into(_carried_out(collection, collection.pairings.values())).get(code, code)


@dataclass(frozen=True, slots=True)
class _Unreadable:
    """A record that the reader of its kind refuses with some ids replaced, and what it says."""

    kind: str
    id: str
    others: tuple[str, ...]
    fault: Finding


def _put_together(collection: Collection, into: Mapping[str, str]) -> tuple[Collection, list[_Unreadable]]:
    """The collection with ids replaced, and what cannot be read so; with any the collection is of no use."""
    records: list[tuple[str, Any]] = []
    unreadable: list[_Unreadable] = []
    for kind, record in collection.records():
        if kind == "component" and record.id in into:
            continue
        if kind in BOOKKEEPING:
            records.append((kind, record))
            continue
        plain = written(kind, record)
        changed = _replaced(kind, plain, into)
        if changed == plain:
            records.append((kind, record))
            continue
        _, read, faults = read_record(changed, (), collection.lines.get((kind, record.id), _NOWHERE))
        records.append((kind, record if read is None else read))
        named = tuple(o for o in sorted(into) if _replaced(kind, plain, {o: into[o]}) != plain)
        unreadable += [_Unreadable(kind, record.id, named, one) for one in faults]
    kept = {record.id: place for place, (kind, record) in enumerate(records) if kind == "component"}
    for other, keep in sorted(into.items()):
        place = kept[keep]
        wider = _wider(records[place][1], collection.components[other])
        lines = collection.lines.get(("component", keep), _NOWHERE)
        # again, as a figure of the one that goes may name what goes too
        _, read, faults = read_record(_replaced("component", written("component", wider), into), (), lines)
        known = {one.fault.sentence for one in unreadable if one.id == keep}
        unreadable += [
            _Unreadable("component", keep, (other,), one) for one in faults if one.sentence not in known
        ]
        unreadable += [
            _Unreadable("component", other, (other,), one) for one in _lost(collection, into, other)
        ]
        records[place] = ("component", read or wider)
    return collect(records, collection.lines), unreadable


def _told(collection: Collection, pairing: Pairing, unreadable: _Unreadable) -> Finding:
    """What is wrong, where the pairing stands; where it stands in no file yet, where the record does."""
    kind, code, said = unreadable.kind, unreadable.id, unreadable.fault
    here = collection.place("pairing", pairing.pairing, "same")
    there = said.place if collection.place(kind, code) else None
    about = f"with {pairing.keep!r} for {pairing.same!r}, {kind} {code}"
    if here is not None:
        about += f" ({there})" if there else ""
    field = f"{said.field}: " if here and said.field else ""
    sentence = f"{about} cannot stand as written: {field}{said.sentence} {said.remedy}".rstrip()
    remedy = "If the two are two things, take the pairing out; if they are one, correct the record first."
    return fault(here or there, "same" if here else said.field, sentence, remedy, rule="pairing", about=code)


def _lost(collection: Collection, into: Mapping[str, str], other: str) -> Iterator[Finding]:
    """What only the one that goes lists: it would be in no total, and nobody would miss it."""
    gone, kept = collection.components[other], collection.components[into[other]]
    lines = collection.lines.get(("component", other), _NOWHERE)
    if (kept.kind == "fluid") != (gone.kind == "fluid"):
        told = f"it is of kind {gone.kind} and {kept.id!r} of kind {kept.kind}."
        yield fault(lines.place("kind"), "kind", told)
    below = [line.component for line in gone.parts]
    seen: set[str] = set()
    while below:
        code = below.pop()
        code = into.get(code, code)
        if code not in seen:
            seen.add(code)
            below += [line.component for line in collection.components[code].parts]
    if kept.id in seen:
        told = f"{kept.id!r} is in it: nothing can contain itself."
        yield fault(lines.place("parts"), "parts", told)
    elif gone.parts and not kept.parts:
        told = f"its parts would be in no total, as {kept.id!r} lists none;"
        yield fault(lines.place("parts"), "parts", told, f"keep {other!r}, or list them there.")


def with_masses_of(component: Any, other: Any) -> Any:
    """A component with another version's mass statements added to its own; statements are never edited."""
    have = {statement.key(component.id) for statement in component.masses}
    more = tuple(s for s in other.masses if s.key(component.id) not in have)
    return component.model_copy(update={"masses": (*component.masses, *more)}) if more else component


def _wider(component: Component, gone: Component) -> Component:
    """The component that is kept, with the mass statements and the names of the one that goes."""
    have = {name.lower() for name in (component.id, component.name, *component.also_called)}
    names = dict.fromkeys(
        name for name in (gone.id, gone.name, *gone.also_called) if name.lower() not in have
    )
    wider: Component = with_masses_of(component, gone.model_copy(update={"component": component.id}))
    return wider.model_copy(update={"also_called": (*component.also_called, *names)})


def _carried_out(collection: Collection, pairings: Iterable[Pairing]) -> dict[str, Pairing]:
    """By the id that goes, the pairing that says so: the first of them, where both ids are there."""
    found: dict[str, Pairing] = {}
    for pairing in sorted(pairings, key=lambda one: one.pairing):
        if pairing.keep in collection.components and pairing.same in collection.components:
            found.setdefault(pairing.same, pairing)
    return found


def _into(carried: Mapping[str, Pairing]) -> dict[str, str]:
    """The id that stands for each paired one, chains followed; rings are left alone."""
    found = {}
    for other in carried:
        seen = {other}
        keep = carried[other].keep
        while keep in carried and keep not in seen:
            seen.add(keep)
            keep = carried[keep].keep
        if keep not in seen:
            found[other] = keep
    return found


def _replaced(kind: str, plain: Mapping[str, Any], into: Mapping[str, str]) -> dict[str, Any]:
    """The plain values of a record with ids of components replaced; its own id stays."""
    return {key: value if key == kind else _put(key, value, into) for key, value in plain.items()}


def _put(key: str, value: Any, into: Mapping[str, str]) -> Any:
    if isinstance(value, dict):
        return {name: _put(name, item, into) for name, item in value.items()}
    if isinstance(value, list):
        return [_put(key, item, into) for item in value]
    return into.get(value, value) if key in _ID_FIELDS else value
