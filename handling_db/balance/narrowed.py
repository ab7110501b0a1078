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
from handling_db.records.connected import connected, part_of
from handling_db.records.kinds.weighing import Weighing
from handling_db.weights.answer import Narrowed
from handling_db.weights.tree import Node
from handling_db.weights.witness import Witness

MOST_DAYS = 6  # the last days on which weighings came in; what is older counts as there before
LEAST_SHARE = Fraction(1, 50)  # of the width before; smaller changes are no line, a choice of this program
MOST_COMPONENTS = 2_000  # where more hang together nobody is told how their figures narrowed

Stage = tuple[str, AllEvidence | None, tuple[Witness, ...]]
"""A day, all the evidence as it was after it, and the figures that came in on it.

None stands for the evidence as it is now: what is kept by it must not hold it, or it is never let go.
"""

_kept: WeakKeyDictionary[AllEvidence, dict[frozenset[str], tuple[Stage, ...]]] = WeakKeyDictionary()
_told: WeakKeyDictionary[AllEvidence, dict[Node, tuple[Narrowed, ...]]] = WeakKeyDictionary()


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
    told = _told.setdefault(evidence, {})
    if which not in told:  # the same for every state
        told[which] = _narrowed(evidence, which)
    return told[which]


def _narrowed(evidence: AllEvidence, which: Node) -> tuple[Narrowed, ...]:
    found: list[Narrowed] = []
    for day, then, came in _days(evidence, which[0]):
        reach = (then or evidence).of(which, "dry")
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


def _days(evidence: AllEvidence, code: str) -> tuple[Stage, ...]:
    """Each day on which members about what hangs together came in, the evidence as it was then, what came."""
    several = connected(evidence.judge.collection).get(code, frozenset())
    kept = _kept.setdefault(evidence, {})
    if several not in kept:
        kept[several] = tuple(_work_out(evidence, several))
    return kept[several]


def _work_out(evidence: AllEvidence, several: frozenset[str]) -> list[Stage]:
    if not several or len(several) > MOST_COMPONENTS:
        return []
    collection = part_of(evidence.judge.collection, several)
    weighed = evidence.weighed_of
    used = {w.id: w for code in sorted(several) for w in weighed.get(code, ())}
    since: dict[datetime.date, list[str]] = {}
    for code in used:
        since.setdefault(_since(collection.weighings[code]), []).append(code)
    days = sorted(since)
    if not days:
        return []
    first = days[-MOST_DAYS:]
    before = {code for day in days if day < first[0] for code in since[day]}
    stages: list[Stage] = [("", _with(collection, evidence, before), ())]
    for day in first:
        before |= set(since[day])
        then = None if day == first[-1] else _with(collection, evidence, before)
        stages.append((day.isoformat(), then, tuple(used[code] for code in sorted(since[day]))))
    return stages


def _since(weighing: Weighing) -> datetime.date:
    return weighing.on if weighing.confirmed is None else weighing.confirmed.on


def _with(collection: Collection, evidence: AllEvidence, weighings: set[str]) -> AllEvidence:
    """All the evidence of what hangs together with no weighings but these."""
    kept = {code: collection.weighings[code] for code in sorted(weighings)}
    then = replace(collection, weighings=kept)
    tree = evidence.recorded.tree
    nodes = (tree.nodes[node] for code in collection.components for node in evidence.builds_of.get(code, ()))
    return AllEvidence(then, asked=[(code, dict(build)) for code, build in nodes if build])


def _words(witness: Witness) -> str:
    confirmed = f", confirmed by {witness.confirmed}" if witness.confirmed else ""
    return f"{witness.printed} ({witness.source.name}{confirmed})"
