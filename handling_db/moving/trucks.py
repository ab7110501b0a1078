"""A load beside the forklifts and pallet trucks of a shop: entry sides, plate rows, figures by moment."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from handling_db.carrying.axles import AxleLoads, axle_loads
from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.demand import Demand, against_rating
from handling_db.carrying.fork_entry import SIDES, EntryFigure, Forks, entry
from handling_db.carrying.forklift import TruckPlate, truck_figures
from handling_db.carrying.plate import PlateRow
from handling_db.mechanics.centre_patch import Patch
from handling_db.moving.figures import TruckFigure
from handling_db.quantities.notice import Notice, once
from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.workplace import Attachment, Mover

TRUCKS = ("forklift", "pallet truck")


@dataclass(frozen=True, slots=True)
class ForkLoad:
    """What the forks get, as one load with its centre.

    Parameters
    ----------
    gross : Demand
        [kg]
    footprint : (length, width) or None
        Of the pallet, or of the face. [m]
    patch : Patch or None
        Centre of gravity of all of it from the middle of the footprint and over the deck; None where it is
        not known. [m]
    made_for : tuple of Side
        Sides the pallet is made to be entered from; empty: not recorded.
    above_forks : float or None
        From the top of the forks to the deck. [m]
    """

    gross: Demand
    footprint: tuple[float, float] | None
    patch: Patch | None
    made_for: tuple[str, ...]
    above_forks: float | None


def metres(length: Quantity | None) -> float | None:
    """A recorded length; None where it is not. [m]"""
    return None if length is None else float(length.base)


def kilograms(mass: Quantity | None) -> float | None:
    """A recorded mass; None where it is not. [kg]"""
    return None if mass is None else float(mass.base)


def fork_load(
    gross: Demand, pallet: Pallet | None, face_size: tuple[float, float] | None, patch: Patch | None
) -> ForkLoad:
    """Put pallet, centre and gross together."""
    if pallet is None:
        return ForkLoad(gross, face_size, patch, (), 0.0)
    length, width = metres(pallet.length), metres(pallet.width)
    deck, top = metres(pallet.deck_height), metres(pallet.fork_top)
    return ForkLoad(
        gross,
        None if length is None or width is None else (length, width),
        patch,
        tuple(pallet.fork_entry),
        None if deck is None or top is None else deck - top,
    )


def entries(load: ForkLoad, mover: Mover | None) -> tuple[EntryFigure, ...]:
    """Every side in turn with whether the pallet is made for it; the shortest load centre first.

    Raises
    ------
    MovingInputError
        The centre lies outside the footprint.
    """
    if load.footprint is None or load.patch is None:
        return ()
    forks = Forks()
    if mover is not None:
        forks = Forks(
            rated_capacity_kg=kilograms(mover.rated),
            length=metres(mover.fork_length),
            spread=metres(mover.fork_spread),
        )
    half = load.patch.half_widths
    found = []
    for side in SIDES:
        if load.made_for and side not in load.made_for:
            continue
        one = entry(side, footprint=load.footprint, centre=load.patch.at[:2], patch=half[:2], forks=forks)
        found.append(replace(one, made_for="yes") if load.made_for else one)
    return tuple(sorted(found, key=lambda one: one.load_centre_high))


def beside_truck(load: ForkLoad, mover: Mover, lift_height: float | None) -> tuple[TruckFigure, ...]:
    """One truck beside the load: each side the forks may come in from, and each attachment by itself.

    Parameters
    ----------
    load : ForkLoad
    mover : Mover
        A forklift or a pallet truck.
    lift_height : float or None
        Highest fork height of the move; None: not recorded. [m]
    """
    if mover.kind == "pallet truck":
        return (_pallet_truck(load, mover),)
    found: list[TruckFigure] = []
    try:
        sides, why = entries(load, mover), Notice("no load centre")
    except MovingInputError as error:
        sides, why = (), Notice("open", {"why": str(error)})
    steep = () if mover.slope is not None else (Notice("slope of the truck"),)
    for one in sides:
        axles, missing = _axles(load, mover, one.load_centre_high, 0.0)
        says = (*_sideways(load, one, mover), *steep, *missing, *one.cautions)
        figure = _figures(load, mover, one.load_centre_high, lift_height)
        found.append(replace(figure, side=one.side, says=once((*says, *figure.says)), axles=axles))
    if not sides:
        bare = against_rating(
            load.gross, "rated capacity alone", kilograms(mover.rated), Notice("by the plate")
        )
        found.append(_truck(mover, beside=(bare,), says=(why, *bare.cautions)))
    for attachment in mover.attachments:
        reach = metres(attachment.reach)
        if reach is None:
            says = (Notice("reach not recorded", {"name": attachment.name}),)
            found.append(_truck(mover, attachment=attachment.name, says=says))
            continue
        axles, missing = _axles(load, mover, reach, kilograms(attachment.own_mass))
        figure = _figures(load, mover, reach, lift_height, attachment)
        found.append(replace(figure, says=once((*missing, *figure.says)), axles=axles))
    return tuple(found)


def _axles(
    load: ForkLoad, mover: Mover, load_centre: float, attachment_kg: float | None
) -> tuple[AxleLoads | None, tuple[Notice, ...]]:
    """What the axles carry; an attachment counts as load as far out as the load."""
    axle = metres(mover.axle_to_fork_face)
    there = {
        "own mass": mover.own_mass is not None,
        "wheelbase": mover.wheelbase is not None,
        "centre behind front axle": mover.centre_behind_front_axle is not None,
        "axle to fork face": axle is not None,
        "mass of the attachment": attachment_kg is not None,
    }
    missing = [name for name, known in there.items() if not known]
    if missing:
        return None, (Notice("axles not recorded", {"missing": tuple(missing)}),)
    if load.gross.high_kg is None:
        return None, (Notice("axles without upper figure"),)
    try:
        axles = axle_loads(
            truck_kg=kilograms(mover.own_mass),
            wheelbase=metres(mover.wheelbase),
            centre_behind_front_axle=metres(mover.centre_behind_front_axle),
            load_kg=load.gross.high_kg + (attachment_kg or 0.0),
            load_ahead=(axle or 0.0) + load_centre,
        )
    except MovingInputError as error:
        return None, (Notice("open", {"why": str(error)}),)
    return axles, ()


def _figures(
    load: ForkLoad,
    mover: Mover,
    load_centre: float,
    lift_height: float | None,
    attachment: Attachment | None = None,
) -> TruckFigure:
    """The truck beside the load so far out: by its plate, or by moment where no row is recorded."""
    found = truck_figures(
        load.gross,
        TruckPlate(
            rows=plate_rows(mover),
            rated_capacity_kg=kilograms(mover.rated),
            rated_load_centre=metres(mover.rated_load_centre),
            axle_to_fork_face=metres(mover.axle_to_fork_face),
        ),
        load_centre=load_centre,
        lift_height=lift_height,
        attachment=attachment.name if attachment else None,
        attachment_kg=kilograms(attachment.own_mass) if attachment else None,
    )
    return _truck(
        mover,
        attachment=attachment.name if attachment else "",
        look_up_m=load_centre,
        beside=found.beside,
        moments=found.moment.figures if found.moment else (),
        says=found.cautions,
    )


def plate_rows(mover: Mover) -> tuple[PlateRow, ...]:
    """The recorded rows of a truck's data plate. [m, kg]"""
    return tuple(
        PlateRow(
            load_centre=float(row.load_centre.base),
            height=metres(row.height),
            capacity_kg=float(row.capacity.base),
            attachment=row.attachment,
        )
        for row in mover.plate
    )


def _truck(mover: Mover, **known: Any) -> TruckFigure:
    """A truck with what is known of it beside the load."""
    due = mover.inspection_due.isoformat() if mover.inspection_due else ""
    return TruckFigure(mover.id, mover.name, mover.kind, inspection=due, **known)


def _sideways(load: ForkLoad, one: EntryFigure, mover: Mover) -> tuple[Notice, ...]:
    """How far it may lean on the forks before it goes over one of them."""
    spread = metres(mover.fork_spread)
    if spread is None or load.patch is None or load.above_forks is None:
        return (Notice("lean not known"),)
    base = spread / 2 - one.sideways_high
    height = load.patch.high[2] + load.above_forks
    if base <= 0 or height <= 0:
        return ()
    lean = math.degrees(math.atan2(base, height))
    return (Notice("leans", {"spread_m": spread, "lean_deg": lean}),)


def _pallet_truck(load: ForkLoad, mover: Mover) -> TruckFigure:
    """Mass, centre and forks of a pallet truck; it has no data plate of load centres."""
    note = Notice("as noted", {"told": mover.rated_note}) if mover.rated_note else None
    compared = against_rating(load.gross, "rated capacity", kilograms(mover.rated), note)
    says: list[Notice] = []
    sides: tuple[EntryFigure, ...] = ()
    try:
        sides = entries(load, mover)
    except MovingInputError as error:
        says.append(Notice("open", {"why": str(error)}))
    if sides:
        says += [*_sideways(load, sides[0], mover), *sides[0].cautions]
    else:
        says.append(Notice("where on the forks"))
    if mover.slope is None:
        says.append(Notice("runs away"))
    side = sides[0].side if sides else ""
    return _truck(mover, side=side, beside=(compared,), says=once((*says, *compared.cautions)))
