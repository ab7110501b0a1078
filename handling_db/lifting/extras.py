"""What hangs with a lift group besides its pieces: fluid that is still inside, packing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from handling_db.mechanics.vectors import Vector
from handling_db.quantities.amount import Amount
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import LiftGroup, Trapped
from handling_db.records.parts.texts import Point
from handling_db.records.parts.three_valued import listed


@dataclass(frozen=True, slots=True)
class Extra:
    """Fluid still inside or packing: not a piece of the tree. `amount` None where nobody knows. [kg, m]"""

    kind: str
    name: str
    amount: Amount | None
    at: Vector | None
    within: tuple[Vector, Vector] | None = None  # opposite corners of the space that a fluid is in
    litres: float | None = None


def trapped_in(collection: Collection, group: LiftGroup) -> list[Extra]:
    """Fluid that is still inside: stated, known to be none, or nobody looked."""
    if group.trapped is None:
        return [Extra("fluid", "fluid still inside (nobody looked)", None, None)]
    if group.trapped == "none":
        return [Extra("fluid", f"fluid still inside: none ({group.checked_by})", Amount.exact(0.0), None)]
    return [
        Extra(
            "fluid",
            _fluid_name(collection, trapped),
            trapped_amount(collection, trapped),
            _point(trapped.at),
            _space(trapped),
            float(trapped.litres.base),
        )
        for trapped in listed(group.trapped)
    ]


def _fluid_name(collection: Collection, trapped: Trapped) -> str:
    fluid = collection.components.get(trapped.fluid or "")
    return f"{trapped.what or (fluid.name if fluid else trapped.fluid)}, {trapped.litres} still inside"


def trapped_amount(collection: Collection, trapped: Trapped) -> Amount | None:
    """Litres that stay inside times their density, worst case by the product's limits. [kg]

    Returns
    -------
    Amount or None
        None where the fluid named is not recorded.
    """
    fluid = collection.components.get(trapped.fluid or "")
    if trapped.density is not None:
        density, spread = trapped.density.base, trapped.density.step_base / 2
    elif fluid is not None and fluid.fluid is not None:
        own = fluid.fluid
        density = own.density.base
        spread = own.density_plus_or_minus.base if own.density_plus_or_minus else own.density.step_base / 2
    else:
        return None
    litres = trapped.litres.base
    doubt = trapped.plus_or_minus.base if trapped.plus_or_minus else trapped.litres.step_base / 2
    low = max(litres - doubt, Fraction(0)) * max(density - spread, Fraction(0))
    return Amount(float(low), float(litres * density), float((litres + doubt) * (density + spread)))


def packing_of(collection: Collection, group: LiftGroup) -> list[Extra]:
    """Packing and fixtures that go up with the load."""
    if group.packing is None:
        return [Extra("packing", "packing (nobody looked)", None, None)]
    if group.packing == "none":
        return []
    found = []
    for packed in listed(group.packing):
        fixture = collection.fixtures.get(packed.fixture or "")
        mass = packed.mass or (fixture.own_mass if fixture else None)
        amount = None
        if mass is not None:
            doubt = packed.plus_or_minus.base if packed.plus_or_minus else mass.step_base / 2
            amount = Amount.around(float(mass.base), float(doubt))
        found.append(Extra("packing", packed.what, amount, _point(packed.at)))
    return found


def _space(trapped: Trapped) -> tuple[Vector, Vector] | None:
    """The space that holds it, lowest corner and highest; None where it is not recorded. [m]"""
    ends = [_point(corner) for corner in trapped.within or ()]
    if len(ends) != 2 or ends[0] is None or ends[1] is None:
        return None
    low, high = ([pick(pair) for pair in zip(*ends, strict=True)] for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _point(point: Point | None) -> Vector | None:
    if point is None or any(value.base is None for value in point):
        return None
    x, y, z = (float(value.base or 0) for value in point)
    return x, y, z
