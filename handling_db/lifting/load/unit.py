"""The unit that a lift group is taken from: its build, its tree, totals and centres, and ways into it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from handling_db.balance.together.reach import evidence_of
from handling_db.families.build import Value, worked_measure
from handling_db.families.named_builds import build_for_serial, given_values
from handling_db.families.parameter import value_text
from handling_db.lifting.occurrences import WayError, Ways, occurrences
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.last_worked import LastWorked
from handling_db.weights.centre import Centre, centres
from handling_db.weights.of_serial import of_serial
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold

MOST_KEPT = 4  # units that stay unfolded, for several groups of each


@dataclass(frozen=True)  # no slots: the centres are kept beside
class Unfolded:
    """One unit in one build, as every lift group of it needs it."""

    node: int
    ways: Ways
    totals: Totals

    @cached_property
    def middles(self) -> Mapping[int, Centre]:
        """The centre of each of its pieces, for whoever asks where they lie."""
        return centres(self.totals, below=self.node)


_kept: LastWorked[Unfolded] = LastWorked(MOST_KEPT)


def unfolded(
    collection: Collection, group: LiftGroup, given: Mapping[str, Value], serial: int | None
) -> Unfolded:
    """The tree and totals of the unit of a lift group, worked out once for several groups.

    Raises
    ------
    WayError
        The tree cannot be followed.
    """
    asked = (group.root, serial, *sorted(given.items()))
    found = _kept.get((collection,), *asked)
    if found is not None:
        return found
    tree = unfold(collection, [(group.root, given)])
    faults = "; ".join(f"{fault.component}: {fault.message}" for fault in tree.faults)
    if faults:
        raise WayError(f"lift group {group.id}: the tree cannot be followed: {faults}")
    node = next(node for (code, _), node in tree.start.items() if code == group.root)
    ways = Ways(collection, tree, occurrences(tree, node))
    whose = of_serial(collection, serial)
    read = evidence_of(collection, group.root, given, serial).judge.totals("dry")  # each figure is read once
    totals = read.like(tree, "dry") if read.collection is whose else Totals(whose, tree, "dry")
    return _kept.keep(Unfolded(node, ways, totals), (collection,), *asked)


def forget(collection: Collection) -> None:
    """Let go of the units of a collection that nobody will ask about again."""
    _kept.forget(collection)


def way_in(collection: Collection, job: Job, way: Sequence[str]) -> None:
    """Refuse a way that leads nowhere in the unit of a job.

    Raises
    ------
    WayError
        There is no such unit, or the way leads nowhere in its build.
    BuildError
        The job names a build that the unit cannot have.
    """
    unit = collection.components.get(job.unit)
    if unit is None:
        raise WayError(f"job {job.id}: there is no component {job.unit!r}")
    given = given_values(unit, _build_of(unit, job))
    tree = unfold(collection, [(unit.id, given)])
    node = next(node for (code, _), node in tree.start.items() if code == unit.id)
    Ways(collection, tree, occurrences(tree, node)).follow(way)


def build_texts(root: Component, group: LiftGroup, job: Job | None) -> tuple[dict[str, str], set[str]]:
    """The build as texts: the group's, then that of the serial number, then what the job wrote down."""
    certain = {} if job is None else _build_of(root, job)
    return {**group.build, **certain}, {*certain}


def _build_of(unit: Component, job: Job) -> dict[str, str]:
    """What is certain of a unit in hand: the build of its serial number, then what its job wrote down."""
    named = build_for_serial(unit, job.serial) if job.serial is not None else None
    return {**(named.set if named else {}), **job.build}


def build_words(
    root: Component, build: Sequence[tuple[str, Fraction | str]], certain: set[str]
) -> tuple[tuple[str, str, bool], ...]:
    """Name, value in its own unit, and whether this unit's record confirms it."""
    return tuple((name, value_text(root.parameters[name], value), name in certain) for name, value in build)


def taken_off(ways: Ways, job: Job | None) -> dict[int, str]:
    """What a job says is off already, by occurrence, and who says so."""
    if job is None:
        return {}
    return {
        ways.follow(off.of): f"off already: {off.by}, {off.on.isoformat()}"
        for off in job.off
        if off.quantity is None
    }


def some_off(ways: Ways, job: Job | None) -> dict[int, Fraction]:
    """How many of several alike a job says are off already, by occurrence."""
    found: dict[int, Fraction] = {}
    for off in job.off if job is not None else ():
        if off.quantity is not None:
            index = ways.follow(off.of)
            found[index] = found.get(index, Fraction(0)) + worked_measure(off.quantity, (), {})
    return found
