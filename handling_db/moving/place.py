"""Where a piece sits on its pallet, and the centre of gravity of all of it seen from there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.lifting.extras import stated_amount
from handling_db.mechanics.centre_patch import Patch, Weighted, centre_patch
from handling_db.mechanics.on_stand import moved
from handling_db.mechanics.vectors import Vector, add, apply, compose, rotation, scale
from handling_db.moving.faces import Landed
from handling_db.moving.load import MoveLoad
from handling_db.quantities.amount import StaticsError


@dataclass(frozen=True, slots=True)
class OnPallet:
    """How the piece sits on its pallet or on the forks: face down, turned about the upright, moved aside.

    Parameters
    ----------
    landed : Landed
    turned : float
        About the upright, against the clock seen from above. [rad]
    at : (x, y)
        Middle of the face from the middle of the pallet. [m]
    """

    landed: Landed
    turned: float
    at: tuple[float, float]

    def place(self, point: Vector) -> Vector:
        """A point of the root's frame, from the middle of the pallet and over its deck. [m]"""
        return self.spun(self.landed.place(point))

    def spun(self, point: Vector) -> Vector:
        """A point of the face's own room, on the pallet. [m]"""
        turned = apply(rotation(0.0, 0.0, self.turned), point)
        return add(turned, (self.at[0], self.at[1], 0.0))

    def outline(self) -> tuple[tuple[float, float], ...]:
        """The face on the pallet. [m]"""
        return tuple(self.spun((x, y, 0.0))[:2] for x, y in self.landed.outline)


def items_on(load: MoveLoad, on: OnPallet, own: Weighted | None) -> list[Weighted]:
    """The piece with its fluid, from the middle of the pallet and over its deck. [kg, m]

    Parameters
    ----------
    load : MoveLoad
    on : OnPallet
    own : Weighted or None
        The piece as it stands on its face by its shape, where its own centre is not recorded; from the middle
        of the face.
    """
    turn = compose(rotation(0.0, 0.0, on.turned), on.landed.turn)
    by = on.spun(scale(apply(on.landed.turn, on.landed.middle), -1.0))
    items = moved(load.weighted(), turn, by)
    if own is None:
        return items
    placed = moved([own], rotation(0.0, 0.0, on.turned), (on.at[0], on.at[1], 0.0))
    return [*placed, *(item for item in items if item.name != own.name)]


def patch_on(load: MoveLoad, on: OnPallet, own: Weighted | None = None, *, everything: bool) -> Patch:
    """Centre of gravity with its patch, from the middle of the pallet and over its deck. [m]

    Parameters
    ----------
    load : MoveLoad
    on : OnPallet
    own : Weighted or None
        As in `items_on`.
    everything : bool
        With packing and pallet, as the forks get it; otherwise the piece with its fluid.

    Raises
    ------
    UnknownMassError, StaticsError
        A mass or a place is missing; the message names it.
    """
    items = items_on(load, on, own)
    if everything:
        items += _round_it(load, items)
    return centre_patch(items)


def _round_it(load: MoveLoad, items: Sequence[Weighted]) -> list[Weighted]:
    """Packing somewhere over the pallet; the pallet at its middle, as high as its deck."""
    found: list[Weighted] = []
    pallet = load.pallet
    tops = [item.at[2] for item in items if item.at is not None]
    for item in load.inside:
        if item.kind != "packing" or (item.amount is not None and item.amount.high == 0.0):
            continue
        if pallet is None or pallet.length is None or pallet.width is None or not tops:
            raise StaticsError(f"centre of gravity not given: no place is recorded for {item.name}.")
        half = (float(pallet.length.base) / 2, float(pallet.width.base) / 2)
        tall = load.packing.height if load.packing else None
        top = float(tall.base) if tall else 2.0 * max(tops)
        found.append(
            Weighted(item.name, item.amount, None, ((-half[0], -half[1], 0.0), (half[0], half[1], top)))
        )
    if pallet is not None:
        deck = float(pallet.deck_height.base) if pallet.deck_height else None
        amount = stated_amount(pallet.own_mass, pallet.plus_or_minus)
        if deck is None:
            raise StaticsError(
                f"centre of gravity not given: the height of the deck of {pallet.name} is not recorded."
            )
        found.append(Weighted(pallet.name, amount, (0.0, 0.0, -deck / 2)))
    return found
