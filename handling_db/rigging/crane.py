"""Headroom, gross load as a part of the rating, and dynamic allowances that somebody has to choose."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError, total
from handling_db.quantities.notice import Notice
from handling_db.rigging.factors import Allowance

# Over 75 % of the rated capacity a lift counts as critical in 29 CFR 1926.751 (secondary quotes); other
# bodies use 80 % and 90 %, so it is a setting of the shop.
PLANNING_PART = 0.75


def headroom(hook_height_m: float | None, stack_m: Mapping[str, float | None]) -> float:
    """What is left of the hook height above set-down, piece, travel to free the joint, slings and cell.

    Parameters
    ----------
    hook_height_m : float or None
        Floor to the saddle of the hook at its highest. [m]
    stack_m : mapping of str to float or None
        Every height that adds up, by name; a part of the stack that is known to be none is 0. [m]

    Returns
    -------
    float
        Room left, or missing where negative. [m]

    Raises
    ------
    StaticsError
        A height is not known, negative, or nothing is listed: then no room can be promised.
    """
    unknown = [name for name, value in {"hook height": hook_height_m, **stack_m}.items() if value is None]
    if unknown:
        raise StaticsError(f"headroom: not known: {', '.join(unknown)}. Measure before relying on any room.")
    heights = {
        name: value for name, value in {"hook height": hook_height_m, **stack_m}.items() if value is not None
    }
    wrong = [name for name, value in heights.items() if not (math.isfinite(value) and value >= 0.0)]
    if wrong or not stack_m:
        raise StaticsError(f"headroom: {', '.join(wrong) or 'the stack under the hook'} must be 0 m or more.")
    needed = math.fsum(value for name, value in heights.items() if name != "hook height")
    return heights["hook height"] - needed


@dataclass(frozen=True, slots=True)
class Net:
    """What a chart leaves for the load after deductions."""

    net_kg: float
    block_unknown: bool  # the block was taken off, since nobody looked whether the chart allows for it


def net_capacity(
    capacity_kg: float,
    deductions: Mapping[str, Amount | None],
    *,
    block: str | None,
    block_included: bool | None,
) -> Net:
    """Capacity less everything that hangs on the crane besides the load.

    Parameters
    ----------
    capacity_kg : float
        From the chart. [kg]
    deductions : mapping of str to Amount or None
        Block, ball, slings, stowed extension, by name; upper figures count. [kg]
    block : str, optional
        Which of the names is the hook block of this crane.
    block_included : bool or None
        Whether the chart already allows for that block. None: nobody looked; then it is deducted.

    Raises
    ------
    UnknownMassError
        A deduction without a mass.

    References
    ----------
    .. [1] US Army TM 5-3810-305-10, note 14: hook, block and slings are part of the load; TM 5-3810-307-10:
       the chart of that crane already allows for its block.
    """
    counted = {n: a for n, a in deductions.items() if not (n == block and block_included is True)}
    unknown = block is not None and block_included is None and block in counted
    if not counted:
        return Net(capacity_kg, unknown)
    missing = [name for name, amount in counted.items() if amount is None or not amount.complete]
    if missing:
        raise UnknownMassError(
            f"net capacity: no mass for {', '.join(missing)}, and an unknown mass is not zero. Weigh "
            "it first."
        )
    taken = total(counted).amount.upper("deductions")
    return Net(capacity_kg - taken, unknown)


@dataclass(frozen=True, slots=True)
class CraneFigure:
    """Gross load beside a rating, as figures."""

    gross: (
        Amount  # everything on the crane, allowance counted where one was chosen; `high` None: at least [kg]
    )
    part: float  # gross over capacity, by the upper figure; "at least" where something is missing
    over_planning: bool | None  # None where it cannot be told
    over_capacity: bool | None
    factor: float  # of the dynamic allowance that is counted; 1 where none is
    says: tuple[Notice, ...]


def crane_figure(
    parts: Mapping[str, Amount | None],
    capacity_kg: float | None,
    *,
    planning_part: float = PLANNING_PART,
    allowance: Allowance | None = None,
    quantity: float | None = None,
) -> CraneFigure:
    """Gross load on a crane or hoist as a part of its capacity.

    Parameters
    ----------
    parts : mapping of str to Amount or None
        Load, slings, block and all else that counts as load, by name. [kg]
    capacity_kg : float or None
        Rating of the hoist, or the chart's capacity in this place. [kg]
    planning_part : float
        The shop's threshold above which a lift is planned in writing.
    allowance : Allowance, optional
        A published dynamic factor. Off unless chosen.
    quantity : float, optional
        What the allowance goes by, in the unit of its table.

    Returns
    -------
    CraneFigure
        With "at least" where a mass is not known.

    Raises
    ------
    UnknownMassError
        No mass is known at all.
    StaticsError
        No capacity, or an allowance that does not cover the case.
    """
    if capacity_kg is None:
        raise StaticsError("no rating is recorded for this crane or hoist; read its plate.")
    if not (math.isfinite(capacity_kg) and capacity_kg > 0.0 and 0.0 < planning_part <= 1.0):
        raise StaticsError("a capacity must be more than 0 kg and the planning threshold a part up to 1.")
    summed = total(parts)
    factor, named = 1.0, Notice("no dynamic allowance")
    if allowance is not None:
        if quantity is None:
            raise StaticsError(f"{allowance.name} goes by {allowance.by}: give it.")
        factor = allowance.factor(quantity)
        book = f"{allowance.source} [{allowance.verified}]"
        named = Notice("dynamic allowance", {"factor": f"{factor:.3f}", "name": allowance.name, "book": book})
    low, best = summed.amount.low * factor, summed.amount.best * factor
    high = None if summed.amount.high is None else summed.amount.high * factor
    says = [named]
    if summed.missing:
        says.insert(0, Notice("crane without a mass", {"names": summed.missing}))
    if allowance is not None and allowance.caution:
        says.append(Notice("caution as published", {"told": allowance.caution}))

    def over(limit: float) -> bool | None:
        if high is not None:
            return high > limit
        return True if low > limit else None

    return CraneFigure(
        gross=Amount(low, best, high),
        part=(best if high is None else high) / capacity_kg,
        over_planning=over(planning_part * capacity_kg),
        over_capacity=over(capacity_kg),
        factor=factor,
        says=tuple(says),
    )
