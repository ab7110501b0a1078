"""Two ids for one thing: proposed by name, part number and mass; a person decides (`records/joined.py`)."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from handling_db.quantities.display import with_doubt
from handling_db.quantities.mass import Mass
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.component import Component
from handling_db.weights.witness import Witness, witnesses

ALIKE = 0.85  # names whose letters match so far are looked at, if the masses touch as well


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
