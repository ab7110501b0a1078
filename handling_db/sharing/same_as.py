"""Two ids for one thing: proposed by name, part number and mass; a person decides (`records/joined.py`)."""

from __future__ import annotations

import difflib
import functools
from collections.abc import Iterable, Iterator, Mapping
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


@dataclass(frozen=True, slots=True)
class GoesBy:
    """What a component goes by, as far as it may stand for one thing under two ids.

    Parameters
    ----------
    names : frozenset of str
        Its name and what it is also called, in small letters.
    number : str
        Its part number, letters and digits only; empty for none.
    """

    names: frozenset[str]
    number: str


def goes_by(name: str, also_called: Iterable[str], part_number: str | None) -> GoesBy:
    """What a component goes by, from its name, what else it is called and its part number."""
    names = frozenset(" ".join(text.lower().split()) for text in (name, *also_called))
    return GoesBy(names, "".join(sign for sign in (part_number or "").upper() if sign.isalnum()))


class NamesHere:
    """Our components by what they go by, so that not every one of them is held against every other.

    Parameters
    ----------
    ours : mapping of id to GoesBy
    """

    def __init__(self, ours: Mapping[str, GoesBy]) -> None:
        self._by_name: dict[str, list[str]] = {}
        self._by_number: dict[str, list[str]] = {}
        for code, own in ours.items():
            for name in own.names:
                self._by_name.setdefault(name, []).append(code)
            if own.number:
                self._by_number.setdefault(own.number, []).append(code)
        self._signs = {name: frozenset(name) for name in self._by_name}

    def like(self, other: GoesBy) -> list[str]:
        """Ids of ours that have its part number or its name, or a name that is alike, by id."""
        found = set(self._by_number.get(other.number, ()))
        for one in other.names:
            signs, long = frozenset(one), len(one)
            for two, theirs in self._signs.items():
                # what is no sign of the other's cannot match: most names are told apart without a comparison
                most = min(long - len(signs - theirs), len(two) - len(theirs - signs))
                if 2 * most >= ALIKE * (long + len(two)) and _are_alike(one, two):
                    found.update(self._by_name[two])
        return sorted(found)


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
    if not new:
        return ()
    found = []
    ours = {code: _called(component) for code, component in own.components.items()}
    here = NamesHere(ours)
    for other in new:
        theirs = _called(other)
        near = here.like(theirs)
        weighs = _best(collect([*own.records(), *_sources(sent)]), other, sent) if near else None
        for code in near:
            reasons = []
            same_number = bool(theirs.number) and theirs.number == ours[code].number
            if same_number:
                reasons.append(f"both have part number {other.part_number}")
            same = sorted(theirs.names & ours[code].names)
            if same:
                reasons.append(f"both are called {same[0]!r}")
            elif any(_are_alike(one, two) for one in theirs.names for two in ours[code].names):
                reasons.append(f"the names {own.components[code].name!r} and {other.name!r} are alike")
            masses = _masses(own, own.components[code], weighs)
            reasons += [masses[0]] if masses else []
            if same or same_number or (masses and masses[1]):
                found.append(Likeness(code, other.id, tuple(reasons)))
    return tuple(sorted(found, key=lambda like: (like.other, -len(like.reasons), like.own)))


def _called(component: Component) -> GoesBy:
    return goes_by(component.name, component.also_called, component.part_number)


@functools.lru_cache(maxsize=100_000)
def _are_alike(one: str, two: str) -> bool:
    """Whether the letters of two names match far enough."""
    if one == two:
        return True
    return (
        difflib.SequenceMatcher(None, one, two).quick_ratio() >= ALIKE
        and difflib.SequenceMatcher(None, one, two).ratio() >= ALIKE
    )


def _masses(own: Collection, component: Component, two: Mass | None) -> tuple[str, bool] | None:
    """What the best figures of both say, and whether they touch; None where one has none."""
    one = _best(own, component)
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
