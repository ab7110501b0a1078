"""The box "the hook shows": what a reading could be, what to do, and how it is written down."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass

from handling_db.lifting.asked import kilograms
from handling_db.lifting.figures import LiftAnswer, ReadingAnswer
from handling_db.lifting.said import notices
from handling_db.lifting.said.words import whole
from handling_db.web.site import today

STOP, HIGH, LOW, INSIDE, OPEN = "stop", "high", "low", "inside", "open"

_HEADS = {
    STOP: "Stop.",
    HIGH: "Look again: something holds it, or comes along.",
    LOW: "Look again: something else carries, or a piece stayed behind.",
    INSIDE: "Inside what the load may weigh.",
    OPEN: "It cannot be told: something in it has no weight.",
}

# What to do, in this order; common practice, no source.
_DO = {
    STOP: (
        "Do not pull on. Lower until the legs are slack.",
        "Find what holds before the hook takes it again.",
    ),
    HIGH: (
        "Lower until the hook shows no more than expected. Do not pull harder.",
        "Look at what is still open, below; then at what nobody listed: sealant, paint, a burr, a dowel.",
        "Ease it: jacking screws, legs made even. Then look at the hook again.",
    ),
    LOW: (
        "Hold it there. Hands out of the joint.",
        "Look what it still rests on, and whether a leg is slack.",
        "Look whether a piece stayed behind, or the cell was zeroed with the gear on.",
    ),
    INSIDE: ("Look all the same: a small thing that holds hides in what is not known.",),
    OPEN: ("Lower it, weigh what has no weight, and ask again.",),
}


@dataclass(frozen=True, slots=True)
class HookBox:
    """A reading and what the page says to it.

    Parameters
    ----------
    zone : str
        stop, high, low, inside or open.
    says : tuple of str
        What the difference is, and what could be it.
    do : tuple of str
    command, paper : str
        What would write it down.
    """

    seen_kg: float
    zone: str
    head: str
    says: tuple[str, ...]
    do: tuple[str, ...]
    command: str
    paper: str


def seen_kilograms(text: str, first: str) -> float | None:
    """The reading that was typed, in kilograms; a bare figure is in the unit that stands first. [kg]

    Raises
    ------
    HandlingError
        It is no mass.
    """
    given = text.strip()[:40]
    if not given:
        return None
    if re.fullmatch(r"[0-9]+([.][0-9]+)?", given):
        given = f"{given} {first}"
    return kilograms(given, "the hook shows")


def zone_of(found: ReadingAnswer) -> str:
    """Where the reading lies, by what the calculation has to say about it and by its limits."""
    kinds = {notice.kind for notice in found.says}
    reading = found.lift.reading
    if "stop reached" in kinds:
        return STOP
    # at the look-again figure the doubt of the cell is counted against the reading, not for it
    if "reads too high" in kinds or (
        reading.look_again_kg is not None and found.seen_kg > reading.look_again_kg
    ):
        return HIGH
    if kinds & {"reads too low", "reads too low, at least"} or (
        reading.look_again_below_kg is not None and found.seen_kg < reading.look_again_below_kg
    ):
        return LOW
    return INSIDE if "inside what it may weigh" in kinds else OPEN


def hook_box(found: ReadingAnswer, *, job: str, call: str, first: str) -> HookBox:
    """What the page says to a reading.

    Parameters
    ----------
    found : ReadingAnswer
    job : str
        Id of the unit in hand; empty for none.
    call : str
        Whom the shop names; empty where nobody is named.
    first : str
        kg or lb.
    """
    lift = found.lift
    zone = zone_of(found)
    do = _DO[zone]
    if zone != INSIDE:
        do = (*do, f"Ask: {call}." if call else "Ask somebody who knows it: the shop names nobody to call.")
    seen = f"{found.seen_kg:g} kg"
    words = ["handling-db", "job", "reading", job or "JOB", lift.id, seen]
    return HookBox(
        seen_kg=found.seen_kg,
        zone=zone,
        head=_HEADS[zone],
        says=tuple(notices.notice_words(one, first=first) for one in (*found.says, *found.parts)),
        do=do,
        command=f"{shlex.join(words)} --in FOLDER --by ROLE",
        paper=_paper(lift, found.seen_kg, first),
    )


def _paper(lift: LiftAnswer, seen_kg: float, first: str) -> str:
    expected = lift.reading.expected
    told = "not known" if expected is None else whole(expected.best, first=first)
    job = f", serial {lift.serial}" if lift.serial else ""
    return (
        f"{today()}: {lift.name}{job}. Hook showed {whole(seen_kg, first=first)}, expected {told}. "
        "Changed: ________. By: ________"
    )
