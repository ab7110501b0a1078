"""What was weighed in the course of a job, with its own boundary: which pieces, and what was taken off."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from handling_db.errors import HandlingError
from handling_db.families.named_builds import given_values
from handling_db.families.parameter import value_text
from handling_db.lifting.case import LiftQuestion, lift_group_named, work
from handling_db.lifting.hook import cell_of
from handling_db.lifting.line.gear import joined
from handling_db.lifting.load.unit import some_off, taken_off
from handling_db.lifting.occurrences import Ways, occurrences
from handling_db.quantities.amount import Amount
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.source import Source
from handling_db.weights.doubt import usual_doubt
from handling_db.weights.tree import unfold


@dataclass(frozen=True, slots=True)
class What:
    """What was weighed, as a boundary: one component, and what of it was not there.

    Parameters
    ----------
    of : str
        Id of the component.
    counts : tuple of str or None
        Nothing but these of it; None for all that is listed.
    without : tuple of str
        What is missing of it; ids stand for every occurrence below it.
    build : mapping of parameter to text
        Its own, as it is in this unit.
    """

    of: str
    counts: tuple[str, ...] | None
    without: tuple[str, ...]
    build: dict[str, str]

    def fields(self) -> dict[str, Any]:
        """As a weighing has it."""
        found: dict[str, Any] = {"of": self.of, "counts": [*self.counts] if self.counts else "as listed"}
        found["without"] = [*self.without] if self.without else "none"
        return found | ({"build": self.build} if self.build else {})


def hung_fields(
    collection: Collection, job: Job, lift_group: str, seen: Quantity, source: Source
) -> dict[str, Any]:
    """A reading of the hook while a lift hung free, as the fields of a weighing.

    Gear below the cell, fluid still inside and packing are taken off as the tare, with their doubt; what is
    left are the pieces, dry.

    Parameters
    ----------
    collection : Collection
    job : Job
        The unit it hung from: its build, and what is off.
    lift_group : str
        Id of what hung.
    seen : Quantity
        The reading. [kg]
    source : Source
        The cell it was read on.

    Raises
    ------
    HandlingError
        The lift belongs to another unit, cannot be followed, or what hung cannot be said as one component
        without some of its parts; something that hung with it has no mass; nobody said whether the cell was
        zeroed with the gear on.
    """
    group = lift_group_named(collection, lift_group)
    if group.root != job.unit:
        raise HandlingError(f"{group.name} is a lift of {group.root}, and job {job.id} is about {job.unit}")
    case = work(collection, lift_group, LiftQuestion(job=job))
    mass, gear = case.mass, case.rigging
    if gear.zeroed is None and gear.below:
        raise HandlingError(
            f"{group.name}: nobody wrote whether the cell was zeroed with the gear on; "
            "write 'zeroed with gear'"
        )
    beside = {name: amount for name, amount in mass.parts().items() if name != "lift group"}
    below = {} if gear.zeroed else gear.below
    tare = joined(beside, below)
    unknown = [name for name, amount in tare.items() if amount is None or amount.high is None]
    if unknown:
        raise HandlingError(
            f"{group.name}: {', '.join(unknown)}: no mass, so it cannot be taken off the reading; write it"
        )
    taken = [mass.ways.follow(mention.of) for mention in group.takes]
    sides = mass.sides
    what = _what(collection, mass.ways, taken, lambda index: sides[index].part)
    cell = cell_of(collection.movers.get(group.mover or ""))
    error = Fraction(str(cell.at(float(seen.base)))) if cell is not None else Fraction(0)
    half = max(error, *_usual(collection, source, seen)) + _calibration(source)
    known = [amount for amount in tare.values() if amount is not None]
    low, best, high = (sum(Fraction(value) for value in one) for one in _limits(known))
    fields = what.fields() | {
        "gross": str(seen),
        "tare": f"{_kg(best)} kg" if best else "none",
        "plus or minus": f"{_kg(half + max(high - best, best - low), up=True)} kg",
        "state": "dry",
        "packed": "no",
        "hung": lift_group,
    }
    if not gear.zeroed:
        fields["gear"] = [*dict.fromkeys(one.id for one in gear.pieces if not one.above_cell)]
    off = "; ".join(f"{name} {_kg(Fraction(one.best))} kg" for name, one in tare.items() if one and one.best)
    fields["remark"] = f"Hung free. Taken off: {off}." if off else "Hung free; nothing had to be taken off."
    return fields | _of_job(job)


def weighed_fields(collection: Collection, job: Job, way: Sequence[str]) -> dict[str, Any]:
    """What a piece of a job's unit is on a scale, forks or supports: it, without what is off by then.

    Parameters
    ----------
    way : sequence of str
        From the unit down to the piece; empty or the unit itself for the whole unit.

    Raises
    ------
    HandlingError
        The way leads nowhere, or what is off is there elsewhere in the piece too.
    """
    component = collection.components.get(job.unit)
    if component is None:
        raise HandlingError(f"job {job.id}: there is no component {job.unit!r}")
    tree = unfold(collection, [(job.unit, given_values(component, job.build))])
    node = next(node for (code, _), node in tree.start.items() if code == job.unit)
    ways = Ways(collection, tree, occurrences(tree, node))
    off = {index for taken in taken_off(ways, job) for index in ways.under(taken)}
    some = {below: many for index, many in some_off(ways, job).items() for below in ways.under(index)}

    def part(index: int) -> Fraction:
        if index in off:
            return Fraction(0)
        return 1 - some[index] / ways.found[index].pieces if index in some else Fraction(1)

    what = _what(collection, ways, [ways.follow(way)], part)
    return what.fields() | _of_job(job)


def _of_job(job: Job) -> dict[str, Any]:
    return {"job": job.id} | ({"serial": str(job.serial)} if job.serial is not None else {})


def _what(collection: Collection, ways: Ways, taken: Sequence[int], part: Callable[[int], Fraction]) -> What:
    """The boundary that says the same as what is in, occurrence by occurrence.

    Raises
    ------
    HandlingError
        There is none: a piece is in at one place and out at another, or in part.
    """
    top = taken[0] if len(taken) == 1 else 0
    counts = None if len(taken) == 1 else tuple(dict.fromkeys(ways.found[index].id for index in taken))
    without: dict[str, None] = {}
    for index in ways.under(top):
        above = ways.found[index].parent
        if index != top and part(index) == 0 and part(above) != 0 and not _fluid(collection, ways, index):
            without[ways.found[index].id] = None
    said = set(without)
    inside = {top: counts is None}
    for index in ways.under(top):
        code = ways.tree.component(ways.found[index].node)
        above = inside.get(ways.found[index].parent, False) if index != top else inside[top]
        inside[index] = (above or (counts is not None and code in counts)) and code not in said
        if _fluid(collection, ways, index) or (index == top and counts is not None):
            continue
        if part(index) != inside[index] and not ways.below.get(index):
            name = collection.components[code].name
            raise HandlingError(
                f"{name} is in at one place and not at another, or in part; that cannot be written as what "
                "one weighing counts: weigh the pieces by themselves"
            )
    found = ways.found[top]
    if found.pieces != 1:
        raise HandlingError(f"{ways.tree.component(found.node)}: there are {found.pieces} of it in the unit")
    code, build = ways.tree.nodes[found.node]
    parameters = collection.components[code].parameters
    texts = {name: value_text(parameters[name], value) for name, value in build}
    return What(code, counts, tuple(without), texts)


def _fluid(collection: Collection, ways: Ways, index: int) -> bool:
    return collection.components[ways.tree.component(ways.found[index].node)].fluid is not None


def _usual(collection: Collection, source: Source, seen: Quantity) -> tuple[Fraction, Fraction]:
    """How far a reading of this kind is usually out, below and above. [kg]"""
    kind = collection.source_kinds.get(source.kind)
    step = source.instrument.step.base if source.instrument and source.instrument.step else seen.step_base
    if kind is None:
        return step / 2, step / 2
    return usual_doubt(kind, seen.base, step)


def _calibration(source: Source) -> Fraction:
    instrument = source.instrument
    if instrument is None or instrument.calibration_doubt is None:
        return Fraction(0)
    return instrument.calibration_doubt.base


def _limits(known: Sequence[Amount]) -> tuple[list[float], list[float], list[float]]:
    return (
        [one.low for one in known],
        [one.best for one in known],
        [one.best if one.high is None else one.high for one in known],
    )


def _kg(value: Fraction, *, up: bool = False) -> str:
    """To a hundredth of a kilogram, upward where it is a doubt."""
    hundredths = value * 100
    whole = -((-hundredths) // 1) if up else (hundredths + Fraction(1, 2)) // 1
    return f"{int(whole) / 100:.2f}"
