"""A truck with the load on it beside what a floor, lift or dock plate takes: as a whole, and on one wheel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.carrying.demand import Demand, RatingBeside, against_rating
from handling_db.moving.figures import TruckFigure
from handling_db.moving.trucks import kilograms
from handling_db.quantities.notice import Notice
from handling_db.records.kinds.workplace import Mover
from handling_db.records.parts.premises import FloorArea

# Of an axle. A truck with one wheel behind puts all of that axle on it: said, since no record tells.
WHEELS = 2


@dataclass(frozen=True, slots=True)
class TruckOnFloor:
    """A truck with the load as the floor gets it. [kg]

    Parameters
    ----------
    own_kg : float or None
        Its own mass; None where nobody recorded it.
    axle_kg : float or None
        The most that one of its axles carries, loaded or on the way back empty; None where not known.
    """

    name: str
    own_kg: float | None
    axle_kg: float | None


def on_wheels(mover: Mover, figures: Sequence[TruckFigure]) -> TruckOnFloor:
    """One truck from its figures beside the load: the side and attachment that load an axle the most."""
    axles = [one.axles for one in figures if one.axles is not None]
    most = max((max(one.front_kg, one.rear_empty_kg, one.rear_kg) for one in axles), default=None)
    return TruckOnFloor(mover.name, kilograms(mover.own_mass), most)


def beside_floor(
    floor: FloorArea, gross: Demand, trucks: Sequence[TruckOnFloor]
) -> tuple[list[RatingBeside], list[Notice]]:
    """Each truck with the load beside what the floor takes as a whole and at one point.

    Parameters
    ----------
    floor : FloorArea
    gross : Demand
        Piece, packing and pallet. [kg]
    trucks : sequence of TruckOnFloor
    """
    compared: list[RatingBeside] = []
    says: list[Notice] = []
    whole, point = kilograms(floor.whole_limit), kilograms(floor.point_limit)
    for truck in trucks:
        if whole is not None and truck.own_kg is None:
            says.append(Notice("truck not weighed", {"name": truck.name}))
        elif whole is not None and truck.own_kg is not None:
            both = Demand(
                name=f"{truck.name} and load",
                low_kg=None if gross.low_kg is None else gross.low_kg + truck.own_kg,
                high_kg=None if gross.high_kg is None else gross.high_kg + truck.own_kg,
                missing=gross.missing,
            )
            found = against_rating(both, f"{floor.name}, {truck.name} and load as a whole", whole)
            compared.append(found)
            says += found.cautions
        if point is not None and truck.axle_kg is None:
            says.append(Notice("wheel not known", {"name": truck.name}))
        elif point is not None and truck.axle_kg is not None:
            wheel = truck.axle_kg / WHEELS
            load = Demand(name=f"one wheel of {truck.name}", low_kg=wheel, high_kg=wheel)
            found = against_rating(
                load,
                f"{floor.name}, one wheel of {truck.name}",
                point,
                Notice("wheels of an axle", {"axle_kg": truck.axle_kg}),
            )
            compared.append(found)
            says += found.cautions
    return compared, says
