"""A reading seen at the hook: what still holds, comes along or stays behind, that would explain it."""

from __future__ import annotations

from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Question, work
from handling_db.lifting.figures import CAUTIONS, LiftAnswer, Piece, ReadingAnswer
from handling_db.quantities.amount import newtons
from handling_db.records.collection import Collection
from handling_db.rigging.reading import OpenTie, reading_seen


def reading_answer(
    collection: Collection, name: str, seen_kg: float, question: Question | None = None
) -> ReadingAnswer:
    """Compare a seen reading with the expected one.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the lift group.
    seen_kg : float
        Steady reading. [kg]
    question : Question, optional

    Returns
    -------
    ReadingAnswer
        The excess as an interval, every open tie that could hold it, and single pieces that would fit it.

    Raises
    ------
    StaticsError
        A reading that cannot be, or as `work`.
    """
    case = work(collection, name, question or Question())
    lift = answer_of(case)
    open_ties = lift.open_ties
    held = [
        OpenTie(
            f"{number}",
            tie.state,
            None if tie.holds_up_to_kg is None else newtons(tie.holds_up_to_kg),
        )
        for number, tie in enumerate(open_ties)
    ]
    seen = reading_seen(seen_kg, case.expected, (), stop=case.stop)
    could = reading_seen(seen_kg, case.expected, held).ties
    ties = tuple(open_ties[int(tie.name)] for tie in could)
    says = list(seen.says)
    over = seen.excess_low_kg is not None and seen.excess_low_kg > 0.0
    if over and ties:
        says.insert(
            0, "still open and able to hold that: " + "; ".join(f"{t.what} ({t.state})" for t in ties) + "."
        )
    elif seen.excess_low_kg is None and ties:
        says.insert(0, "still open: " + "; ".join(f"{t.what} ({t.state})" for t in ties) + ".")
    return ReadingAnswer(
        lift=lift,
        seen_kg=seen_kg,
        excess_low_kg=seen.excess_low_kg,
        excess_high_kg=seen.excess_high_kg,
        ties=ties,
        parts=_fitting(lift, seen.excess_low_kg, seen.excess_high_kg),
        says=tuple(says),
        cautions=CAUTIONS,
    )


def _fitting(lift: LiftAnswer, low: float | None, high: float | None) -> tuple[str, ...]:
    """Single pieces whose mass fits the difference: not taken yet on the hook, or taken and not on it."""
    if low is None or high is None:
        return ()
    if low > 0.0:
        return tuple(
            f"{piece.name} ({piece.why}) may still be on"
            for piece in lift.outside
            if _overlaps(piece, low, high)
        )
    if high < 0.0:
        return tuple(
            f"{piece.name} may not be on the hook" for piece in lift.inside if _overlaps(piece, -high, -low)
        )
    return ()


def _overlaps(piece: Piece, low: float, high: float) -> bool:
    load = piece.load
    return load is not None and load.high is not None and load.low <= high and load.high >= low
