"""Forklifts: one load beside what is recorded of one truck.

The truck's own data plate governs. Where its rows are recorded, the row at the next larger load centre and
height is shown, never a value between rows. Where none is recorded, two rules of moment give figures that
differ; both are shown, the lower first, and neither is above the rated capacity. Where the load sits on the
forks is worked out in `fork_entry`, the plate in `plate`; both are handed on from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.carrying.checks import PERSON_DECIDES, PLATE_GOVERNS, SANITY, given, mm, optional, plain
from handling_db.carrying.demand import Demand, RatedDemand, against_rating
from handling_db.carrying.fork_entry import (
    Entry,
    Forks,
    entry,
    offset_limit,
)
from handling_db.carrying.plate import (
    FROM_FORK_FACE,
    MomentFigures,
    PlateRow,
    capacity_by_axle,
    moment_figures,
    plate_row,
)

__all__ = [
    "Entry",
    "Forks",
    "MomentFigures",
    "PlateRow",
    "TruckFigures",
    "TruckPlate",
    "capacity_by_axle",
    "entry",
    "moment_figures",
    "offset_limit",
    "plate_row",
    "truck_figures",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class TruckFigures:
    """What one truck's plate and rating say beside one load. The plate governs."""

    load: Demand
    load_centre: float  # [m]
    attachment: str | None
    row: PlateRow | None  # the plate row to look up
    moment: MomentFigures | None  # only where no plate row is recorded
    comparisons: tuple[RatedDemand, ...]  # load beside the row, or beside each moment figure, lower first
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TruckPlate:
    """What is recorded of a truck: its data plate, for forks alone and for attachments, and its rating.

    As in `moment_figures`; None where nobody recorded it.
    """

    rows: Sequence[PlateRow] = ()
    rated_capacity_kg: float | None = None
    rated_load_centre: float | None = None  # [m]
    axle_to_fork_face: float | None = None  # [m]


def truck_figures(
    load: Demand,
    plate: TruckPlate,
    *,
    load_centre: float | None,
    lift_height: float | None,
    attachment: str | None = None,
    attachment_kg: float | None = None,
) -> TruckFigures:
    """Put one load beside what is recorded of one truck.

    With plate rows: the row to look up. Without any: the two moment figures, lower first. A jib or attachment
    counts by its own plate rows only; without them nothing is compared, and the bare-fork moment figures are
    shown as what even the truck without it would have, from which the attachment still takes.

    Parameters
    ----------
    load : Demand
        Gross load on the forks, low and high. [kg]
    plate : TruckPlate
        What is recorded of the truck.
    load_centre : float or None
        Actual load centre, patch included. [m]
    lift_height : float or None
        Highest fork height of the move. [m]
    attachment : str or None
        Jib or attachment in use.
    attachment_kg : float or None
        Its own mass; only said in the cautions, its plate row already counts it. [kg]

    Returns
    -------
    TruckFigures
        Row or moment figures, comparisons and cautions.

    Raises
    ------
    MovingInputError
        The load centre is missing, or a figure cannot be one.
    """
    centre = given("the load centre", load_centre, FROM_FORK_FACE)
    rated_capacity_kg = plate.rated_capacity_kg
    row, said = plate_row(plate.rows, load_centre=centre, lift_height=lift_height, attachment=attachment)
    cautions = list(said)
    comparisons: list[RatedDemand] = []
    moment: MomentFigures | None = None
    if row is not None:
        height = "no height stated" if row.height is None else mm(row.height)
        name = f"plate row at {mm(row.load_centre)}, {height}"
        comparisons.append(against_rating(load, name, row.capacity_kg, "plate governs"))
        if rated_capacity_kg is not None and row.capacity_kg > rated_capacity_kg:
            cautions.append(
                f"Plate row {plain(row.capacity_kg)} kg, above the rated {plain(rated_capacity_kg)} kg: "
                "one of them is recorded wrongly; read the plate."
            )
    elif not any(one.attachment == attachment for one in plate.rows):
        if rated_capacity_kg is None or plate.rated_load_centre is None:
            cautions.append("Rated capacity or rated load centre is not recorded: no figure to show.")
        else:
            moment = moment_figures(
                rated_capacity_kg=rated_capacity_kg,
                rated_load_centre=plate.rated_load_centre,
                load_centre=centre,
                axle_to_fork_face=plate.axle_to_fork_face,
            )
            cautions.extend(moment.cautions)
            if attachment is None:
                comparisons.extend(
                    against_rating(load, f"moment {name}", figure, SANITY) for name, figure in moment.figures
                )
    if attachment is None and not comparisons:
        comparisons.append(against_rating(load, "forklift", None, "no plate row covers this load"))
    if attachment is not None and row is None:
        mass = optional(f"the mass of {attachment}", attachment_kg, "it in kg")
        comparisons.append(against_rating(load, f"forklift with {attachment}", None, "no plate row recorded"))
        cautions.append(
            f"{attachment} counts only by its own plate rows and none covers this load: nothing is compared. "
            "Any moment figure shown is for bare forks; "
            + (
                "what the attachment takes from it is not recorded."
                if mass is None
                else f"the attachment takes at least its own {plain(mass)} kg from it."
            )
        )
    return TruckFigures(
        load=load,
        load_centre=centre,
        attachment=attachment,
        row=row,
        moment=moment,
        comparisons=tuple(comparisons),
        cautions=tuple(dict.fromkeys((*cautions, PLATE_GOVERNS, PERSON_DECIDES))),
    )
