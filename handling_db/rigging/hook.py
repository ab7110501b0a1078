"""What the hook should read, when to look again, when to stop, and what a different reading may mean.

hook load = lift group + fluid still inside + packing + gear below the cell. What still holds the load is a
force, not a mass: it comes on top while the load is being freed and is gone afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError, total
from handling_db.quantities.notice import Facts, Notice
from handling_db.quantities.sentence import clause
from handling_db.rigging.words import CLAUSES


@dataclass(frozen=True, slots=True)
class ReadoutError:
    """Error of the readout: a part of the reading plus a fixed amount."""

    of_reading: float
    fixed_kg: float = 0.0

    def __post_init__(self) -> None:
        if not (0.0 <= self.of_reading < 1.0 and self.fixed_kg >= 0.0 and math.isfinite(self.fixed_kg)):
            raise StaticsError(
                f"an error of the cell is a part of the reading from 0 to 1 and kg from 0 up, not {self!r}"
            )

    def at(self, reading_kg: float) -> float:
        """Largest error at a reading. [kg]"""
        return self.of_reading * reading_kg + self.fixed_kg


@dataclass(frozen=True, slots=True)
class Expected:
    """The reading with the load free and hanging still."""

    load: Amount  # without the cell's error; `high` None: at least [kg]
    missing: tuple[str, ...]  # what nobody weighed
    cell: ReadoutError | None

    @property
    def look_again_kg(self) -> float | None:
        """Upper expected + cell error: above it something is not as listed; None if not known. [kg]"""
        if self.load.high is None or self.cell is None:
            return None
        return self.load.high + self.cell.at(self.load.high)


def expected_reading(parts: Mapping[str, Amount | None], cell: ReadoutError | None) -> Expected:
    """Add up what hangs below the cell.

    Parameters
    ----------
    parts : mapping of str to Amount or None
        Lift group, fluid inside, packing, gear below the cell, by name. None where nobody knows; what is
        known to be none is an amount of 0. [kg]
    cell : ReadoutError, optional
        None where nobody knows it.

    Returns
    -------
    Expected
        "At least", without an upper figure, where anything is not known.

    Raises
    ------
    UnknownMassError
        Nothing at all is known.
    """
    summed = total(parts)
    return Expected(summed.amount, summed.missing, cell)


@dataclass(frozen=True, slots=True)
class RatedItem:
    """Something in the line of pull, with its rating and the reading at which it is reached.

    Parameters
    ----------
    name : str
    rating_kg : float or None
        In the direction of the pull, from the tag; None where there is none. [kg]
    at_kg : float or None
        The reading of an exact cell at which that rating is reached; None where gear without a mass, or legs
        that are not worked out, leave it open. [kg]
    sees : str
        Which load the rating sees: the piece, the piece and gear below it, the reading.
    why : Notice, optional
        Why it has no rating that is used.
    """

    name: str
    rating_kg: float | None
    at_kg: float | None = None
    sees: str = "the reading"
    why: Notice | None = None


@dataclass(frozen=True, slots=True)
class Limit:
    """A reading at which to stop, and why."""

    at_kg: float  # [kg]
    reason: Notice


@dataclass(frozen=True, slots=True)
class Stop:
    """Readings at which to stop pulling, smallest first, and what could not be counted."""

    limits: tuple[Limit, ...]
    not_known: tuple[Notice, ...]

    @property
    def at_kg(self) -> float:
        """The smallest. With something in `not_known` the true one may be lower still. [kg]"""
        return self.limits[0].at_kg

    @property
    def reason(self) -> Notice:
        """Why the smallest is the smallest."""
        return self.limits[0].reason


def _off(limit_kg: float, cell: ReadoutError | None) -> float:
    """A limit as a reading that is certainly not above it: less the error of the cell, once. [kg]"""
    return limit_kg if cell is None else limit_kg - cell.at(max(0.0, limit_kg))


def stop_figures(
    expected: Expected,
    *,
    rated: Sequence[RatedItem],
    break_loose_part: float | None,
    other_half: Amount | None,
) -> Stop:
    """Readings at which to stop pulling on a load that will not come free.

    Parameters
    ----------
    expected : Expected
        What the cell should read with the load free; its error comes off every limit but the shop's, once.
    rated : sequence of RatedItem
        Hoist, slings, links, pick points: the weakest counts.
    break_loose_part : float, optional
        The shop's limit over the expected reading, as a part: 0.10. None: the shop has none.
    other_half : Amount or None
        The piece it is still joined to, with its fluid. Its lowest figure counts: it may come up that early.
        [kg]

    Returns
    -------
    Stop
        Every limit that can be named, smallest first.

    Raises
    ------
    UnknownMassError
        Not one limit can be named.
    StaticsError
        A rating, factor or shop limit that cannot be.
    """
    limits = []
    not_known = [Notice("mass of", {"name": name}) for name in expected.missing]
    if not rated:
        not_known.append(Notice("no ratings listed"))
    if expected.cell is None and any(item.at_kg is not None for item in rated):
        not_known.append(Notice("cell error of ratings"))
    for item in rated:
        if item.rating_kg is None:
            kind = "rating of" if item.why is None else "rating of, not used"
            not_known.append(Notice(kind, {"name": item.name, "why": item.why}))
            continue
        if not (math.isfinite(item.rating_kg) and item.rating_kg > 0.0):
            raise StaticsError(f"{item.name}: a rating must be more than 0.")
        if item.at_kg is None:
            not_known.append(Notice("reading of a rating", {"name": item.name}))
            continue
        limits.append(_by_rating(item.at_kg, item, expected.cell))
    if break_loose_part is None:
        not_known.append(Notice("no break-loose limit"))
    elif not 0.0 <= break_loose_part < 10.0:
        raise StaticsError(
            f"the shop's limit for breaking loose is a part such as 0.10, not {break_loose_part!r}."
        )
    elif not expected.load.complete:
        not_known.append(Notice("break-loose limit of at least"))
    else:
        reason = Notice("break-loose limit", {"part": f"{break_loose_part:.0%}"})
        limits.append(Limit(expected.load.best * (1.0 + break_loose_part), reason))
    if other_half is None:
        not_known.append(Notice("other half not weighed"))
    else:
        early = _off(expected.load.low + other_half.low, expected.cell)
        halves: Facts = {
            "expected_kg": expected.load.best,
            "other_kg": other_half.best,
            "together_kg": expected.load.best + other_half.best,
            "early_kg": early,
        }
        limits.append(Limit(early, Notice("both halves come up", halves)))
    if not limits:
        told = "; ".join(clause(CLAUSES, one) for one in not_known)
        raise UnknownMassError(f"no stop figure can be named; not known: {told}.")
    limits.sort(key=lambda limit: limit.at_kg)
    return Stop(tuple(limits), tuple(not_known))


def _by_rating(at_kg: float, item: RatedItem, cell: ReadoutError | None) -> Limit:
    """The reading at which a rating is reached, less the error of the cell where that is known."""
    facts: Facts = {"name": item.name, "rating_kg": item.rating_kg, "sees": item.sees}
    if cell is None:
        return Limit(at_kg, Notice("rating reached", facts))
    error = cell.at(max(0.0, at_kg))
    return Limit(_off(at_kg, cell), Notice("rating reached, cell error off", {**facts, "error_kg": error}))
