"""A lift group followed through its unit: all that can be refused of it, before anything is weighed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.families.build import Value
from handling_db.families.named_builds import given_values
from handling_db.lifting.extras import Extra, packing_of, trapped_in
from handling_db.lifting.load.places import Places
from handling_db.lifting.load.unit import Unfolded, build_texts, some_off, taken_off, unfolded
from handling_db.lifting.occurrences import WayError, sort_out
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.lift_group import LiftGroup


@dataclass(frozen=True, slots=True)
class Followed:
    """What leaves the ground with a lift group, and what hangs with it.

    Parameters
    ----------
    root : Component
    unit : Unfolded
    places : Places
        Of every occurrence of the root, with the side it is on.
    given : mapping of parameter to value
        The build of the root, as far as it is not the default one.
    serial : int or None
        The unit at hand.
    certain : set of str
        Parameters of which a job or a serial number says the value.
    extras : tuple of Extra
        Fluid that is stated to be inside, and packing.
    """

    root: Component
    unit: Unfolded
    places: Places
    given: Mapping[str, Value]
    serial: int | None
    certain: set[str]
    extras: tuple[Extra, ...]


def followed(
    collection: Collection, group: LiftGroup, *, job: Job | None = None, serial: int | None = None
) -> Followed:
    """Follow the takes and leaves of a lift group.

    Parameters
    ----------
    collection : Collection
    group : LiftGroup
    job : Job, optional
        Its build replaces that of the group, and what it says is off is not in.
    serial : int, optional
        The unit at hand, if no job says.

    Raises
    ------
    WayError
        A way that leads nowhere, a root that is not there, or nothing taken at all.
    StaticsError
        Fluid or packing whose mass is none.
    BuildError
        A build that the root cannot have.
    """
    root = collection.components.get(group.root)
    if root is None:
        raise WayError(f"lift group {group.id}: there is no component {group.root!r} to start from")
    own_job = job if job is not None and job.unit == group.root else None
    texts, certain = build_texts(root, group, own_job)
    given = given_values(root, texts)
    at_hand = own_job.serial if own_job is not None and own_job.serial is not None else serial
    unit = unfolded(collection, group, given, at_hand)
    off, some = taken_off(unit.ways, own_job), some_off(unit.ways, own_job)
    places = Places(collection, unit, sort_out(collection, unit.ways, group, off=off, some=some))
    if not any(all_alike and side.part for all_alike, side in zip(places.wholly, places.sides, strict=True)):
        raise WayError(f"lift group {group.id} takes nothing: write what leaves the ground under 'takes'")
    extras = (*trapped_in(collection, group), *packing_of(collection, group))
    return Followed(root, unit, places, given, at_hand, certain, extras)
