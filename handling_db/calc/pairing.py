"""Two ids for one thing: proposed by name, part number and mass, joined only where a person says so."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from handling_db.calc.merging import with_masses_of
from handling_db.calc.witness import Witness, witnesses
from handling_db.display import with_doubt
from handling_db.mass import Mass
from handling_db.records.collection import KINDS, Collection, collect
from handling_db.records.component import Component
from handling_db.records.origin import BOOKKEEPING
from handling_db.records.written import written

ALIKE = 0.85  # names whose letters match so far are looked at, if the masses touch as well

# Fields in which the id of a component stands, wherever they occur in a record.
_ID_FIELDS = frozenset(
    {"of", "component", "within", "between", "root", "part", "takes", "leaves", "unit", "stays with",
     "counts", "without", "only for", "fluid", "blocked by", "side", "together"}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Likeness:
    """Two ids that may be one thing, and what speaks for it. It decides nothing."""

    own: str
    other: str
    reasons: tuple[str, ...]


def likenesses(own: Collection, sent: Collection) -> tuple[Likeness, ...]:
    """Components of another shop, under an id not known here, that may be one of ours.

    Proposed where the part number or a name is the same, or where a name is alike and the masses touch.

    Returns
    -------
    tuple of Likeness
        By the other's id, the one with more reasons first.
    """
    known = {*own.components, *(pairing.same for pairing in own.pairings.values())}
    new = [component for code, component in sorted(sent.components.items()) if code not in known]
    found = []
    ours = {code: (_names(component), _number(component)) for code, component in own.components.items()}
    for other in new:
        names, number = _names(other), _number(other)
        for code, (own_names, own_number) in sorted(ours.items()):
            reasons = []
            if number and number == own_number:
                reasons.append(f"both have part number {other.part_number}")
            same = sorted(names & own_names)
            if same:
                reasons.append(f"both are called {same[0]!r}")
            alike = bool(same) or _alike(names, own_names)
            if not reasons and not alike:
                continue
            if not same and alike:
                reasons.append(f"the names {own.components[code].name!r} and {other.name!r} are alike")
            masses = _masses(own, own.components[code], sent, other)
            reasons += [masses[0]] if masses else []
            if same or (number and number == own_number) or (masses and masses[1]):
                found.append(Likeness(code, other.id, tuple(reasons)))
    return tuple(sorted(found, key=lambda like: (like.other, -len(like.reasons), like.own)))


def _names(component: Component) -> frozenset[str]:
    return frozenset(" ".join(name.lower().split()) for name in (component.name, *component.also_called))


def _number(component: Component) -> str:
    return "".join(sign for sign in (component.part_number or "").upper() if sign.isalnum())


def _alike(names: frozenset[str], others: frozenset[str]) -> bool:
    return any(
        difflib.SequenceMatcher(None, one, two).quick_ratio() >= ALIKE
        and difflib.SequenceMatcher(None, one, two).ratio() >= ALIKE
        for one in names
        for two in others
    )


def _masses(
    own: Collection, component: Component, sent: Collection, other: Component
) -> tuple[str, bool] | None:
    """What the best figures of both say, and whether they touch; None where one has none."""
    one, two = _best(own, component), _best(collect([*own.records(), *_sources(sent)]), other, sent)
    if one is None or two is None:
        return None
    touch = one.low <= two.high and two.low <= one.high
    word = "touch" if touch else "lie apart"
    return f"their masses {word}: {with_doubt(one)} here, {with_doubt(two)} there", touch


def _sources(sent: Collection) -> Iterator[tuple[str, Any]]:
    yield from (("source", source) for source in sent.sources.values())
    yield from (("source kind", kind) for kind in sent.source_kinds.values())


def _best(collection: Collection, component: Component, weighed_in: Collection | None = None) -> Mass | None:
    if weighed_in is not None:
        more = [("weighing", w) for w in weighed_in.weighings_of(component.id)]
        collection = collect([*collection.records(), *more])
    found: tuple[Witness, ...] = witnesses(collection, component)
    usable = [witness for witness in found if witness.chosen]
    return usable[0].mass if usable else None


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
