"""What one figure would be if it had been misread or mixed up: unit, factor, digits, tare, packing."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.errors import UnitError
from handling_db.quantities.mass import Mass, within
from handling_db.quantities.quantity import Quantity, parse_mass
from handling_db.quantities.table import KG, LB, MeasureUnit
from handling_db.records.collection import Collection
from handling_db.records.kinds.weighing import Weighing
from handling_db.weights.columns import Original
from handling_db.weights.witness import Witness

FACTORS = (10, 1000)
# What packing adds to the piece: common practice, no source. A supplier's figure often has the box in it.
PACKING = (Fraction(5, 100), Fraction(15, 100))
OFTEN_PACKED = frozenset({"shipping paper", "supplier's list"})

_DIGITS = re.compile(r"[0-9]")


@dataclass(frozen=True, slots=True)
class Slip:
    """One way in which a figure may be wrong, and what it would then be.

    Parameters
    ----------
    kind : str
        unit, factor, digits, tare or packing.
    says : str
        In words, to follow "if ...".
    best, low, high : Fraction
        What the figure would be. [kg]
    """

    kind: str
    says: str
    best: Fraction
    low: Fraction
    high: Fraction


def slips(collection: Collection, witness: Witness) -> Iterator[Slip]:
    """Every slip that a printed or weighed figure may hide; none for one worked out by formula or shape.

    A unit slip is left out where two columns confirm the unit by being converted from each other; digits are
    then transposed in the column that can be the original.
    """
    if witness.worked_in is not None or witness.pieces > 1:
        return  # a figure for several together has slips of its own, none of one piece
    readings = _readings(collection, witness)
    units = [reading.unit for reading, _ in readings]
    if witness.columns is None or witness.columns.original is Original.NEITHER:
        yield from _units(witness.mass, units)
    for factor in FACTORS:
        yield _scaled(witness.mass, Fraction(1, factor), "factor", f"it is {factor} times too high")
        yield _scaled(witness.mass, Fraction(factor), "factor", f"it is {factor} times too low")
    yield from _digits(witness.mass, readings)
    yield from _tares(collection, witness)
    yield from _packing(witness)


def _scaled(mass: Mass, factor: Fraction, kind: str, says: str) -> Slip:
    return Slip(kind, says, mass.best * factor, mass.low * factor, mass.high * factor)


def _moved(mass: Mass, by: Fraction, kind: str, says: str) -> Slip:
    return Slip(kind, says, mass.best + by, mass.low + by, mass.high + by)


def _units(mass: Mass, units: Sequence[MeasureUnit]) -> Iterator[Slip]:
    one = LB.factor / KG.factor
    if KG in units:
        yield _scaled(mass, one, "unit", "it was pounds, written as kilograms")
    if LB in units:
        yield _scaled(mass, 1 / one, "unit", "it was kilograms, written as pounds")


def _digits(mass: Mass, readings: list[tuple[Quantity, int]]) -> Iterator[Slip]:
    for reading, sign in readings:
        for text in transposed(reading.text):
            try:
                other = parse_mass(text)
            except UnitError:
                continue
            moved = (other.base - reading.base) * sign
            if moved:
                yield _moved(mass, moved, "digits", f"two digits are swapped: {text} for {reading.text}")


def transposed(text: str) -> Iterator[str]:
    """A printed figure with two neighbouring digits swapped, in every way that does not start with a zero.

    Examples
    --------
    >>> list(transposed("415 kg"))
    ['145 kg', '451 kg']
    """
    if "/" in text:
        return
    number = re.match(r"[0-9][0-9., ]*", text)
    if number is None:
        return
    places = [match.start() for match in _DIGITS.finditer(number[0])]
    for one, other in itertools.pairwise(places):
        if text[one] == text[other]:
            continue
        signs = list(text)
        signs[one], signs[other] = signs[other], signs[one]
        if signs[0] != "0" or (len(places) > 1 and places[1] > 1):
            yield "".join(signs)


def _tares(collection: Collection, witness: Witness) -> Iterator[Slip]:
    """Gross for net: the tare was off already, or a tare known from another weighing is still in it."""
    weighing = collection.weighings.get(witness.id) if witness.position is None else None
    if weighing is not None and isinstance(weighing.tare, Quantity):
        tare = weighing.tare
        yield _moved(witness.mass, tare.base, "tare", f"the tare of {tare} had been taken off already")
        return
    for other in collection.weighings_of(witness.component):
        if isinstance(other.tare, Quantity) and other.id != witness.id and other.tare.base < witness.mass.low:
            says = f"it is gross, with the tare of {other.tare} that {other.id} took off"
            yield _moved(witness.mass, -other.tare.base, "tare", says)


def _packing(witness: Witness) -> Iterator[Slip]:
    if witness.kind.id in OFTEN_PACKED:
        yield with_packing(witness.mass)


def with_packing(mass: Mass) -> Slip:
    """What is left of a figure that has the usual share of packing in it."""
    low, high = PACKING
    return Slip(
        "packing",
        "its packing is in it (5 to 15 %, common practice)",
        mass.best / (1 + (low + high) / 2),
        mass.low / (1 + high),
        mass.high / (1 + low),
    )


def packings_of(collection: Collection, code: str) -> tuple[tuple[str, Mass], ...]:
    """The packing recorded for a component, with and without the pallet below it. [kg]"""
    found: list[tuple[str, Mass]] = []
    for _, packing in sorted(collection.packings.items()):
        if code not in packing.for_components:
            continue
        own = _own_mass(packing.own_mass, packing.plus_or_minus)
        pallet = collection.pallets.get(packing.pallet) if packing.pallet else None
        below = _own_mass(pallet.own_mass, pallet.plus_or_minus) if pallet else None
        if own is not None:
            found.append((packing.name, own))
        if pallet is not None and below is not None:
            found.append((pallet.name, below))
            if own is not None:
                found.append((f"{packing.name} on {pallet.name}", own + below))
    return tuple(found)


def _own_mass(stated: object, doubt: Quantity | None) -> Mass | None:
    if not isinstance(stated, Quantity):
        return None
    half = doubt.base if doubt is not None else stated.step_base / 2
    return within(stated.base, half, half)


def _readings(collection: Collection, witness: Witness) -> list[tuple[Quantity, int]]:
    """The figures as printed, each with its sign in the mass."""
    if witness.position is None:
        return _of_weighing(collection.weighings[witness.id])
    statement = collection.components[witness.component].masses[witness.position[1]]
    first = statement.printed
    assert first is not None  # worked-out figures were sent away
    second = statement.also_printed.printed if statement.also_printed else None
    if second is None or witness.columns is None:
        return [(first, 1)]
    original = witness.columns.original
    return [
        (column, 1)
        for column, other in ((first, Original.SECOND), (second, Original.FIRST))
        if original is not other
    ]


def _of_weighing(weighing: Weighing) -> list[tuple[Quantity, int]]:
    if weighing.difference is not None:
        return [(weighing.difference.with_it, 1), (weighing.difference.without_it, -1)]
    if weighing.two_supports is not None:
        return [(weighing.two_supports.first, 1), (weighing.two_supports.second, 1)]
    assert weighing.gross is not None  # the record has exactly one method
    tare = [(weighing.tare, -1)] if isinstance(weighing.tare, Quantity) else []
    return [(weighing.gross, 1), *tare]
