"""The fewest pieces that bring a rest under a limit, with a proof that no smaller set does.

What the rest may weigh is no sum: a weighed whole holds light pieces and heavy rests together. So the choice
is made in turns. A mixed-integer program picks the fewest pieces that keep every cut found so far; the rest
is then weighed by all the evidence; where it is still over the limit, what is missing becomes a new cut. Two
facts make a cut hold for every choice: taking more off never makes the rest heavier, and taking one piece
off makes it lighter by no more than that piece may weigh at most. The program is a lower bound all along, so
the first choice that serves has the fewest pieces (Kelley's method of cutting planes, for a function that
falls by no more than so much a piece).

References
----------
.. [1] J. E. Kelley, "The cutting-plane method for solving convex programs", J. SIAM 8 (1960) 703-712 (from
   memory; held against brute force in tests/oracles).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from handling_db.jobs.lighten.program import PickProgram

MOST_TURNS = 60  # programs for one question; more is said to be not proved
MOST_SETS = 4  # of several units: each is a program of its own
MOST_STEPS = 1500  # of the solver for one question; beyond them no further set is looked for
NEAR = 1e-6  # by which masses that can be true may miss the figure that they come from [kg]

Heaviest = Callable[[frozenset[int]], Sequence[float] | None]


@dataclass(frozen=True)
class Removable:
    """What may come off, and what must be off before what.

    Parameters
    ----------
    most : tuple of float
        By item, what taking it off makes the rest lighter, at most; infinite where nothing bounds it. [kg]
    covers : tuple of tuple of int
        By unit, the items that come off with it, in one act.
    hook : tuple of float
        By unit, what of it needs the hook. [kg]
    rank : tuple of float
        By unit, what it is put behind for where all else is equal: 0 to 999 together.
    before : tuple of frozenset of int
        By item, the items that are off before it, unless they come in the same act.
    sides : tuple of (frozenset of int, frozenset of int)
        The second items are off before the last of the first is: a joint lets go only without its ties.
    freed : frozenset of int
        Units that take a side with its ties: a record says that it is done so.
    along : tuple of frozenset of int
        By unit, items that are off too wherever it is: what it held; empty where nothing is asked.
    barred : frozenset of int
        Units that are not to be chosen.
    unnamed : frozenset of int
        Items that are nothing by themselves: a rest of only these is no rest.
    """

    most: tuple[float, ...]
    covers: tuple[tuple[int, ...], ...]
    hook: tuple[float, ...]
    rank: tuple[float, ...]
    before: tuple[frozenset[int], ...]
    sides: tuple[tuple[frozenset[int], frozenset[int]], ...] = ()
    freed: frozenset[int] = frozenset()
    along: tuple[frozenset[int], ...] = ()
    barred: frozenset[int] = frozenset()
    unnamed: frozenset[int] = frozenset()

    @cached_property
    def named(self) -> frozenset[int]:
        """Items of which one has to stay."""
        return frozenset(range(len(self.most))) - self.unnamed

    def off(self, units: Iterable[int]) -> frozenset[int]:
        """The items that are off with some units."""
        return frozenset(item for unit in units for item in self.covers[unit])

    def in_order(self, units: Iterable[int]) -> tuple[int, ...] | None:
        """The same units, each after what comes before it; None where there is no such order."""
        left = sorted(set(units), key=lambda unit: (self.hook[unit] > 0, self.rank[unit], unit))
        off, found = set[int](), list[int]()
        if self.along and not frozenset().union(*(self.along[unit] for unit in left)) <= self.off(left):
            return None
        while left:
            here = next((unit for unit in left if self._ready(unit, off)), None)
            if here is None:
                return None
            left.remove(here)
            found.append(here)
            off |= set(self.covers[here])
        return tuple(found)

    def next_off(self, unit: int, off: set[int]) -> bool:
        """Whether a unit may come off now, takes anything with it, and leaves something that has a name."""
        own = set(self.covers[unit])
        return not own <= off and not self.named <= off | own and self._ready(unit, off)

    def in_turn(self, key: Callable[[int], float]) -> Iterator[int]:
        """Units that may come off one after the other, the first by a key each time; something stays."""
        off: set[int] = set()
        left = sorted((unit for unit in range(len(self.covers)) if unit not in self.barred), key=key)
        while (here := next((unit for unit in left if self.next_off(unit, off)), None)) is not None:
            left.remove(here)
            off |= set(self.covers[here])
            yield here

    def _ready(self, unit: int, off: set[int]) -> bool:
        own = set(self.covers[unit])
        after = off | own
        if any(not self.before[item] <= after for item in own - off):
            return False
        return unit in self.freed or all(
            ties <= off or not side <= after or side <= off for side, ties in self.sides
        )

    def locked(self, units: Iterable[int]) -> tuple[frozenset[int], frozenset[int]] | None:
        """Units of a choice of which each waits for another, and the units that would free one of them.

        None where no such ring is seen. Where all of the first are chosen, one of the second has to be: what
        the first one of them to come off still waits for is covered by a unit outside the ring.
        """
        chosen = kept = frozenset(units)
        found = self._ring(kept)
        if not found[0]:
            return None
        for unit in sorted(found[0]):  # as few as still wait for one another
            fewer = self._ring(kept - {unit})
            if unit in found[0] and fewer[0] and not fewer[1] & chosen:
                kept, found = kept - {unit}, fewer
        return found

    def _ring(self, kept: frozenset[int]) -> tuple[frozenset[int], frozenset[int]]:
        """What of a choice waits for one another, and the other units that would free one of it."""
        ring = self._waiting(kept)
        off = self.off(kept - ring)
        wanted: set[int] = set()
        lifted: set[int] = set()
        for unit in ring:
            own = set(self.covers[unit])
            wanted |= {one for item in own - off for one in self.before[item]} - off - own
            for side, ties in self._lone_sides(unit, kept):
                wanted |= ties - off
                if self._lifted(side, kept):  # the rest of it before this unit, by whatever takes it
                    wanted |= side - self.off(kept - {unit})
                else:
                    lifted |= side
        frees = {
            unit
            for unit, items in enumerate(self.covers)
            if unit not in kept
            and (not wanted.isdisjoint(items) or (unit in self.freed and not lifted.isdisjoint(items)))
        }
        return ring, frozenset(frees)

    def _waiting(self, units: Iterable[int]) -> frozenset[int]:
        """What is left when everything that may come off has: a side taken piece by piece is let pass."""
        left, off = set(units), set[int]()
        chosen = frozenset(left)
        while True:
            here = [
                unit
                for unit in left
                if all(
                    self.before[item] <= off | set(self.covers[unit]) for item in set(self.covers[unit]) - off
                )
                and all(ties <= off for _, ties in self._lone_sides(unit, chosen))
            ]
            if not here:
                return frozenset(left)
            left -= set(here)
            off |= {item for unit in here for item in self.covers[unit]}

    def _lone_sides(self, unit: int, chosen: frozenset[int]) -> list[tuple[frozenset[int], frozenset[int]]]:
        """The sides that a unit takes whole and no recorded lift with others took before it."""
        if unit in self.freed:
            return []
        own = set(self.covers[unit])
        return [
            (side, ties)
            for side, ties in self.sides
            if side <= own and not (self._lifted(side, chosen) and side <= self.off(chosen - {unit}))
        ]

    def _lifted(self, side: frozenset[int], chosen: frozenset[int]) -> bool:
        """Whether one of the chosen is a recorded lift that takes some of a side."""
        return any(not side.isdisjoint(self.covers[unit]) for unit in chosen & self.freed)


@dataclass(slots=True)
class FoundSets:
    """What was found.

    Parameters
    ----------
    options : list of tuple of int
        Sets of units, best first, each in an order that is allowed.
    proved : bool
        No set of fewer units serves.
    complete : bool
        There is no other set of so few units that serves.
    fewest : int or None
        Units in a smallest set that serves; None where none serves.
    """

    options: list[tuple[int, ...]] = field(default_factory=list)
    proved: bool = True
    complete: bool = True
    fewest: int | None = None


class SetSearch:
    """Looks for sets of units that serve.

    Parameters
    ----------
    choices : Removable
    least : callable
        Items that are off, to what the rest weighs by a figure that falls with every item by no more than
        its `most`, and is never above the true one; infinite where nothing bounds it. [kg]
    serves : callable
        Items that are off, to whether the rest is under the limit.
    limit : float
        What `least` is held against. [kg]
    heaviest : callable, optional
        Items that are off, to masses of all items that can all be true together and with which the rest is
        as heavy as `least` says, or nearly; None where there are none. They make narrower cuts. [kg]
    """

    def __init__(
        self,
        choices: Removable,
        least: Callable[[frozenset[int]], float],
        serves: Callable[[frozenset[int]], bool],
        limit: float,
        heaviest: Heaviest | None = None,
    ) -> None:
        self.choices = choices
        self.heaviest = heaviest
        self.least = least
        self.serves = serves
        self.limit = limit
        self._cuts: list[dict[int, float]] = []  # by item, what it counts; together 1 or more
        self._known: dict[frozenset[int], bool] = {}
        self._sets: list[frozenset[int]] = []  # sets of units that are not asked for again
        self._locks: list[tuple[frozenset[int], frozenset[int]]] = []  # all of the first ask for a second
        self._turns = 0
        self._program = PickProgram(choices)

    def fewest(self, wanted: int = 1, seeds: Callable[[], Iterable[Sequence[float]]] = list) -> FoundSets:
        """Sets of the fewest units that bring the rest under the limit, best first.

        Parameters
        ----------
        wanted : int
            Sets at most.
        seeds : callable
            Masses of all items that can all be true together: what they ask is asked from the start. [kg]

        Returns
        -------
        FoundSets
            Fewest units first, then fewest kilograms that need the hook, then rank.
        """
        found = self._each(wanted)
        if found.fewest == 1:
            return found
        for masses in seeds():
            self.asked(masses)
        first = self._next(None)
        found.proved = self._proved
        if first is None:
            found.complete = found.proved
            return found
        found.fewest = len(first)
        while len(found.options) < min(wanted, MOST_SETS):
            here = self._next(found.fewest)
            if here is None:
                break
            order = self.choices.in_order(here)
            if order is not None:
                found.options.append(order)
            self._sets.append(frozenset(here))
            if self._program.steps > MOST_STEPS:
                found.complete = False  # perhaps there are others
                break
        # One more is looked for: whether what was found is all there is.
        found.complete = found.complete and self._next(found.fewest) is None and self._proved
        key = self.choices
        found.options.sort(
            key=lambda units: (sum(key.hook[u] for u in units), sum(key.rank[u] for u in units), units)
        )
        return found

    def _each(self, wanted: int) -> FoundSets:
        """Every unit by itself: where one is enough no program is asked."""
        key, found = self.choices, FoundSets()
        everything = self.least(frozenset())

        def may_serve(items: Sequence[int]) -> bool:
            lighter = math.fsum(key.most[item] for item in items)  # no more than that comes off
            return (
                not everything - lighter > self.limit * (1 + NEAR)
                and self.least(frozenset(items)) <= self.limit
            )

        may = [
            unit
            for unit, items in enumerate(key.covers)
            if unit not in key.barred
            and not key.named <= set(items)
            and may_serve(items)
            and key.in_order([unit]) is not None
        ]
        may.sort(key=lambda unit: (key.hook[unit], key.rank[unit], unit))
        for place, unit in enumerate(may):
            if len(found.options) == wanted:
                # The figure that is never above the true one leaves open whether the others serve.
                found.complete = place == len(may)
                break
            if self.serves(frozenset(key.covers[unit])):
                found.options.append((unit,))
                found.fewest = 1
        return found

    def _next(self, count: int | None) -> tuple[int, ...] | None:
        """The next set that serves: the smallest one, or the best one of so many units."""
        self._proved = True
        while True:
            if self._turns >= MOST_TURNS:
                self._proved = False
                return None
            self._turns += 1
            enough = self._enough() if count is None else None
            most = None if enough is None else len(enough)
            units, optimal = self._program.solve(self._cuts, self._sets, self._locks, count, most)
            if units is None and not optimal:
                units = enough  # the weightiest first: an answer, without a proof
            if units is None:
                self._proved = optimal
                return None
            self._proved = self._proved and optimal
            off = self.choices.off(units)
            if off not in self._known:
                self._known[off] = self.serves(off)
            ordered = self.choices.in_order(units)
            if self._known[off] and ordered is not None:
                return tuple(units)
            lock = self.choices.locked(units) if ordered is None else None
            if lock is not None:
                self._locks.append(lock)
            elif ordered is None:
                self._sets.append(frozenset(units))
            elif not self._cut(off):
                # By the figure that makes cuts it is under the limit, by the true one it is not.
                self._sets.append(frozenset(units))

    def _enough(self) -> tuple[int, ...] | None:
        """Units that keep all cuts, the weightiest first; None where that way leads nowhere."""
        key = self.choices
        if key.along or self._sets or not self._cuts:
            return None
        weight = [max(cut.get(item, 0.0) for cut in self._cuts) for item in range(len(key.most))]
        off: set[int] = set()
        found: list[int] = []
        for here in key.in_turn(lambda unit: -math.fsum(weight[item] for item in key.covers[unit])):
            found.append(here)
            off |= set(key.covers[here])
            if all(
                math.fsum(share for item, share in cut.items() if item in off) >= 1.0 for cut in self._cuts
            ):
                return tuple(found)
        return None

    def asked(self, masses: Sequence[float]) -> bool:
        """Ask that the rest is under the limit with masses that can all be true; False where it is anyway."""
        over = math.fsum(masses) - self.limit
        if over <= NEAR:
            return False
        self._cuts.append({item: min(1.0, m / over) for item, m in enumerate(masses) if m > 0.0})
        return True

    def _cut(self, off: frozenset[int]) -> bool:
        """Ask of every later set what is still missing here; False where nothing is by the lower figure."""
        there = self.least(off)
        missing = there - self.limit
        if missing <= 0.0:
            return False
        masses = self.heaviest(off) if self.heaviest is not None else None
        if masses is not None:
            # Whatever is off, with these masses the rest weighs what of them is on; that may not be more.
            left = math.fsum(m for item, m in enumerate(masses) if item not in off)
            if left > self.limit + NEAR and self.asked(masses):
                return True
        cut = {}
        for item, most in enumerate(self.choices.most):
            if item in off or most <= 0.0:
                continue
            # Nothing bounded comes off something unbounded by taking off what is bounded.
            share = float(math.isinf(most)) if math.isinf(missing) else min(1.0, most / missing)
            if share > 0.0:
                cut[item] = share
        self._cuts.append(cut)
        return True


def all_off(choices: Removable) -> tuple[int, ...]:
    """Every unit that may come off in some order, from the small to the large; something always stays."""
    return tuple(choices.in_turn(lambda unit: len(choices.covers[unit])))
