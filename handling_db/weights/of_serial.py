"""A collection as it speaks of one unit: figures read on other serial numbers left out."""

from __future__ import annotations

from dataclasses import replace

from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component


def of_serial(collection: Collection, serial: int | None) -> Collection:
    """The same without weighings and statements of other serial numbers; all of it where none is named.

    Parameters
    ----------
    collection : Collection
    serial : int or None
        The unit asked about.
    """
    if serial is None:
        return collection
    weighings = {code: w for code, w in collection.weighings.items() if w.serial in (None, serial)}
    components = {code: _of(component, serial) for code, component in collection.components.items()}
    alike = all(components[code] is component for code, component in collection.components.items())
    if alike and len(weighings) == len(collection.weighings):
        return collection  # nothing is left out: what was worked out for it stands
    return replace(collection, weighings=weighings, components=components)


def _of(component: Component, serial: int) -> Component:
    kept = tuple(s for s in component.masses if s.serials is None or s.serials.covers(serial))
    return component if len(kept) == len(component.masses) else component.model_copy(update={"masses": kept})
