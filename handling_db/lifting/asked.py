"""What a person gives with a question, read once for terminal and page: ranges of mass, a job."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from fractions import Fraction

from handling_db.errors import HandlingError, UnitError, UnknownNameError
from handling_db.quantities.quantity import parse_mass
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


def not_there(kind: str, code: str, known: Sequence[str]) -> str:
    """That nothing of a kind goes by an id, with the near one or those there are."""
    near = difflib.get_close_matches(code, known, 1)
    if near:
        return f"there is no {kind} {code!r}; did you mean {near[0]!r}?"
    return f"there is no {kind} {code!r}; there are: {', '.join(known) or 'none'}"
