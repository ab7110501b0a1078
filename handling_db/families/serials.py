"""Whether a serial number lies in what a record fits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from handling_db.records.kinds.component import Component
from handling_db.records.parts.common import Fits


def outside_fits(fits: Sequence[Fits], serial: int, models: Iterable[str] = ()) -> str:
    """The ranges that a serial number lies outside of, in words; empty where it may lie in one.

    Parameters
    ----------
    fits : sequence of Fits
        What a record holds for; a model without a range fits all its serials.
    serial : int
    models : iterable of str
        Of the unit with that serial: only what the record says of these models counts. Of any where left out.

    Returns
    -------
    str
        ``PT-34, serials 1001 to 1999``.
    """
    named = set(models)
    own = [one for one in fits if one.model in named] if named else list(fits)
    ranges = [(one.model, one.serials) for one in own if one.serials is not None]
    if not ranges or len(ranges) < len(own) or any(serials.covers(serial) for _, serials in ranges):
        return ""
    return "; ".join(f"{model}, serials {serials.in_words()}" for model, serials in ranges)


def serial_ranges(
    unit: Component, serial: int, others: Iterable[tuple[str, Sequence[Fits]]]
) -> dict[str, str]:
    """The records that a unit's serial number lies outside of, by name, with the ranges they are for.

    Parameters
    ----------
    unit : Component
        The unit with that serial.
    serial : int
    others : iterable of (name, fits)
        Records that speak of it: its parts, the lift.
    """
    models = {one.model for one in unit.fits}
    ranges = {name: outside_fits(fits, serial, models) for name, fits in ((unit.name, unit.fits), *others)}
    return {name: told for name, told in ranges.items() if told}
