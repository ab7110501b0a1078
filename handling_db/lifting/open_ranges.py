"""What whoever asks about a lift or a move may give a range for, and what counts where nobody does."""

from __future__ import annotations

from collections.abc import Iterable

from handling_db.lifting.extras import FLUID, GEAR, PACKING
from handling_db.lifting.figures import OpenRange
from handling_db.lifting.line.gear import Rigging
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.quantities.amount import Amount


def open_ranges(mass: GroupMass, gear: Rigging | None = None) -> tuple[OpenRange, ...]:
    """Parts first, then fluid, packing and gear, each once.

    Parameters
    ----------
    mass : GroupMass
    gear : Rigging, optional
        None where nothing hangs from anything.
    """
    found: dict[str, OpenRange] = {}
    for carried in mass.carried:
        if carried.mass is None or carried.inferred or carried.assumed:
            amount = None
            if carried.mass is not None:
                each = carried.mass.times(1 / carried.pieces)
                amount = Amount(float(each.low), float(each.best), float(each.high))
            found.setdefault(carried.id, _open(carried.id, carried.name, amount, given=carried.assumed))
    for extra in mass.extras:
        given = extra.kind in mass.assumed
        if extra.unstated or given or extra.amount is None:
            name = "fluid inside" if extra.kind == FLUID else extra.kind
            found.setdefault(extra.kind, _open(extra.kind, name, extra.amount, given=given))
    if gear is not None and (gear.gaps or gear.given is not None):
        found[GEAR] = _open(GEAR, "gear on the hook", gear.given, given=gear.given is not None)
    return tuple(found.values())


def of_a_move(mass: GroupMass, inside: Iterable[tuple[str, Amount | None, bool]]) -> tuple[OpenRange, ...]:
    """The same for a move: fluid and packing as they go along, by kind, amount and whether it was given."""
    found = {one.id: one for one in open_ranges(mass) if one.id not in (FLUID, PACKING)}
    for kind, amount, given in inside:
        if given or amount is None or (kind == FLUID and amount.low == 0.0 and amount.high != 0.0):
            name = "fluid inside" if kind == FLUID else kind
            found.setdefault(kind, _open(kind, name, amount, given=given))
    return tuple(found.values())


def _open(code: str, name: str, amount: Amount | None, *, given: bool) -> OpenRange:
    if amount is None:
        return OpenRange(code, name, None, None, given)
    return OpenRange(code, name, amount.low, amount.high, given)
