"""Every comparison of a move, the worst first: above its rating, not known, then by its share."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.carrying.demand import RatingBeside
from handling_db.moving.figures import MoveAnswer, TruckFigure
from handling_db.moving.words import truck_title

# The words of a comparison, the worst first; whatever else there may be comes before what is below.
_ORDER = ("above", "may be above", "not known")


@dataclass(frozen=True, slots=True)
class Compared:
    """One comparison and where it is made: a truck from one side, a pallet, a floor."""

    where: str
    beside: RatingBeside


def grief(beside: RatingBeside) -> tuple[int, float]:
    """A key that puts the worst first: by word, then by share of the rating."""
    place = _ORDER.index(beside.word) if beside.word in _ORDER else len(_ORDER)
    return place, -(beside.percent or 0.0)


def worst_first(answer: MoveAnswer) -> tuple[Compared, ...]:
    """Every comparison of a move, the worst first.

    A floor or truck without a recorded rating is "not known", never below.
    """
    found = [Compared(truck_title(truck, answer), one) for truck in answer.trucks for one in truck.beside]
    if answer.pallet is not None:
        found.append(Compared(answer.pallet.name, answer.pallet.beside))
    found += [Compared(floor.name, one) for floor in answer.floors for one in floor.beside]
    return tuple(sorted(found, key=lambda one: grief(one.beside)))


def worst_of(truck: TruckFigure) -> RatingBeside | None:
    """The worst comparison of one truck from one side; None where there is none."""
    return min(truck.beside, key=grief, default=None)
