"""The hook side of a lift: gear below the cell, the hoist's rating, headroom, and something letting go."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.lifting.figures import HeadroomFigure, JointFigure, Load, MoverFigure, SuddenFigure
from handling_db.lifting.legs import Worked
from handling_db.mechanics.sudden import drop_on_slack_legs, let_go_from_overpull
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.records.collection import Collection
from handling_db.records.kinds.gear import Gear
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.workplace import Mover
from handling_db.records.parts.texts import Percent
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.chart import Chart, ChartRow, read_chart
from handling_db.rigging.crane import crane_figure, headroom, net_capacity
from handling_db.rigging.hook import CellError, Expected, RatedItem, Stop


@dataclass(frozen=True, slots=True)
class Rigging:
    """Gear on the hook.

    Parameters
    ----------
    items : tuple of Gear
    below : mapping of str to Amount or None
        What the cell reads besides the load, by name. [kg]
    total : Amount or None
        All of it, above the cell too: what the ratings also carry; None where something has no mass. [kg]
    """

    items: tuple[Gear, ...]
    below: dict[str, Amount | None]
    total: Amount | None


def rigging(collection: Collection, group: LiftGroup) -> Rigging:
    """The gear that a lift group lists, with its masses."""
    if group.gear is None:
        return Rigging((), {"gear on the hook (nobody looked)": None}, None)
    items: list[Gear] = []
    below: dict[str, Amount | None] = {}
    everything: list[Amount | None] = []
    for used in listed(group.gear):
        gear = collection.gear.get(used.gear)
        number = used.count.number
        amount: Amount | None = None
        if gear is not None:
            items.append(gear)
            if gear.own_mass is not None and number is not None:
                many = float(number)
                doubt = gear.plus_or_minus.base if gear.plus_or_minus else gear.own_mass.step_base / 2
                amount = Amount.around(many * float(gear.own_mass.base), many * float(doubt))
        name = gear.name if gear else f"{used.gear} (no such gear is recorded)"
        everything.append(amount)
        if used.above_cell != "yes":
            below[name if number == 1 else f"{used.count} x {name}"] = amount
    known = [amount for amount in everything if amount is not None and amount.high is not None]
    total = None
    if len(known) == len(everything):
        total = Amount(
            sum(a.low for a in known), sum(a.best for a in known), sum(a.high or 0.0 for a in known)
        )
    return Rigging(tuple(items), below, total)


def cell_of(mover: Mover | None) -> CellError | None:
    """The error of the mover's readout; None where nobody recorded it."""
    if mover is None or mover.cell_error is None:
        return None
    if isinstance(mover.cell_error, Percent):
        return CellError(float(mover.cell_error.share))
    return CellError(0.0, float(mover.cell_error.base))


def _overdue(mover: Mover, as_of: datetime.date | None) -> str:
    if as_of is not None and mover.inspection_due is not None and mover.inspection_due < as_of:
        return f"inspection was due on {mover.inspection_due.isoformat()}: its rating is not used"
    return ""


def _capacity(mover: Mover, group: LiftGroup, as_of: datetime.date | None) -> tuple[float | None, str]:
    """The rating where the load hangs, and what it rests on."""
    old = _overdue(mover, as_of)
    if old:
        return None, old
    if not mover.chart:
        if mover.rated is None:
            return None, "no rating is recorded; read its plate"
        return float(mover.rated.base), f"plate: {mover.rated}" + (
            f", {mover.rated_note}" if mover.rated_note else ""
        )
    if group.radius is None:
        return None, "it has a chart and the radius of this lift is not recorded"
    rows = tuple(
        ChartRow(float(row.radius.base), float(row.boom.base) if row.boom else None, float(row.capacity.base))
        for row in mover.chart
    )
    included = None if mover.block_included is None else mover.block_included == "yes"
    boom = float(group.boom.base) if group.boom else None
    try:
        found = read_chart(Chart(mover.name, rows, included), float(group.radius.base), boom)
        block = Amount.exact(float(mover.block_mass.base)) if mover.block_mass else None
        net = net_capacity(
            found.capacity_kg, {"hook block": block}, block="hook block", block_included=included
        )
    except StaticsError as error:
        return None, str(error)
    words = "; ".join((f"chart at {group.radius}", *found.says, *net.says))
    return net.net_kg, words


def mover_rating(mover: Mover | None, group: LiftGroup, as_of: datetime.date | None) -> RatedItem:
    """The hoist or crane as an item in the line of pull."""
    if mover is None:
        return RatedItem("the hoist or crane: none is recorded for this lift", None)
    rating, words = _capacity(mover, group, as_of)
    return RatedItem(mover.name if rating is not None else f"{mover.name} ({words})", rating)


def mover_figure(
    mover: Mover, group: LiftGroup, expected: Expected, planning: float, as_of: datetime.date | None
) -> MoverFigure:
    """Everything on the hook beside the rating, as figures and not as a permission."""
    rating, words = _capacity(mover, group, as_of)
    gross = Load(expected.load.low, expected.load.best, expected.load.high)
    says: tuple[str, ...] = ()
    part = over_planning = over = None
    if rating is not None:
        try:
            found = crane_figure({"everything on the hook": expected.load}, rating, planning_part=planning)
        except StaticsError as error:
            says = (str(error),)
        else:
            part, over_planning, over = found.part, found.over_planning, found.over_capacity
            says = tuple(text for text in found.says if not text.startswith("at least: no mass"))
    return MoverFigure(mover.id, mover.name, rating, words, gross, part, planning, over_planning, over, says)


def headroom_figure(
    mover: Mover | None, group: LiftGroup, joints: Sequence[JointFigure], worked: Worked | None
) -> HeadroomFigure:
    """Hook height against start height, piece, travel to free the joint, and slings."""
    down = group.set_down
    parted = [joint for joint in joints if joint.id in group.parts_joints]
    travels = [tie.travel_m for joint in parted for tie in joint.ties if tie.travel_m is not None]
    travel = max(travels) if travels else (None if parted else 0.0)
    stack: dict[str, float | None] = {
        "height it starts from or goes to": float(down.height.base) if down and down.height else None,
        "piece, from its lowest point up to the pick points": float(down.piece_below_points.base)
        if down and down.piece_below_points
        else None,
        "travel until the joint is free": travel,
        "hook over the pick points": worked.legs.hook_over_points_m if worked else None,
    }
    height = float(mover.hook_height.base) if mover and mover.hook_height else None
    listed_stack = (("hook at its highest", height), *stack.items())
    try:
        found = headroom(height, stack)
    except StaticsError as error:
        return HeadroomFigure(None, listed_stack, (str(error),))
    return HeadroomFigure(found.left_m, listed_stack, found.says)


def sudden_figures(
    expected: Expected, stop: Stop | None, drop_m: float | None, stretch_m: float | None
) -> tuple[SuddenFigure, ...]:
    """Two cases, each under its own name: let go from over-pull, and something gives way under slack legs."""
    cases = []
    name = "release from over-pull"
    if stop is None:
        cases.append(
            SuddenFigure(name, None, None, False, "no stop figure, so no over-pull to release from.")
        )
    elif stop.at_kg < expected.load.low:
        cases.append(
            SuddenFigure(
                name, None, None, False, "the stop figure lies below the load: no over-pull is left."
            )
        )
    else:
        case = let_go_from_overpull(expected.load.low, stop.at_kg)
        slack = "; the legs go slack and snatch" if case.goes_slack else ""
        cases.append(
            SuddenFigure(
                name,
                case.highest_kg,
                case.lowest_kg,
                case.goes_slack,
                f"if it lets go at the stop figure: swings between {case.lowest_kg:.0f} and "
                f"{case.highest_kg:.0f} kg{slack}.",
            )
        )
    name = "something gives way under slack legs"
    if drop_m is None:
        cases.append(
            SuddenFigure(
                name, None, None, True, "even a fall of nothing doubles the weight: keep the legs taut."
            )
        )
        return tuple(cases)
    try:
        fall = drop_on_slack_legs(expected.load.upper("fall into slack legs"), drop_m, stretch_m)
    except StaticsError as error:
        cases.append(SuddenFigure(name, None, None, True, str(error)))
    else:
        cases.append(
            SuddenFigure(
                name,
                fall.highest_kg,
                fall.lowest_kg,
                True,
                f"a fall of {drop_m * 1000:.0f} mm makes {fall.times_weight:.1f} times the weight.",
            )
        )
    return tuple(cases)
