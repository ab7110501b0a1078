"""The mixed-integer program behind a choice of pieces: what is off before what, and what is asked so far."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from handling_db.mechanics.linear import LinearProgram, LinearRow

if TYPE_CHECKING:
    from handling_db.jobs.lighten.choose import Removable

NODES = 3000  # of one program: the same question ends the same way on every machine
SECONDS = 10.0  # and no longer than that
TIE = 1000.0  # a kilogram on the hook outweighs any rank below it, down to a gram
HAIR = 1e-9  # off what a cut asks: what a rounding takes away, weighing the rest brings back


class PickProgram:
    """Units as columns that are 0 or 1; an item that several units cover has a column of its own.

    Parameters
    ----------
    choices : Removable
    """

    def __init__(self, choices: Removable) -> None:
        self.choices = choices
        self.steps = 0  # of the solver, so far
        self.units = len(choices.covers)
        by_item: list[list[int]] = [[] for _ in choices.most]
        for unit, covered in enumerate(choices.covers):
            for item in covered:
                by_item[item].append(unit)
        self._column: list[int | None] = []
        self.columns = self.units
        for units in by_item:
            if len(units) < 2:
                self._column.append(units[0] if units else None)
            else:
                self._column.append(self.columns)
                self.columns += 1
        self._never = set(choices.barred)
        self._rows: list[LinearRow] = []
        for item, units in enumerate(by_item):
            column = self._column[item]
            if column is None or column < self.units:
                continue
            self._rows.append(
                ({**dict.fromkeys(units, 1.0), column: -1.0}, 0.0, math.inf)
            )  # off by a unit only
            self._rows += [({column: 1.0, unit: -1.0}, 0.0, math.inf) for unit in units]
        self._order(by_item)

    def _order(self, by_item: Sequence[Sequence[int]]) -> None:
        choices = self.choices
        for unit, covered in enumerate(choices.covers):
            own = set(covered)
            for earlier in {one for item in covered for one in choices.before[item]} - own:
                self._with(unit, earlier)
            for held in choices.along[unit] if choices.along else ():
                self._with(unit, held)
            if unit in choices.freed:
                continue
            for side, ties in choices.sides:
                if side <= own:
                    for tie in ties:  # by another act, before this one
                        others = [u for u in by_item[tie] if not side <= set(choices.covers[u])]
                        self._rows.append(({**dict.fromkeys(others, 1.0), unit: -1.0}, 0.0, math.inf))
        for side, ties in choices.sides:
            # A recorded lift that takes some of the side may take the last of it with its ties.
            lifts = {u: 1.0 for u in choices.freed if not side.isdisjoint(choices.covers[u])}
            for tie in ties - side:
                row = self._sum({**dict.fromkeys(side, -1.0), tie: 1.0})
                for unit, one in lifts.items():
                    row[unit] = row.get(unit, 0.0) + one
                self._rows.append((row, 1.0 - len(side), math.inf))
        named = choices.named  # something stays that has a name
        self._rows.append((self._sum(dict.fromkeys(named, 1.0)), -math.inf, len(named) - 1.0))

    def _with(self, unit: int, item: int) -> None:
        """Where a unit comes off, an item is off; the unit never comes off where the item cannot."""
        column = self._column[item]
        if column is None:
            self._never.add(unit)
        else:
            self._rows.append(({column: 1.0, unit: -1.0}, 0.0, math.inf))

    def _sum(self, weights: Mapping[int, float]) -> dict[int, float]:
        """A weighted sum of items by column; an item that no unit covers is never off and counts nothing."""
        row: dict[int, float] = {}
        for item, weight in weights.items():
            column = self._column[item]
            if column is not None:
                row[column] = row.get(column, 0.0) + weight
        return row

    def solve(
        self,
        cuts: Iterable[Mapping[int, float]],
        sets: Iterable[frozenset[int]],
        locks: Iterable[tuple[frozenset[int], frozenset[int]]],
        count: int | None,
        most: int | None = None,
    ) -> tuple[tuple[int, ...] | None, bool]:
        """Fewest units that keep the cuts, or the best of so many; and whether the solver proved it.

        Parameters
        ----------
        cuts : iterable of mapping of item to share
            The shares of what is off come to 1 or more.
        sets : iterable of set of units
            Not to be chosen again.
        locks : iterable of (set of units, set of units)
            With all of the first, one of the second.
        count : int or None
            So many units; None: as few as there can be.
        most : int or None
            So many units are enough, as far as known. Then the solver need not look for less than a whole
            unit: a gap of less than one proves the fewest.
        """
        rows = list(self._rows)
        rows += [(self._sum(cut), 1.0 - HAIR, math.inf) for cut in cuts]
        for barred in sets:
            row = {unit: -1.0 if unit in barred else 1.0 for unit in range(self.units)}
            rows.append((row, 1.0 - len(barred), math.inf))
        for ring, frees in locks:
            row = {**dict.fromkeys(ring, -1.0), **dict.fromkeys(frees, 1.0)}
            rows.append((row, 1.0 - len(ring), math.inf))
        cost = dict.fromkeys(range(self.units), 1.0)
        if count is not None:
            rows.append((cost, float(count), float(count)))
            cost = {u: self.choices.hook[u] * TIE + self.choices.rank[u] for u in range(self.units)}
        spans = [(0.0, 0.0 if column in self._never else 1.0) for column in range(self.columns)]
        program = LinearProgram(spans, rows, whole=range(self.units))  # items follow from units
        answer = program.least(
            cost,
            mip_rel_gap=0.99 / most if most and count is None else 0.0,
            mip_abs_gap=0.0,
            time_limit=SECONDS,
            mip_max_nodes=NODES,
        )
        self.steps += answer.steps
        if answer.values is None:
            return None, answer.infeasible  # proved that there is none
        picked = tuple(unit for unit in range(self.units) if answer.values[unit] > 0.5)
        if most and count is None and len(picked) > most:  # the gap was too wide for so many
            return self.solve(cuts, sets, locks, count)
        return picked, answer.optimal
