"""Answers about a planned job as JSON values; what is said stands there with its words and what to do."""

from __future__ import annotations

from typing import Any

from handling_db.jobs.steps.answer import StepsAnswer
from handling_db.jobs.steps.beside import StepsBeside
from handling_db.jobs.steps.said.notices import KINDS, remedy, sentence
from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.said.as_json import UNITS, as_told, lift_json, notice_json
from handling_db.lifting.turn.figures import TurnAnswer
from handling_db.lookup.as_json import plain
from handling_db.moving.as_json import move_json
from handling_db.moving.figures import MoveAnswer
from handling_db.quantities.notice import Notice


def steps_json(answer: StepsAnswer | StepsBeside, *, first: str = "kg") -> dict[str, Any]:
    """The fields of an answer, or of both ways beside each other; null means not known, never nothing.

    Parameters
    ----------
    answer : StepsAnswer or StepsBeside
    first : str
        kg or lb: which comes first in the words.
    """

    def tell(value: Any) -> Any:
        if isinstance(value, LiftAnswer | TurnAnswer):  # its notices are those of lifts
            return {key: item for key, item in lift_json(value, first=first).items() if key != "units"}
        if isinstance(value, MoveAnswer):
            return move_json(value, first=first)
        if not isinstance(value, Notice):
            return value
        if value.kind not in KINDS:  # beside the figures of a lift
            return notice_json(value, first)
        told = sentence(value, first=first)
        return as_told(value, KINDS[value.kind].rank, told, f"{told} {remedy(value)}".rstrip())

    return {"units": UNITS, **plain(answer, tell, 12)}
