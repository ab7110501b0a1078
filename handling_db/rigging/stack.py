"""What hangs between hook and load: which piece of gear carries which others, and where a reading finds it.

Gear is a tree from the hook down, one entry an occurrence: two slings alike are two entries. A rating sees
what hangs below the piece of gear that bears it, never that piece itself: tags are given without the gear's
own mass. The cell sees what hangs below the cell; what hangs above it is on the hoist and in no reading.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import Amount, StaticsError

HOOK = "hook"  # what the uppermost pieces hang from


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """One occurrence of gear between hook and load.

    Parameters
    ----------
    key : str
        Its own in the stack.
    mass : Amount or None
        Of this one; None where nobody weighed it. [kg]
    on : str or None
        Key of what it hangs from, or ``HOOK``; None where that is not recorded.
    above_cell : bool
        Hangs above the load cell: on the hoist, in no reading.
    at_point : bool
        Goes to a pick point of the piece: nothing hangs from it but what is recorded to, and gear whose place
        is not recorded.
    """

    key: str
    mass: Amount | None
    on: str | None
    above_cell: bool = False
    at_point: bool = False


@dataclass(frozen=True, slots=True)
class Below:
    """Keys of the gear that one piece carries: for certain, and perhaps, where no place is recorded."""

    certain: frozenset[str]
    perhaps: frozenset[str]


class Stack:
    """The gear of one lift.

    Parameters
    ----------
    hung : sequence of Hung
        From the hook down or in any order.

    Raises
    ------
    StaticsError
        Two entries with one key, a key that nothing has, a circle, or gear above the cell that hangs from
        gear below it.
    """

    def __init__(self, hung: Sequence[Hung]) -> None:
        self.hung: Mapping[str, Hung] = {item.key: item for item in hung}
        if len(self.hung) < len(hung) or HOOK in self.hung:
            raise StaticsError("every piece of gear needs a name of its own in the stack.")
        self._over = {item.key: self._way_up(item) for item in hung}

    def _way_up(self, item: Hung) -> tuple[str, ...]:
        """Keys of what it hangs from, nearest first, as far as recorded."""
        way: list[str] = []
        on = item.on
        while on is not None and on != HOOK:
            if on not in self.hung:
                raise StaticsError(f"{item.key} hangs from {on!r}, which is not among the gear of this lift.")
            if on in way or on == item.key:
                raise StaticsError(f"{item.key} hangs from itself: {' from '.join((item.key, *way, on))}.")
            if item.above_cell and not self.hung[on].above_cell:
                raise StaticsError(f"{item.key} is above the cell and hangs from {on}, which is below it.")
            way.append(on)
            on = self.hung[on].on
        return tuple(way)

    def order(self) -> tuple[tuple[str, int], ...]:
        """Keys from the hook down with their depth: above the cell first, each before what hangs from it."""
        found: list[tuple[str, int]] = []

        def down(key: str, depth: int) -> None:
            found.append((key, depth))
            for item in self.hung.values():
                if item.on == key:
                    down(item.key, depth + 1)

        roots = [item for item in self.hung.values() if item.on in (None, HOOK)]
        # sorted() is stable: as listed, with what goes to a point of the piece last, since it hangs lowest.
        for item in sorted(roots, key=lambda item: (not item.above_cell, item.at_point)):
            down(item.key, 0)
        return tuple(found)

    def below(self, key: str) -> Below:
        """What one piece of gear carries, itself left out."""
        own = self.hung[key]
        certain = {other for other, way in self._over.items() if key in way}
        if own.above_cell:  # the cell hangs below it, and everything that the cell sees below that
            certain |= {item.key for item in self.hung.values() if not item.above_cell}
        in_leg = own.at_point or any(self.hung[other].at_point for other in self._over[key])
        perhaps: set[str] = set()
        for root in self.hung.values():
            if root.on is not None or root.key == key or root.key in self._over[key]:
                continue  # its place is recorded, or it is above this one
            if root.above_cell and not own.above_cell:
                continue  # gear above the cell never hangs below gear that the cell sees
            if root.at_point and in_leg:
                continue  # two legs to two points of the piece hang side by side
            perhaps |= {root.key, *(other for other, way in self._over.items() if root.key in way)}
        return Below(frozenset(certain), frozenset(perhaps - certain))

    def in_reading(self) -> frozenset[str]:
        """Keys of what hangs below the cell."""
        return frozenset(key for key, item in self.hung.items() if not item.above_cell)

    def load_of(self, keys: Below, weights: Mapping[str, float] | None = None) -> Amount:
        """Gear carried: `low` and `best` of what is certain, `high` with what may be, too. [kg]

        `high` is None where anything of it has no mass: then the rest is only "at least". `weights` are
        pulls per kg of single pieces, 1 where left out.
        """
        factor = weights or {}
        certain = [(factor.get(key, 1.0), self.hung[key].mass) for key in sorted(keys.certain)]
        every = certain + [(factor.get(key, 1.0), self.hung[key].mass) for key in sorted(keys.perhaps)]
        known = [(times, mass) for times, mass in certain if mass is not None]
        highs = [times * mass.high for times, mass in every if mass is not None and mass.high is not None]
        return Amount(
            math.fsum(times * mass.low for times, mass in known),
            math.fsum(times * mass.best for times, mass in known),
            math.fsum(highs) if len(highs) == len(every) else None,
        )

    def reading_at(
        self,
        rating_kg: float,
        pull: float,
        carried: Below,
        *,
        weights: Mapping[str, float] | None = None,
        zeroed: bool = False,
    ) -> float | None:
        """The lowest reading at which a piece of gear reaches its rating; the cell taken as exact. [kg]

        Parameters
        ----------
        rating_kg : float
            What it may carry. [kg]
        pull : float
            What it is pulled with per kg of the piece, in kg: 1 in line, tension over load in a leg.
        carried : Below
            The gear that it carries besides.
        weights : mapping of str to float, optional
            What it is pulled with per kg of single pieces of that gear: 1 in line and where left out, 1 / sin
            of the leg's angle in a leg, `pull` for what all legs of a sling carry together.
        zeroed : bool
            The cell was zeroed with the gear on, so that it shows the piece alone.

        Returns
        -------
        float or None
            None where gear without a mass leaves the limit open.

        Notes
        -----
        The rating is reached at a load of the piece of ``(rating - weight x carried) / pull``; the cell then
        shows that and the gear below it. Gear that is carried *and* shown counts once each way, so its doubt
        enters by the difference of the two; every mass takes the limit that makes the reading lowest.
        """
        if not (math.isfinite(rating_kg) and rating_kg > 0.0 and pull > 0.0):
            raise StaticsError("a rating and a pull per kg must be more than 0.")
        shown = frozenset() if zeroed else self.in_reading()
        at = rating_kg / pull
        for key, item in self.hung.items():
            adds = 1.0 if key in shown else 0.0
            held = key in carried.certain or key in carried.perhaps
            takes = (weights or {}).get(key, 1.0) / pull if held else 0.0
            # Gear that only perhaps hangs below counts as it makes the reading lower: with it, as `takes` >=
            # 0.
            factor = adds - takes
            low = 0.0 if item.mass is None else item.mass.low
            high = None if item.mass is None else item.mass.high
            if factor >= 0.0:
                at += factor * low
            elif high is None:
                return None
            else:
                at += factor * high
        return at
