"""How the figure of a piece narrowed as weighings came in: what the evidence allowed before, and since when.

The figures in force are taken in the order in which they came: a weighing counts from its day, a reading of
work done from the day on which somebody confirmed it. Printed figures have been there all along.
"""

from __future__ import annotations

import datetime
from dataclasses import replace
from fractions import Fraction
from weakref import WeakKeyDictionary

from handling_db.balance.together.body import Limit
from handling_db.balance.together.reach import AllEvidence
from handling_db.records.collection import Collection
from handling_db.records.kinds.weighing import Weighing
from handling_db.weights.answer import Narrowed
from handling_db.weights.tree import Node
from handling_db.weights.witness import Witness

MOST_DAYS = 6  # the last days on which weighings came in; what is older counts as there before
LEAST_SHARE = Fraction(1, 50)  # of the width before; smaller changes are no line, a choice of this program
MOST_COMPONENTS = 2_000  # of a larger collection nobody is told how its figures narrowed

_kept: WeakKeyDictionary[AllEvidence, tuple[tuple[str, AllEvidence, tuple[Witness, ...]], ...]] = (
    WeakKeyDictionary()
)


def narrowed(evidence: AllEvidence, which: Node) -> tuple[Narrowed, ...]:
    """The dry limits of a piece before any weighing, and after each day that changed them.

    Parameters
    ----------
    evidence : AllEvidence
        As it is now.
    which : (component id, build)

    Returns
    -------
    tuple of Narrowed
        Empty where no weighing changed anything.
    """
    found: list[Narrowed] = []
    for day, then, came in _days(evidence):
        reach = then.of(which, "dry")
        if reach is None:
            return ()
        if not found or _shows(found[-1], reach.low, reach.high):
            found.append(Narrowed(day, reach.low, reach.high, tuple(_words(one) for one in came)))
    return tuple(found) if len(found) > 1 else ()


def _shows(before: Narrowed, low: Fraction, high: Limit) -> bool:
    """Whether the limits changed by enough to be worth a line."""
    if before.high is None or high is None:
        return (before.high is None) != (high is None) or low != before.low
    changed = abs(Fraction(before.low) - low) + abs(Fraction(before.high) - high)
    return changed > LEAST_SHARE * (Fraction(before.high) - Fraction(before.low))


def _days(evidence: AllEvidence) -> tuple[tuple[str, AllEvidence, tuple[Witness, ...]], ...]:
    """Each day on which members came in, all the evidence as it was then, and what came."""
    if evidence not in _kept:
        _kept[evidence] = tuple(_work_out(evidence))
    return _kept[evidence]


def _work_out(evidence: AllEvidence) -> list[tuple[str, AllEvidence, tuple[Witness, ...]]]:
    collection = evidence.judge.collection
    used = {w.id: w for w, _ in evidence.recorded.figures if w.id in collection.weighings}
    since: dict[datetime.date, list[str]] = {}
    for code in used:
        since.setdefault(_since(collection.weighings[code]), []).append(code)
    days = sorted(since)
    if not days or len(collection.components) > MOST_COMPONENTS:
        return []
    first = days[-MOST_DAYS:]
    before = {code for day in days if day < first[0] for code in since[day]}
    found = [("", _with(collection, evidence, before), ())]
    stages: list[tuple[str, AllEvidence, tuple[Witness, ...]]] = [*found]
    for day in first:
        before |= set(since[day])
        then = evidence if day == first[-1] else _with(collection, evidence, before)
        stages.append((day.isoformat(), then, tuple(used[code] for code in sorted(since[day]))))
    return stages


def _since(weighing: Weighing) -> datetime.date:
    return weighing.on if weighing.confirmed is None else weighing.confirmed.on


def _with(collection: Collection, evidence: AllEvidence, weighings: set[str]) -> AllEvidence:
    """All the evidence with no weighings but these."""
    kept = {code: collection.weighings[code] for code in sorted(weighings)}
    then = replace(collection, weighings=kept)
    given = [(code, dict(build)) for code, build in evidence.recorded.tree.start if build]
    return AllEvidence(then, asked=given)


def _words(witness: Witness) -> str:
    confirmed = f", confirmed by {witness.confirmed}" if witness.confirmed else ""
    return f"{witness.printed} ({witness.source.name}{confirmed})"
