"""What a person gives with a question as text, read once for terminal and page: ranges, lengths, a job."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction

from handling_db.errors import HandlingError, UnitError, UnknownNameError, not_there
from handling_db.quantities.quantity import Quantity, parse_angle, parse_length, parse_mass
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job


def assumed_ranges(texts: Iterable[str], label: str = "assume ") -> dict[str, tuple[Fraction, Fraction]]:
    """``auxiliary-drive=19 kg to 25 kg`` as component id and limits. [kg]

    Parameters
    ----------
    texts : iterable of str
    label : str
        How the option is called where it was given, for messages.

    Raises
    ------
    HandlingError
        A text is not of that form, holds what is no mass, or runs backwards.
    """
    found = {}
    for text in texts:
        name, sign, both = text.partition("=")
        low, word, high = both.partition(" to ")
        form = "write PART=LOW to HIGH, such as auxiliary-drive=19 kg to 25 kg"
        if not sign or not word or not name.strip():
            raise HandlingError(f"{label}{text!r}: {form}")
        try:
            limits = (parse_mass(low).base, parse_mass(high).base)
        except UnitError as error:
            raise HandlingError(f"{label}{text!r}: {form}: {error}") from None
        if limits[0] > limits[1]:
            raise HandlingError(f"{label}{text!r}: the lower figure comes first")
        found[name.strip()] = limits
    return found


def job_named(collection: Collection, job_id: str | None) -> Job | None:
    """The job asked for; None where none was.

    Raises
    ------
    UnknownNameError
        There is no such job; the message lists those there are.
    """
    if not job_id:
        return None
    job = collection.jobs.get(job_id)
    if job is None:
        raise UnknownNameError(not_there("job", job_id, sorted(collection.jobs)))
    return job


def dynamic_factor(text: str | None) -> tuple[str, float | None] | None:
    """``crane-impact-minnesota=40`` as the id of a dynamic factor and what its table goes by.

    Raises
    ------
    HandlingError
        What stands behind the id is no number.
    """
    if not text:
        return None
    code, sign, number = text.partition("=")
    try:
        quantity = float(number) if sign else None
    except ValueError:
        quantity = math.nan
    if quantity is not None and not math.isfinite(quantity):
        raise HandlingError(
            f"a dynamic factor {text!r}: write its id, or ID=NUMBER where its table does not go by the load"
        )
    return code.strip(), quantity


def metres(text: str | None, option: str) -> float | None:
    """A length, such as ``300 mm``. [m]

    Raises
    ------
    HandlingError
        It is no length, or has no unit.
    """
    return _read(parse_length, text, option)


def _read(parse: Callable[[str], Quantity], text: str | None, option: str) -> float | None:
    """A quantity in base units, or a refusal that names the option."""
    try:
        return None if text is None else float(parse(text).base)
    except HandlingError as error:
        raise HandlingError(f"{option} {text!r}: {error}") from None


def kilograms(text: str | None, option: str) -> float | None:
    """A mass, such as ``413 kg``. [kg]

    Raises
    ------
    HandlingError
        It is no mass, or has no unit.
    """
    return _read(parse_mass, text, option)


def radians(text: str | None, option: str) -> float | None:
    """A slope, such as ``3 deg``. [rad]

    Raises
    ------
    HandlingError
        It is no angle from 0 up to 45 degrees.
    """
    angle = _read(parse_angle, text, option)
    if angle is not None and not 0.0 <= angle <= 45.0:
        raise HandlingError(f"{option} {text!r}: write a slope from 0 deg to 45 deg")
    return None if angle is None else math.radians(angle)


def settings(texts: Sequence[str], label: str = "set ") -> dict[str, str]:
    """``discs=12`` as parameter and text.

    Raises
    ------
    HandlingError
        A text is not PARAM=VALUE.
    """
    given = {}
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise HandlingError(f"{label}{text!r}: write PARAM=VALUE, such as discs=12")
        given[name.strip()] = value.strip()
    return given
