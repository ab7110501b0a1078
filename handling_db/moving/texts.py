"""A question about a move from texts: options of a command, or arguments of an address."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from handling_db.errors import HandlingError
from handling_db.lifting.asked import assumed_ranges
from handling_db.moving.question import MoveQuestion
from handling_db.quantities.quantity import parse_angle, parse_length, parse_mass
from handling_db.records.parts.texts import STATES

IDS = ("packing", "pallet", "face", "shop", "route", "job")


def read_question(
    what: str, texts: Mapping[str, str | None], *, sets: Sequence[str] = (), assume: Sequence[str] = ()
) -> MoveQuestion:
    """The question that some texts ask.

    Parameters
    ----------
    what : str
        Id of a lift group or a component.
    texts : mapping
        state, packing, pallet, face, shop, route, job, lift_height, carried_at, slope; what is left out or
        empty is not asked.
    sets, assume : sequence of str
        ``discs=12``; ``auxiliary-drive=19 kg to 25 kg``.

    Raises
    ------
    HandlingError
        A text cannot be read; it says which and what to write.
    """
    given = {name: (text or "").strip() or None for name, text in texts.items()}
    state = given.get("state")
    if state is not None and state not in STATES:
        raise HandlingError(f"state={state!r} is not one of: {', '.join(STATES)}")
    return MoveQuestion(
        what=what,
        state=state,
        build=settings(sets),
        **{name: given.get(name) for name in IDS},
        lift_height=metres(given.get("lift_height"), "lift height"),
        carried_at=metres(given.get("carried_at"), "carried at"),
        slope=radians(given.get("slope"), "slope"),
        assumed=assumed_ranges(assume),
    )


def metres(text: str | None, option: str) -> float | None:
    """A length, such as ``300 mm``. [m]

    Raises
    ------
    HandlingError
        It is no length, or has no unit.
    """
    if text is None:
        return None
    try:
        return float(parse_length(text).base)
    except HandlingError as error:
        raise HandlingError(f"{option} {text!r}: {error}") from None


def kilograms(text: str | None, option: str) -> float | None:
    """A mass, such as ``413 kg``. [kg]

    Raises
    ------
    HandlingError
        It is no mass, or has no unit.
    """
    if text is None:
        return None
    try:
        return float(parse_mass(text).base)
    except HandlingError as error:
        raise HandlingError(f"{option} {text!r}: {error}") from None


def radians(text: str | None, option: str) -> float | None:
    """A slope, such as ``3 deg``. [rad]

    Raises
    ------
    HandlingError
        It is no angle from 0 up to 45 degrees.
    """
    if text is None:
        return None
    try:
        angle = float(parse_angle(text).base)
    except HandlingError as error:
        raise HandlingError(f"{option} {text!r}: {error}") from None
    if not 0.0 <= angle <= 45.0:
        raise HandlingError(f"{option} {text!r}: write a slope from 0 deg to 45 deg")
    return math.radians(angle)


def settings(texts: Sequence[str]) -> dict[str, str]:
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
            raise HandlingError(f"set {text!r}: write PARAM=VALUE, such as discs=12")
        given[name.strip()] = value.strip()
    return given
