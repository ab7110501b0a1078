"""What hangs with a lift group besides its pieces: fluid that is still inside, packing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from handling_db.balance.together.pieces import charges_around, most_of
from handling_db.balance.together.reach import AllEvidence
from handling_db.lifting.occurrences import Side, Ways
from handling_db.mechanics.vectors import Vector, add, around, scale
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import LiftGroup, Trapped
from handling_db.records.parts.measures import Point
from handling_db.records.parts.three_valued import listed
from handling_db.weights.tree import Node

FLUID, PACKING, GEAR = "fluid", "packing", "gear"
"""What a range may be given for besides components without a mass: one spelling everywhere."""

GIVEN = "a range given for this question"
NO_PACKING = "packing (nobody looked, none is recorded for it: none counted)"


@dataclass(frozen=True, slots=True)
class Extra:
    """Fluid still inside or packing: not a piece of the tree. `amount` None where nobody knows. [kg, m]

    Parameters
    ----------
    within : (Vector, Vector), optional
        Opposite corners of the space that a fluid is in.
    unstated : bool
        Nobody looked: from none to all that is recorded.
    fluids : tuple of component ids
        The fluids it may be.
    listed : (Vector, Vector), optional
        The box around the places that the part lines of these fluids give.
    """

    kind: str
    name: str
    amount: Amount | None
    at: Vector | None
    within: tuple[Vector, Vector] | None = None
    litres: float | None = None
    unstated: bool = False
    fluids: tuple[str, ...] = ()
    listed: tuple[Vector, Vector] | None = None

    def placed(
        self, outline: tuple[Vector, Vector] | None
    ) -> tuple[Vector | None, tuple[Vector, Vector] | None]:
        """Where it counts: place and the box it is in; both None where nothing says.

        A fluid without a place is somewhere in its space, else in the outline of what holds it, else where
        its part lines say, as in the centre of the filled unit. [m]
        """
        if self.at is not None or self.kind != FLUID:
            return self.at, self.within
        inside = self.within or outline
        if inside is not None or self.listed is None:
            return None, inside
        low, high = self.listed
        return scale(add(low, high), 0.5), None if low == high else self.listed

    def at_its_line(self, outline: tuple[Vector, Vector] | None) -> bool:
        """Whether it counts where its part lines say, since nothing else says where it is."""
        return self.listed is not None and self.placed(outline)[0] is not None and self.at is None


def trapped_in(collection: Collection, group: LiftGroup) -> list[Extra]:
    """Fluid that is still inside, where somebody looked: stated, or known to be none."""
    if group.trapped == "none":
        return [Extra(FLUID, f"fluid still inside: none ({group.checked_by})", Amount.exact(0.0), None)]
    return [
        Extra(
            FLUID,
            _fluid_name(collection, trapped),
            trapped_amount(collection, trapped),
            plain_place(trapped.at),
            _space(trapped),
            float(trapped.litres.base),
            fluids=() if trapped.fluid is None else (trapped.fluid,),
        )
        for trapped in listed(group.trapped)
    ]


def charges_in(
    collection: Collection, ways: Ways, sides: Sequence[Side], evidence: AllEvidence
) -> dict[Node, Fraction] | None:
    """Charges any share of which may be in a lift group whose litres nobody stated.

    Returns
    -------
    mapping of (fluid id, build) to count, or None
        None where a list of parts that may not be complete leaves open whether there is any other.
    """
    tree = ways.tree
    holds: list[Node] = []
    found: dict[Node, Fraction] = {}
    complete = True
    for index, (occurrence, side) in enumerate(zip(ways.found, sides, strict=True)):
        component = collection.components[tree.component(occurrence.node)]
        if component.fluid is not None:
            if sides[occurrence.parent].part > 0:
                key = tree.nodes[occurrence.node]
                found[key] = found.get(key, Fraction(0)) + occurrence.pieces
        elif component.parts and component.kind != "set" and (side.part > 0 or index == 0):
            complete = complete and component.parts_listed == "all"
            if side.part > 0:
                holds.append(tree.nodes[occurrence.node])
    for key, many in charges_around(evidence, holds).items():
        found[key] = max(found.get(key, Fraction(0)), many)
    return found if found or complete else None


def unstated_fluid(
    collection: Collection, evidence: AllEvidence, charges: Mapping[Node, Fraction] | None
) -> Extra:
    """Fluid that nobody looked for: none to all of what is listed."""
    name = "fluid still inside (nobody looked)"
    if charges is None:
        return Extra(FLUID, name, None, None, unstated=True)
    if not charges:
        told = "fluid still inside (nobody looked, none is listed)"
        return Extra(FLUID, told, Amount.exact(0.0), None, unstated=True)
    high = most_of(evidence, charges)
    fluids = tuple(dict.fromkeys(code for code, _ in charges))
    names = ", ".join(dict.fromkeys(collection.components[code].name for code in fluids))
    if high is None:
        return Extra(FLUID, f"{name}: {names}", None, None, unstated=True, fluids=fluids)
    # Best is none of it: "at least" counts best figures, and the limit for breaking loose goes by them.
    amount = Amount(0.0, 0.0, float(high))
    return Extra(FLUID, f"{name}: none to all of {names}", amount, None, unstated=True, fluids=fluids)


def given_extras(extras: Sequence[Extra], assumed: Mapping[str, tuple[Fraction, Fraction]]) -> list[Extra]:
    """Fluid and packing that nobody stated, as whoever asks gives them.

    Parameters
    ----------
    assumed : mapping of `FLUID` or `PACKING` to (low, high)
        Other entries are not looked at. [kg]

    Raises
    ------
    StaticsError
        A range below nothing.
    """
    found = list(extras)
    for kind in (FLUID, PACKING):
        open_ones = [one for one in found if one.kind == kind and (one.unstated or one.amount is None)]
        if kind not in assumed or not open_ones:
            continue
        one = replace(
            open_ones[0],
            name=f"{kind}, {GIVEN}",
            amount=given_amount(kind, assumed[kind]),
            within=None,
            litres=None,
            unstated=False,
        )
        place = found.index(open_ones[0])
        found = [extra for extra in found if extra not in open_ones]
        found.insert(place, one)
    return found


def refuse_idle(asked: Iterable[str], used: frozenset[str]) -> None:
    """Refuse a range for something that needs none.

    Raises
    ------
    StaticsError
        Which, and what a range can be given for.
    """
    idle = sorted(set(asked) - used)
    if idle:
        what = (
            "nobody left open here" if idle[0] in (FLUID, PACKING, GEAR) else "not a component without a mass"
        )
        raise StaticsError(
            f"a range was given for {idle[0]!r}, which is {what} in this lift; give one for a component "
            f"without a mass, or for {FLUID!r}, {PACKING!r} or {GEAR!r} that nobody stated."
        )


def given_amount(what: str, limits: tuple[Fraction, Fraction]) -> Amount:
    """A range somebody gives, as an amount. [kg]

    Raises
    ------
    StaticsError
        It runs backwards or below nothing.
    """
    low, high = limits
    if not 0 <= low <= high:
        raise StaticsError(f"the range for {what} runs backwards or below 0 kg")
    return Amount(float(low), float((low + high) / 2), float(high))


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
    """Packing and fixtures that go up with the load; where nobody looked, none to all that is recorded."""
    if group.packing is None:
        return [_unstated_packing(collection, group)]
    if group.packing == "none":
        return []
    found = []
    for packed in listed(group.packing):
        fixture = collection.fixtures.get(packed.fixture or "")
        mass = packed.mass or (fixture.own_mass if fixture else None)
        amount = stated_amount(mass, packed.plus_or_minus)
        found.append(Extra(PACKING, packed.what, amount, plain_place(packed.at)))
    return found


def _unstated_packing(collection: Collection, group: LiftGroup) -> Extra:
    """None to all of the packing recorded for a lift, the pallet below it and what it is set down on."""
    name = "packing (nobody looked)"
    masses: dict[str, Amount | None] = {}
    for packing in collection.packings.values():
        if group.id not in packing.for_lift_groups:
            continue
        masses[packing.name] = stated_amount(packing.own_mass, packing.plus_or_minus)
        pallet = collection.pallets.get(packing.pallet or "")
        if pallet is not None:
            masses[pallet.name] = stated_amount(pallet.own_mass, pallet.plus_or_minus)
    fixture = collection.fixtures.get((group.set_down.fixture if group.set_down else None) or "")
    if fixture is not None:
        masses[fixture.name] = stated_amount(fixture.own_mass, fixture.plus_or_minus)
    if not masses:
        return Extra(PACKING, NO_PACKING, Amount.exact(0.0), None, unstated=True)
    names = ", ".join(masses)
    highs = [amount.high for amount in masses.values() if amount is not None and amount.high is not None]
    if len(highs) < len(masses):
        return Extra(PACKING, f"{name}: {names}", None, None, unstated=True)
    return Extra(
        PACKING,
        f"{name}: none to all of {names}",
        Amount(0.0, 0.0, sum(highs)),
        None,
        unstated=True,
    )


def stated_amount(mass: Quantity | str | None, doubt: Quantity | None) -> Amount | None:
    """An own mass with its doubt; None where nobody weighed it. [kg]"""
    if mass == "none":
        return Amount.exact(0.0)
    if not isinstance(mass, Quantity):
        return None
    return Amount.around(float(mass.base), float(doubt.base if doubt else mass.step_base / 2))


def _space(trapped: Trapped) -> tuple[Vector, Vector] | None:
    """The space that holds it, lowest corner and highest; None where it is not recorded. [m]"""
    ends = [plain_place(corner) for corner in trapped.within or ()]
    if len(ends) != 2 or ends[0] is None or ends[1] is None:
        return None
    return around((ends[0], ends[1]))


def plain_place(point: Point | None) -> Vector | None:
    """A place in plain lengths; None where it is not recorded, or a formula. [m]"""
    if point is None or any(value.base is None for value in point):
        return None
    x, y, z = (float(value.base or 0) for value in point)
    return x, y, z
