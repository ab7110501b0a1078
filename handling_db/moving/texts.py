"""A question about a move from texts: options of a command, or arguments of an address."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from handling_db.errors import HandlingError
from handling_db.lifting.asked import assumed_ranges, metres, radians, settings
from handling_db.moving.question import MoveQuestion
from handling_db.records.parts.texts import STATES

IDS = ("packing", "pallet", "fixture", "face", "shop", "route", "job")


def read_question(
    what: str, texts: Mapping[str, str | None], *, sets: Sequence[str] = (), assume: Sequence[str] = ()
) -> MoveQuestion:
    """The question that some texts ask.

    Parameters
    ----------
    what : str
        Id of a lift group or a component.
    texts : mapping
        state, packing, pallet, fixture, face, shop, route, job, serial, lift_height, carried_at, push_at,
        slope; what is left out or empty is not asked.
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
    serial = given.get("serial")
    if serial is not None and not (serial.isascii() and serial.isdigit()):
        raise HandlingError(f"serial={serial!r} is not a number, such as 1187")
    ids: dict[str, Any] = {name: given.get(name) for name in IDS}
    return MoveQuestion(
        what=what,
        state=state,
        build=settings(sets),
        lift_height=metres(given.get("lift_height"), "lift height"),
        carried_at=metres(given.get("carried_at"), "carried at"),
        push_at=metres(given.get("push_at"), "push at"),
        slope=radians(given.get("slope"), "slope"),
        assumed=assumed_ranges(assume),
        serial=None if serial is None else int(serial),
        **ids,
    )
