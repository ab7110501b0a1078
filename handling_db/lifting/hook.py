"""The hook side of a lift: gear below the cell, the hoist's rating, headroom, and something letting go."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.lifting.figures import HeadroomFigure, JointFigure, MoverFigure, RatingFigure, SuddenFigure
from handling_db.lifting.hanging.legs import Worked
from handling_db.lifting.line.gear import Rigging
from handling_db.lifting.ratings import struck
from handling_db.mechanics.hang.sudden import drop_on_slack_legs, let_go_from_overpull
from handling_db.quantities.amount import Amount, AmountTotal, StaticsError, total
from handling_db.quantities.notice import Facts, Notice, refused
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.workplace import Mover
from handling_db.records.parts.measures import Percent
from handling_db.rigging.chart import Chart, ChartEntry, read_chart
from handling_db.rigging.crane import crane_figure, headroom, net_capacity
from handling_db.rigging.factors import GROSS_LOAD_T, Allowance
from handling_db.rigging.hook import Expected, ReadoutError, Stop
from handling_db.rigging.stack import Below

if TYPE_CHECKING:
    from handling_db.lifting.case import LiftQuestion


def cell_of(mover: Mover | None) -> ReadoutError | None:
    """The error of the mover's readout; None where nobody recorded it."""
    if mover is None or mover.cell_error is None:
        return None
    if isinstance(mover.cell_error, Percent):
        return ReadoutError(float(mover.cell_error.share))
    return ReadoutError(0.0, float(mover.cell_error.base))


@dataclass(frozen=True, slots=True)
class Capacity:
    """What a hoist or crane may carry here: the lowest of what its plate, record and chart say.

    Parameters
    ----------
    rating_kg : float or None
        None where there is none to go by. [kg]
    basis : Notice
        What it rests on, and what the others say.
    at_most : bool
        Its chart could not be read here and may give less.
    """

    rating_kg: float | None
    basis: Notice
    at_most: bool = False


def capacity_of(mover: Mover, group: LiftGroup, as_of: datetime.date | None) -> Capacity:
    """The lowest rating where the load hangs."""
    old = struck(mover, as_of)
    if old:
        return Capacity(None, old)
    found: list[tuple[float, Notice]] = []
    if mover.rated is not None:
        kind = "plate with a note" if mover.rated_note else "plate"
        read = Notice(kind, {"rated": str(mover.rated), "note": mover.rated_note})
        found.append((float(mover.rated.base), read))
    if mover.plate:
        row = min(mover.plate, key=lambda row: row.capacity.base)
        lowest = Notice("lowest row of its plate", {"capacity": str(row.capacity)})
        found.append((float(row.capacity.base), lowest))
    unread: Notice | None = None
    if mover.chart:
        try:
            found.append(_by_chart(mover, group))
        except StaticsError as error:
            unread = refused(error)
    if not found:
        return Capacity(None, unread or Notice("no rating to read"))
    found.sort(key=lambda entry: entry[0])
    rating, basis = found[0]
    if len(found) > 1:
        others = tuple(one for _, one in found[1:])
        basis = Notice("lowest of several", {"lowest": basis, "count": len(found), "others": others})
    if unread:
        basis = Notice("at most, chart not read", {"basis": basis, "why": unread})
    return Capacity(rating, basis, at_most=bool(unread))


def _by_chart(mover: Mover, group: LiftGroup) -> tuple[float, Notice]:
    """Capacity of the chart in this place, less the hook block where the chart does not allow for it.

    Raises
    ------
    StaticsError
        The radius is not recorded, or the chart gives nothing there.
    """
    if group.radius is None:
        raise StaticsError("it has a chart and the radius of this lift is not recorded")
    rows = tuple(
        ChartEntry(
            float(row.radius.base), float(row.boom.base) if row.boom else None, float(row.capacity.base)
        )
        for row in mover.chart
    )
    included = None if mover.block_included is None else mover.block_included == "yes"
    boom = float(group.boom.base) if group.boom else None
    found = read_chart(Chart(mover.name, rows, included), float(group.radius.base), boom)
    block = Amount.exact(float(mover.block_mass.base)) if mover.block_mass else None
    net = net_capacity(found.capacity_kg, {"hook block": block}, block="hook block", block_included=included)
    told = [Notice("chart at", {"radius": str(group.radius), "net_kg": net.net_kg})]
    if len(found.from_rows) > 1:
        told.append(Notice("between printed lines", {"count": len(found.from_rows)}))
    if net.block_unknown:
        told.append(Notice("block deducted", {"block": "hook block"}))
    return net.net_kg, Notice("by its chart", {"told": tuple(told)})


def on_hoist(expected: Expected, gear: Rigging) -> AmountTotal:
    """Everything on the hoist: what the cell sees, its gear even where zeroed out, and above it. [kg]"""
    parts: dict[str, Amount | None] = {"everything below the cell": expected.load, **gear.above}
    if gear.zeroed:
        parts.update({f"{name} (zeroed out)": amount for name, amount in gear.below.items()})
    return total(parts)


def hoist_figures(
    mover: Mover | None, group: LiftGroup, expected: Expected, gear: Rigging, as_of: datetime.date | None
) -> tuple[RatingFigure, ...]:
    """The hoist or crane as the first row of the line: it carries the reading and what is above the cell."""
    hanging = on_hoist(expected, gear).amount
    demand = (hanging.best or None) if hanging.high is None else hanging.high  # nothing known is never 0
    if mover is None:
        name = "the hoist or crane"
        none = Notice("no hoist for this lift")
        return (RatingFigure(name, demand, None, none, not_compared=none, kind="hoist"),)
    found = capacity_of(mover, group, as_of)
    rating = found.rating_kg
    over = at = None
    if rating is not None:
        over = hanging.low > rating if hanging.high is None else hanging.high > rating
        if not over and (hanging.high is None or found.at_most):
            over = None  # what has no mass may weigh the rest, and a chart that was not read may give less
        keys = frozenset(piece.key for piece in gear.pieces)
        at = gear.stack.reading_at(rating, 1.0, Below(keys, frozenset()), zeroed=bool(gear.zeroed))
    why = found.basis if rating is None else None
    if rating is not None and over is None:
        why = Notice("chart not read" if found.at_most else "hangs at least")
    sees = "the reading and what hangs above the cell" if gear.above else "the reading"
    row = RatingFigure(
        name=mover.name,
        demand_kg=demand,
        rating_kg=rating,
        basis=found.basis,
        at_least=hanging.high is None,
        over=over,
        not_compared=why,
        gear_below=_all_gear(gear),
        at_kg=None if gear.zeroed and not gear.looked else at,
        sees="all that hangs on it" if gear.zeroed else sees,
        kind="hoist",
    )
    return (row,)


def _all_gear(gear: Rigging) -> Amount:
    """Everything between hoist and piece. [kg]"""
    keys = frozenset(piece.key for piece in gear.pieces)
    found = gear.stack.load_of(Below(keys, frozenset()))
    return Amount(found.low, found.best, found.high if gear.looked else None)


def mover_figure(
    mover: Mover,
    group: LiftGroup,
    expected: Expected,
    gear: Rigging,
    planning: float,
    question: LiftQuestion,
) -> MoverFigure:
    """Everything on the hook beside the rating, as figures and not as a permission.

    Raises
    ------
    FactorDataError, StaticsError
        The dynamic factor asked for is not there, or does not cover the case.
    """
    capacity = capacity_of(mover, group, question.as_of)
    gross = on_hoist(expected, gear).amount
    says: tuple[Notice, ...] = ()
    part = over_planning = over = factor = None
    allowance, quantity = _dynamic(question, gross)
    if capacity.rating_kg is not None:
        try:
            found = crane_figure(
                {"on the hook": gross},
                capacity.rating_kg,
                planning_part=planning,
                allowance=allowance,
                quantity=quantity,
            )
        except StaticsError as error:
            says = (refused(error),)
        else:
            part, over_planning, over = found.part, found.over_planning, found.over_capacity
            if capacity.at_most and not over:
                over = None  # the chart may give less
            says = found.says[-1:] if allowance is None else found.says  # what is missing is said elsewhere
            factor = None if allowance is None else found.factor
    return MoverFigure(
        id=mover.id,
        name=mover.name,
        rating_kg=capacity.rating_kg,
        rating_words=capacity.basis,
        gross=gross,
        part=part,
        planning_part=planning,
        over_planning=over_planning,
        over_rating=over,
        says=says,
        dynamic_factor=factor,
    )


def _dynamic(question: LiftQuestion, gross: Amount) -> tuple[Allowance | None, float | None]:
    """The published dynamic factor that somebody chose, and what its table goes by."""
    if question.dynamic is None:
        return None, None
    code, quantity = question.dynamic
    if question.factors is None:
        raise StaticsError("a dynamic factor is one of the published rules: ask with them.")
    allowance = question.factors.allowance(code)
    if quantity is None and allowance.by == GROSS_LOAD_T:
        quantity = gross.low / 1000.0  # [t] these factors fall as loads grow: the lightest has the largest
    if quantity is None:
        raise StaticsError(f"{allowance.name} goes by {allowance.by}: write it behind the id, as {code}=30.")
    allowance.factor(quantity)  # says what its table does not cover
    return allowance, quantity


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
        "hook over the pick points": worked.legs.hook_over_points_m
        if worked and worked.legs.lengths_known
        else None,
    }
    height = float(mover.hook_height.base) if mover and mover.hook_height else None
    listed_stack = (("hook at its highest", height), *stack.items())
    try:
        left = headroom(height, stack)
    except StaticsError as error:
        return HeadroomFigure(None, listed_stack, (refused(error),))
    short = () if left >= 0.0 else (Notice("headroom", {"missing_m": -left}),)
    return HeadroomFigure(left, listed_stack, short)


def sudden_figures(
    expected: Expected, stop: Stop | None, drop_m: float | None, stretch_m: float | None
) -> tuple[SuddenFigure, ...]:
    """Two cases, each under its own name: let go from over-pull, and something gives way under slack legs."""
    return _let_go(expected, stop), _given_way(expected, drop_m, stretch_m)


def _let_go(expected: Expected, stop: Stop | None) -> SuddenFigure:
    name = "release from over-pull"
    if stop is None:
        return SuddenFigure(name, None, None, False, Notice("no stop figure to let go at"))
    if stop.at_kg < expected.load.low:
        return SuddenFigure(name, None, None, False, Notice("stop figure below the load"))
    if expected.load.low <= 0.0:
        return SuddenFigure(name, None, None, True, Notice("load may weigh nothing"))
    case = let_go_from_overpull(expected.load.low, stop.at_kg)
    swing: Facts = {"lowest_kg": case.lowest_kg, "highest_kg": case.highest_kg}
    told = Notice("lets go, legs go slack" if case.goes_slack else "lets go", swing)
    return SuddenFigure(name, case.highest_kg, case.lowest_kg, case.goes_slack, told)


def _given_way(expected: Expected, drop_m: float | None, stretch_m: float | None) -> SuddenFigure:
    name = "something gives way under slack legs"
    if drop_m is None:
        return SuddenFigure(name, None, None, True, Notice("any fall doubles the weight"))
    try:
        fall = drop_on_slack_legs(expected.load.upper("fall into slack legs"), drop_m, stretch_m)
    except StaticsError as error:
        return SuddenFigure(name, None, None, True, refused(error))
    told = Notice("falls", {"drop_m": drop_m, "times": f"{fall.times_weight:.1f}"})
    return SuddenFigure(name, fall.highest_kg, fall.lowest_kg, True, told)
