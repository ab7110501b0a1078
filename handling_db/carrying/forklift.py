"""Forklifts: one load beside what is recorded of one truck.

The truck's own data plate governs. Where its rows are recorded, the row at the next larger load centre and
height is shown, never a value between rows. Where none is recorded, two rules of moment give figures that
differ; both are shown, the lower first, and neither is above the rated capacity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.carrying.checks import SANITY, given, mm, optional
from handling_db.carrying.demand import Demand, RatingBeside, against_rating
from handling_db.carrying.plate import FROM_FORK_FACE, MomentFigures, PlateRow, moment_figures, plate_row
from handling_db.quantities.notice import Notice, once


@dataclass(frozen=True, slots=True, kw_only=True)
class TruckFigures:
    """What one truck's plate and rating say beside one load. The plate governs."""

    row: PlateRow | None  # the plate row to look up
    moment: MomentFigures | None  # only where no plate row is recorded
    beside: tuple[RatingBeside, ...]  # the row, or each moment figure, lower first
    cautions: tuple[Notice, ...]


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
    beside: list[RatingBeside] = []
    moment: MomentFigures | None = None
    if row is not None:
        height = "no height stated" if row.height is None else mm(row.height)
        name = f"plate row at {mm(row.load_centre)}, {height}"
        beside.append(against_rating(load, name, row.capacity_kg, Notice("by the plate")))
        if rated_capacity_kg is not None and row.capacity_kg > rated_capacity_kg:
            facts = {"row_kg": row.capacity_kg, "rated_kg": rated_capacity_kg}
            cautions.append(Notice("plate above rated", facts))
    elif not any(one.attachment == attachment for one in plate.rows):
        if rated_capacity_kg is None or plate.rated_load_centre is None:
            cautions.append(Notice("no rated point"))
        else:
            moment = moment_figures(
                rated_capacity_kg=rated_capacity_kg,
                rated_load_centre=plate.rated_load_centre,
                load_centre=centre,
                axle_to_fork_face=plate.axle_to_fork_face,
            )
            cautions.extend(moment.cautions)
            if attachment is None:
                beside.extend(
                    against_rating(load, f"moment {name}", figure, SANITY) for name, figure in moment.figures
                )
    if attachment is None and not beside:
        beside.append(against_rating(load, "forklift", None, Notice("no row covers it")))
    if attachment is not None and row is None:
        mass = optional(f"the mass of {attachment}", attachment_kg, "it in kg")
        beside.append(against_rating(load, f"forklift with {attachment}", None, Notice("no row recorded")))
        kind = "attachment without mass" if mass is None else "attachment"
        cautions.append(Notice(kind, {"name": attachment, "own_kg": mass}))
    return TruckFigures(row=row, moment=moment, beside=tuple(beside), cautions=once(cautions))
