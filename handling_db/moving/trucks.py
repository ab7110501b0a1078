"""A load beside the forklifts and pallet trucks of a shop: entry sides, plate rows, figures by moment."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from handling_db.carrying.axles import AxleLoads, axle_loads
from handling_db.carrying.checks import PLATE_GOVERNS, MovingInputError, mm
from handling_db.carrying.demand import Demand, RatedDemand, against_rating
from handling_db.carrying.fork_entry import SIDES, Entry, Forks, Side, entry
from handling_db.carrying.forklift import TruckFigures, TruckPlate, truck_figures
from handling_db.carrying.plate import PlateRow
from handling_db.mechanics.centre_patch import Patch
from handling_db.moving.figures import EntryFigure, RatingBeside, TruckFigure
from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.workplace import Mover

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


def beside(comparison: RatedDemand) -> RatingBeside:
    """One comparison as a plain figure."""
    return RatingBeside(
        what=comparison.name,
        low_kg=comparison.low_kg,
        high_kg=comparison.high_kg,
        rating_kg=comparison.rating_kg,
        word=comparison.word,
        percent=comparison.percent_of_rating,
        percent_at_least=comparison.percent_is_at_least,
        left_kg=comparison.left_kg,
        note=comparison.note,
    )


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


def entries(load: ForkLoad, mover: Mover | None) -> tuple[tuple[Entry, str], ...]:
    """Every side in turn with whether the pallet is made for it; the shortest load centre first.

    Raises
    ------
    MovingInputError
        The centre lies outside the footprint.
    """
    if load.footprint is None or load.patch is None:
        return ()
    found = []
    for side in SIDES:
        if load.made_for and side not in load.made_for:
            continue
        found.append((_entry(load.patch, load.footprint, side, mover), _made_for(load, side)))
    return tuple(sorted(found, key=lambda pair: pair[0].load_centre_high))


def _made_for(load: ForkLoad, side: Side) -> str:
    return "yes" if side in load.made_for else "not recorded"


def _entry(patch: Patch, footprint: tuple[float, float], side: Side, mover: Mover | None) -> Entry:
    half = patch.half_widths
    return entry(
        side,
        footprint=footprint,
        centre=(patch.at[0], patch.at[1]),
        patch=(half[0], half[1]),
        forks=_forks(mover) if mover else Forks(),
    )


def _forks(mover: Mover) -> Forks:
    return Forks(
        rated_capacity_kg=kilograms(mover.rated),
        length=metres(mover.fork_length),
        spread=metres(mover.fork_spread),
    )


def entry_figure(one: Entry, made_for: str) -> EntryFigure:
    """One entry side as a plain figure."""
    return EntryFigure(
        side=one.side,
        made_for=made_for,
        load_centre=one.load_centre,
        load_centre_high=one.load_centre_high,
        sideways=one.sideways,
        sideways_high=one.sideways_high,
        offset_limit=one.offset_limit,
        offset_word=one.offset_word,
    )


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
        sides = entries(load, mover)
        why = "the centre of gravity or the footprint is not known: no load centre to look up"
    except MovingInputError as error:
        sides, why = (), str(error)
    steep = () if mover.slope is not None else ("Which slope it may go on is not recorded.",)
    for one, _ in sides:
        figures = _figures(load, mover, one.load_centre_high, lift_height, None, None)
        axles, missing = _axles(load, mover, one.load_centre_high, 0.0)
        says = (*_sideways(load, one, mover), *steep, *missing, *one.cautions)
        found.append(replace(_truck(mover, figures, one.side, says), axles=axles))
    if not sides:
        bare = against_rating(load.gross, "rated capacity alone", kilograms(mover.rated), "plate governs")
        says = (f"{why[0].upper()}{why[1:].rstrip('.')}.", *bare.cautions, PLATE_GOVERNS)
        found.append(
            TruckFigure(
                mover.id, mover.name, mover.kind, "", "", None, (beside(bare),), (), says, _due(mover)
            )
        )
    for attachment in mover.attachments:
        reach = metres(attachment.reach)
        if reach is None:
            says = (f"How far out {attachment.name} carries is not recorded: read its own plate row.",)
            figure = TruckFigure(
                mover.id, mover.name, mover.kind, attachment.name, "", None, (), (), says, _due(mover)
            )
            found.append(figure)
            continue
        figures = _figures(load, mover, reach, lift_height, attachment.name, kilograms(attachment.own_mass))
        own = kilograms(attachment.own_mass)
        axles, missing = _axles(load, mover, reach, own)
        found.append(replace(_truck(mover, figures, "", missing), axles=axles))
    return tuple(found)


def _axles(
    load: ForkLoad, mover: Mover, load_centre: float, attachment_kg: float | None
) -> tuple[AxleLoads | None, tuple[str, ...]]:
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
        return None, (f"What its axles carry is not known: {', '.join(missing)} not recorded.",)
    if load.gross.high_kg is None:
        return None, ("What its axles carry is not known: the load has no upper figure.",)
    try:
        axles = axle_loads(
            truck_kg=kilograms(mover.own_mass),
            wheelbase=metres(mover.wheelbase),
            centre_behind_front_axle=metres(mover.centre_behind_front_axle),
            load_kg=load.gross.high_kg + (attachment_kg or 0.0),
            load_ahead=(axle or 0.0) + load_centre,
        )
    except MovingInputError as error:
        return None, (str(error),)
    return axles, ()


def _figures(
    load: ForkLoad,
    mover: Mover,
    load_centre: float,
    lift_height: float | None,
    attachment: str | None,
    attachment_kg: float | None,
) -> TruckFigures:
    return truck_figures(
        load.gross,
        TruckPlate(
            rows=plate_rows(mover),
            rated_capacity_kg=kilograms(mover.rated),
            rated_load_centre=metres(mover.rated_load_centre),
            axle_to_fork_face=metres(mover.axle_to_fork_face),
        ),
        load_centre=load_centre,
        lift_height=lift_height,
        attachment=attachment,
        attachment_kg=attachment_kg,
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


def _truck(mover: Mover, figures: TruckFigures, side: str, says: Sequence[str]) -> TruckFigure:
    moments = figures.moment.figures if figures.moment else ()
    return TruckFigure(
        id=mover.id,
        name=mover.name,
        kind=mover.kind,
        attachment=figures.attachment or "",
        side=side,
        look_up_m=figures.load_centre,
        beside=tuple(beside(comparison) for comparison in figures.comparisons),
        moments=tuple(moments),
        says=tuple(dict.fromkeys((*says, *figures.cautions))),
        inspection=_due(mover),
    )


def _due(mover: Mover) -> str:
    return mover.inspection_due.isoformat() if mover.inspection_due else ""


def _sideways(load: ForkLoad, one: Entry, mover: Mover) -> tuple[str, ...]:
    """How far it may lean on the forks before it goes over one of them, as a sentence."""
    spread = metres(mover.fork_spread)
    if spread is None or load.patch is None or load.above_forks is None:
        return ("How far it may lean sideways on the forks is not known: spread, centre or deck is missing.",)
    base = spread / 2 - one.sideways_high
    height = load.patch.high[2] + load.above_forks
    if base <= 0 or height <= 0:
        return ()
    lean = math.floor(math.degrees(math.atan2(base, height)))  # down: it stands no longer than that
    return (f"On forks {mm(spread)} apart it goes over sideways at a lean of {lean}°, slope not taken off.",)


def _pallet_truck(load: ForkLoad, mover: Mover) -> TruckFigure:
    """Mass, centre and forks of a pallet truck; it has no data plate of load centres."""
    compared = against_rating(load.gross, "rated capacity", kilograms(mover.rated), mover.rated_note or "")
    says: list[str] = []
    side = ""
    try:
        sides = entries(load, mover)
    except MovingInputError as error:
        sides = ()
        says.append(str(error))
    if sides:
        best = sides[0][0]
        side = best.side
        says += [*_sideways(load, best, mover), *best.cautions]
    else:
        says.append("The centre of gravity or the footprint is not known: where it sits on the forks is not.")
    if mover.slope is None:
        says.append("The steepest slope for this truck is not recorded: on a slope a hand truck runs away.")
    return TruckFigure(
        id=mover.id,
        name=mover.name,
        kind=mover.kind,
        attachment="",
        side=side,
        look_up_m=None,
        beside=(beside(compared),),
        moments=(),
        says=tuple(dict.fromkeys((*says, *compared.cautions))),
        inspection=_due(mover),
    )
