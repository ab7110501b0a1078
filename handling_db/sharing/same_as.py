"""Two ids for one thing: proposed by name, part number and mass; a person decides (`files/joined.py`)."""

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

FIRST = 8  # of ours are held against each component that is sent; the others are counted
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
        """Ids of ours that may be it: of its part number, then of its name, then of a name that is alike."""
        number = set(self._by_number.get(other.number, ()))
        same = {code for name in other.names for code in self._by_name.get(name, ())}
        found = number | same
        for one in other.names:
            signs, long = frozenset(one), len(one)
            for two, theirs in self._signs.items():
                # what is no sign of the other's cannot match: most names are told apart without a comparison
                most = min(long - len(signs - theirs), len(two) - len(theirs - signs))
                if 2 * most >= ALIKE * (long + len(two)) and _are_alike(one, two):
                    found.update(self._by_name[two])
        return sorted(found, key=lambda code: (code not in number, code not in same, code))


@dataclass(frozen=True, slots=True)
class Beside:
    """Our components among which one is looked for that may be the same thing.

    Parameters
    ----------
    records : Collection
        At least those that `names` gives first for what is sent, with all that they belong with.
    names : NamesHere
        Of all of them.
    """

    records: Collection
    names: NamesHere

    @classmethod
    def of(cls, own: Collection) -> Beside:
        """All components of a collection."""
        return cls(own, NamesHere({code: _goes_by(one) for code, one in own.components.items()}))


def likenesses(
    own: Collection, sent: Collection, beside: Beside | None = None
) -> tuple[tuple[Likeness, ...], Mapping[str, int]]:
    """Components of another shop, under an id not known here, that may be one of ours.

    Proposed where the part number or a name is the same, or where a name is alike and the masses touch. At
    most `FIRST` of ours are held against each: a name that many of ours bear tells little.

    Parameters
    ----------
    own : Collection
        Ours, as far as the parcel speaks of them.
    sent : Collection
    beside : Beside, optional
        All of `own` unless given.

    Returns
    -------
    tuple of Likeness
        By the other's id, the one with more reasons first.
    mapping of the other's id to int
        How many more of ours go by its number, its name or one like it, and were not held against it.
    """
    known = {*own.components, *(pairing.same for pairing in own.pairings.values())}
    new = [component for code, component in sorted(sent.components.items()) if code not in known]
    if not new:
        return (), {}
    found = []
    more: dict[str, int] = {}
    beside = beside or Beside.of(own)
    own = beside.records
    for other in new:
        theirs = _goes_by(other)
        like = beside.names.like(theirs)
        near = like[:FIRST]
        if like[FIRST:]:
            more[other.id] = len(like) - FIRST
        weighs = _best(collect([*own.records(), *_sources(sent)]), other, sent) if near else None
        for code in near:
            reasons = []
            ours = _goes_by(own.components[code])
            same_number = bool(theirs.number) and theirs.number == ours.number
            if same_number:
                reasons.append(f"both have part number {other.part_number}")
            same = sorted(theirs.names & ours.names)
            if same:
                reasons.append(f"both are called {same[0]!r}")
            elif any(_are_alike(one, two) for one in theirs.names for two in ours.names):
                reasons.append(f"the names {own.components[code].name!r} and {other.name!r} are alike")
            masses = _masses(own, own.components[code], weighs)
            reasons += [masses[0]] if masses else []
            if same or same_number or (masses and masses[1]):
                found.append(Likeness(code, other.id, tuple(reasons)))
    return tuple(sorted(found, key=lambda one: (one.other, -len(one.reasons), one.own))), more


def _goes_by(component: Component) -> GoesBy:
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
