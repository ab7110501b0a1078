"""Fluid in a unit that comes apart: what each body still holds of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from handling_db.jobs.steps.holds.unit import Unit
from handling_db.lifting.extras import Extra, trapped_in
from handling_db.mechanics.vectors import Vector, add, scale
from handling_db.quantities.amount import Amount
from handling_db.records.kinds.lift_group import LiftGroup, Trapped
from handling_db.records.parts.texts import State as Filling
from handling_db.weights.totals import Totals


@dataclass(frozen=True, slots=True)
class OilIn:
    """Fluid that is somewhere in some pieces.

    Parameters
    ----------
    where : frozenset of pieces
    extras : tuple of Extra
        All of it: where a body holds only some of the pieces, it holds anything from none to all.
    """

    where: frozenset[int]
    extras: tuple[Extra, ...]


def listed(unit: Unit, filling: Filling, within: frozenset[int] | None = None) -> tuple[OilIn, ...]:
    """The fluid lines of a unit, filled or drained as their records say, each in what it is listed at.

    Parameters
    ----------
    unit : Unit
    filling : ``filled`` or ``drained``
    within : frozenset of pieces, optional
        Only what is listed at these.
    """
    totals = Totals(unit.collection, unit.tree, filling)
    found = []
    for index, piece in enumerate(unit.pieces):
        if index in unit.solid or (within is not None and piece.parent not in within):
            continue
        figure = totals.figures[piece.node].mass
        amount = None if figure is None else Amount.of(figure.times(piece.pieces))
        name = f"{unit.name(index)}, {filling}"
        found.append(OilIn(unit.under(piece.parent), (Extra("fluid", name, amount, _middle(unit, index)),)))
    return tuple(found)


def _middle(unit: Unit, piece: int) -> Vector | None:
    frames = unit.pieces[piece].frames
    return scale(add(*(frame.at for frame in frames)), 1.0 / len(frames)) if frames else None


def stated(
    unit: Unit, where: frozenset[int], trapped: Sequence[Trapped], checked_by: str = "the plan"
) -> OilIn:
    """Fluid whose litres somebody stated for some pieces."""
    group = LiftGroup.model_construct(
        lift_group="", name="", root=unit.root.id, takes=(), trapped=tuple(trapped) or "none",
        checked_by=checked_by,
    )  # fmt: skip
    return OilIn(where, tuple(trapped_in(unit.collection, group)))


def stated_by(unit: Unit, where: frozenset[int], group: LiftGroup) -> OilIn | None:
    """What a recorded lift says is trapped in it; None where it does not say."""
    return None if group.trapped is None else OilIn(where, tuple(trapped_in(unit.collection, group)))


def replaced(oil: Iterable[OilIn], new: OilIn) -> tuple[OilIn, ...]:
    """The same with a newer statement about some pieces: what was said of exactly those, or of less, goes."""
    return (*(one for one in oil if not one.where <= new.where), new)


def held_in(body: frozenset[int], oil: Iterable[OilIn], leaves: frozenset[int]) -> tuple[Extra, ...]:
    """What one body holds of the fluid: all of what is only in it, none to all of what is in others too.

    Parameters
    ----------
    body : frozenset of pieces
    oil : iterable of OilIn
        The newest statement about some pieces last.
    leaves : frozenset of pieces
        Those with a mass of their own: an assembly without any of its parts holds no fluid.
    """
    found: list[Extra] = []
    said = frozenset[int]()
    for one in reversed(tuple(oil)):
        where = one.where & leaves
        if not where & body or (where & body) <= said:
            continue  # a newer statement speaks of all of it here
        said |= where & body
        found += [e if where <= body else _share(e) for e in one.extras]
    return tuple(found)


def _share(extra: Extra) -> Extra:
    high = None if extra.amount is None else extra.amount.high
    name = f"{extra.name}: none to all of it"
    if high is None:
        return Extra(extra.kind, name, None, None)
    return Extra(extra.kind, name, Amount(0.0, high / 2, high), None)
