"""A reading seen at the hook: what still holds, comes along or stays behind, that would explain it."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Case, LiftQuestion, work
from handling_db.lifting.figures import CAUTIONS, LiftAnswer, ReadingAnswer, TieFigure
from handling_db.quantities.amount import Amount, newtons, total
from handling_db.quantities.notice import Facts, Notice
from handling_db.records.collection import Collection
from handling_db.rigging.reading import OpenTie, reading_seen


def reading_answer(
    collection: Collection, name: str, seen_kg: float, question: LiftQuestion | None = None
) -> ReadingAnswer:
    """Compare a seen reading with the expected one.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the lift group.
    seen_kg : float
        Steady reading. [kg]
    question : LiftQuestion, optional

    Returns
    -------
    ReadingAnswer
        The excess as an interval, every open tie that could hold it, and single pieces that would fit it.

    Raises
    ------
    StaticsError
        A reading that cannot be, or as `work`.
    """
    case = work(collection, name, question or LiftQuestion())
    return reading_of(case, answer_of(case), seen_kg)


def reading_of(case: Case, lift: LiftAnswer, seen_kg: float) -> ReadingAnswer:
    """The same where the lift is worked out already.

    Raises
    ------
    StaticsError
        A reading that cannot be.
    """
    open_ties = lift.open_ties
    held = [
        OpenTie(f"{number}", None if tie.holds_up_to_kg is None else newtons(tie.holds_up_to_kg))
        for number, tie in enumerate(open_ties)
    ]
    seen = reading_seen(seen_kg, case.expected, held)
    low, high = seen.excess_low_kg, seen.excess_high_kg
    ties = tuple(open_ties[int(tie.name)] for tie in seen.ties)
    return ReadingAnswer(
        lift=lift,
        seen_kg=seen_kg,
        excess_low_kg=low,
        excess_high_kg=high,
        ties=ties,
        parts=_fitting(lift, low, high),
        says=tuple(_says(case, lift, seen_kg, low, high, ties)),
        cautions=CAUTIONS,
    )


def _says(
    case: Case,
    lift: LiftAnswer,
    seen_kg: float,
    low: float | None,
    high: float | None,
    ties: Sequence[TieFigure],
) -> list[Notice]:
    """What the difference means: too much, too little, inside, or not to be told; a stop reached first."""
    said = []
    error = 0.0 if case.expected.cell is None else case.expected.cell.at(seen_kg)
    if case.stop is not None and seen_kg + error >= case.stop.at_kg:
        facts: Facts = {"seen_kg": seen_kg, "at_kg": max(0.0, case.stop.at_kg), "why": case.stop.reason}
        said.append(Notice("stop reached", facts))
    if high is not None and high < 0.0:
        kind = "reads too low, at least" if low is None else "reads too low"
        said += [Notice(kind, {"least_kg": -high, "most_kg": None if low is None else -low})]
        said.append(_carried_elsewhere(lift))
    elif low is not None and low > 0.0:
        facts = {"least_kg": low, "most_kg": high, "least_n": newtons(low), "most_n": newtons(high or low)}
        said.append(Notice("reads too high", facts))
        if ties:
            said.append(Notice("could hold that", {"ties": tuple(f"{t.what} ({t.state})" for t in ties)}))
        said.append(Notice("or nobody listed it"))
    elif low is None:
        said.append(Notice("excess not told", {"names": case.expected.missing}))
        if ties:
            said.append(Notice("still open", {"ties": tuple(f"{t.what} ({t.state})" for t in ties)}))
    else:
        said.append(Notice("inside what it may weigh"))
    return said


def _carried_elsewhere(lift: LiftAnswer) -> Notice:
    """What may still carry part of the load: the other half, and every tie that is not out."""
    below = (f"{lift.other_half_name}, which it may still rest on",) if lift.other_half_name else ()
    ties = tuple(f"{tie.what} ({tie.state})" for tie in lift.open_ties)
    return Notice("something else still carries", {"what": below + ties or ("whatever it stands on",)})


def _fitting(lift: LiftAnswer, low: float | None, high: float | None) -> tuple[Notice, ...]:
    """What fits the difference by mass alone: still on the hook, stayed behind, or not read by the cell."""
    if high is not None and high < 0.0:
        # Without an upper figure the load may be heavier than its best, so more than this may be missing.
        most = -low if low is not None else None
        found = [
            Notice("may have stayed behind", {"name": piece.name})
            for piece in lift.inside
            if piece.load is None or _fits(piece.load, -high, most)
        ]
        for addition in lift.additions:
            if _fits(addition.load, -high, most):
                kind = {"fluid": "may have run out", "gear": "may be zeroed away"}.get(addition.kind)
                found.append(Notice(kind or "may have stayed behind", {"name": addition.name}))
        gear = {a.name: a.load for a in lift.additions if a.kind == "gear"}
        if len(gear) > 1 and any(gear.values()) and _fits(total(gear).amount, -high, most):
            found.append(Notice("may be zeroed away", {"name": "all the gear together"}))
        return tuple(found)
    if low is not None and low > 0.0 and high is not None:
        return tuple(
            Notice("may still be on", {"name": piece.name, "why": piece.why})
            for piece in lift.outside
            if _fits(piece.load, low, high)
        )
    return ()


def _fits(load: Amount | None, least: float, most: float | None) -> bool:
    """Whether a mass can be the whole difference."""
    if load is None or load.high is None:
        return False
    return load.high >= least and (most is None or load.low <= most)
