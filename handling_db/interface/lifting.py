"""What leaves the ground: one lift, its legs, a turn, two hooks, a reading seen, what a joint still has."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any, Required, TypedDict, Unpack

from handling_db.errors import HandlingError
from handling_db.interface.given import MassLike, Span, kilograms, needed, ranges
from handling_db.interface.told import told
from handling_db.lifting.asked import job_named, metres, radians
from handling_db.lifting.levelling.words import level_text, seen_tilt_text
from handling_db.lifting.said.as_json import legs_json, lift_json
from handling_db.lifting.said.words import (
    joint_answer_lines,
    legs_answer_lines,
    lift_lines,
    reading_lines,
)
from handling_db.loading import named
from handling_db.records.proved import Records
from handling_db.serialise import Answer

if TYPE_CHECKING:
    from handling_db.lifting.case import LiftQuestion
    from handling_db.lifting.figures import JointAnswer, LiftAnswer, ReadingAnswer
    from handling_db.lifting.levelling.lengths import LevelAnswer
    from handling_db.lifting.levelling.seen_tilt import SeenTiltAnswer
    from handling_db.lifting.turn.figures import TurnAnswer
    from handling_db.lifting.two_hooks import TwoHookAnswer
    from handling_db.rigging.factors import Factors


def rules() -> Factors:
    """The published rating rules that come along: legs, angles and directions, each with its source.

    Raises
    ------
    HandlingError
        The data that comes with the program is not there.
    """
    from handling_db.files.rating_factors import rating_factors

    return rating_factors()


class LiftAsked(TypedDict, total=False):
    """What is asked besides the lift.

    Parameters
    ----------
    as_of : date
        Past which inspections and notes are over. There is no default: a day left out would look at none.
    rules : Factors
        `rules()`, or a shop's own. There is no default: without them no angle is taken off a rating.
    job : str, optional
        Id of the unit in hand: its build, what is off, which ties are out, temporary ties.
    serial : int, optional
        Serial number of the unit at hand: its one open job counts without being named.
    assume : mapping of component to range, optional
        For parts that nobody weighed: ``{"auxiliary-drive": "19 kg to 25 kg"}``.
    picks : mapping of pick point to length or None, optional
        Other points than the recorded ones; None takes the length of the recorded sling. [m]
    zeroed : bool, optional
        Whether the cell was zeroed with the gear on; it goes before the record.
    drop_m, stretch_m : float, optional
        For the case that something gives way under slack legs. [m]
    dynamic : str, optional
        A published dynamic factor of the rules, counted on the hoist: its id, or ``ID=NUMBER`` where its
        table does not go by the load.
    """

    as_of: Required[datetime.date]
    rules: Required[Factors]
    job: str | None
    serial: int | None
    assume: Mapping[str, Span] | None
    picks: Mapping[str, float | None] | None
    zeroed: bool | None
    drop_m: float | None
    stretch_m: float | None
    dynamic: str | None


def asked(records: Records, **given: Unpack[LiftAsked]) -> LiftQuestion:
    """The question that a caller's words make.

    Raises
    ------
    HandlingError
        No such job, or a range that cannot be read.
    TypeError
        The day or the rules were left out.
    """
    from handling_db.lifting.asked import dynamic_factor
    from handling_db.lifting.case import LiftQuestion

    needed(given, "as_of", "rules")
    return LiftQuestion(
        job=job_named(records, given.get("job")),
        serial=given.get("serial"),
        as_of=given["as_of"],
        assumed=ranges(given.get("assume")),
        factors=given["rules"],
        picks=given.get("picks"),
        zeroed=given.get("zeroed"),
        drop_m=given.get("drop_m"),
        stretch_m=given.get("stretch_m"),
        dynamic=dynamic_factor(given.get("dynamic")),
    )


GROUP = ("lift group",)


def _group(records: Records, name: str) -> str:
    return named(records, name, GROUP)[1]


def _text(lines: Callable[..., Iterable[str]], **how: int) -> Callable[[Any, str], str]:
    """How the text of an answer is made of its lines."""
    return lambda answer, first: "\n".join(lines(answer, first=first, **how))


def lift(records: Records, name: str, **question: Unpack[LiftAsked]) -> Answer[LiftAnswer]:
    """One lift: what comes up and what stays, centre, legs, expected reading, stop figures, ties, gear.

    Parameters
    ----------
    records : Records
    name : str
        Id or name of a lift group.
    question
        As `LiftAsked`: `as_of` and `rules` always, `job` and `assume` where they are known. [kg, m]

    Raises
    ------
    HandlingError
        Nothing goes by the name, or what is asked cannot be read.
    """
    from handling_db.lifting.answer import lift_answer

    found = lift_answer(records, _group(records, name), asked(records, **question))
    return told(records, (name, GROUP), found, _text(lift_lines), lift_json)


def turn(
    records: Records, name: str, *, every: int = 10, **question: Unpack[LiftAsked]
) -> Answer[TurnAnswer]:
    """Hook load over the angle of a turn, and where it goes over by itself. [kg, degrees, N]

    Parameters
    ----------
    every : int
        The words list every so many degrees.

    Raises
    ------
    HandlingError
        As `lift`.
    """
    from handling_db.lifting.turn.answer import turn_answer
    from handling_db.lifting.turn.words import turn_lines

    found = turn_answer(records, _group(records, name), asked(records, **question))
    return told(records, (name, GROUP), found, _text(turn_lines, every=every), lift_json)


def reading(
    records: Records, name: str, seen: MassLike, **question: Unpack[LiftAsked]
) -> Answer[ReadingAnswer]:
    """The hook shows something: what that could be, beside what was expected. [kg]

    Parameters
    ----------
    seen : str, Pint quantity or number of kilograms
        What the readout shows.

    Raises
    ------
    HandlingError
        As `lift`, or what was seen is no mass.
    """
    from handling_db.lifting.reading import reading_answer

    shown = float(kilograms(seen, "seen"))
    found = reading_answer(records, _group(records, name), shown, asked(records, **question))
    return told(records, (name, GROUP), found, _text(reading_lines), lift_json)


def legs(records: Records, name: str, **question: Unpack[LiftAsked]) -> Answer[LiftAnswer]:
    """What each leg carries, which go slack, where it comes to rest: the legs of a lift alone. [kg, degrees]

    Parameters
    ----------
    question
        As `LiftAsked`; `picks` for other points than the recorded ones.

    Raises
    ------
    HandlingError
        As `lift`.
    """
    from handling_db.lifting.answer import lift_answer

    found = lift_answer(records, _group(records, name), asked(records, **question))
    return told(records, (name, GROUP), found, _text(legs_answer_lines), legs_json)


def two_hooks(
    records: Records, name: str, head: str, tail: str, *, every: int = 10, **question: Unpack[LiftAsked]
) -> Answer[TwoHookAnswer]:
    """What two plumb hooks carry while one raises the head of a load and the other holds its tail. [kg]

    Parameters
    ----------
    head, tail : str
        Ids of pick points.
    every : int
        The words list every so many degrees.
    question
        As `LiftAsked`.

    Raises
    ------
    HandlingError
        As `lift`.
    """
    from handling_db.lifting.said.two_hooks_text import two_hooks_text
    from handling_db.lifting.two_hooks import two_hook_answer

    found = two_hook_answer(records, _group(records, name), head, tail, asked(records, **question))
    return told(records, (name, GROUP), found, partial(two_hooks_text, every=every), lift_json)


def level(
    records: Records, name: str, *, hook_m: float | None = None, **question: Unpack[LiftAsked]
) -> Answer[LevelAnswer]:
    """Leg lengths that hang a lift in its attitude, in whole links where the chain has a pitch. [m, degrees]

    Parameters
    ----------
    hook_m : float, optional
        Height of the hook over the centre of gravity; as high as the legs let it be where left out. [m]
    question
        As `LiftAsked`.

    Raises
    ------
    HandlingError
        As `lift`.
    """
    from handling_db.lifting.levelling.lengths import level_answer

    found = level_answer(records, _group(records, name), asked(records, **question), hook_m)
    return told(records, (name, GROUP), found, level_text, lift_json)


def tilt(
    records: Records,
    name: str,
    seen: str,
    low: str,
    *,
    within: str = "0.5 deg",
    **question: Unpack[LiftAsked],
) -> Answer[SeenTiltAnswer]:
    """What a tilt seen at a trial lift says: where the centre is, what it contradicts, what to shorten.

    Parameters
    ----------
    seen : str
        An angle (``3.5 deg``), or by how much the low side was lower (``15 mm``).
    low : str
        The side that hung low in the words of the datum, or a pick point.
    within : str
        How well it was seen.
    question
        As `LiftAsked`.

    Raises
    ------
    HandlingError
        As `lift`, or what was seen is neither an angle nor a length.
    """
    from handling_db.lifting.levelling.seen_tilt import READ_WITHIN, seen_tilt_answer

    angle = drop = None
    try:
        angle = radians(seen, "seen")
    except HandlingError as no_angle:
        try:
            drop = metres(seen, "seen")
        except HandlingError as no_length:
            # An angle that is none is told as one; whatever else it is, as the length that it might be.
            raise (no_angle if re.search(r"deg|°|rad", seen) else no_length) from None
    doubt = radians(within, "within")
    found = seen_tilt_answer(
        records,
        _group(records, name),
        low,
        asked(records, **question),
        tilt=angle,
        drop=drop,
        within=READ_WITHIN if doubt is None else doubt,
    )
    return told(records, (name, GROUP), found, seen_tilt_text, lift_json)


def joint(
    records: Records, name: str, *, as_of: datetime.date, job: str | None = None, serial: int | None = None
) -> Answer[JointAnswer]:
    """What still holds a joint: every tie with its state, what nobody looked for first.

    Parameters
    ----------
    as_of : date
        Past which notes are over.
    job, serial
        As `LiftAsked`.

    Raises
    ------
    HandlingError
        Nothing goes by the name, or there is no such job.
    """
    from handling_db.lifting.ties import joint_answer

    record = records.joints[named(records, name, ("joint",))[1]]
    found = joint_answer(records, record, job=job_named(records, job), serial=serial, as_of=as_of)
    return told(records, (name, ("joint",)), found, _text(joint_answer_lines), lift_json)
