"""Answers about a planned job as JSON values; what is said stands there with its words and what to do."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from handling_db.jobs.steps.answer import StepsAnswer
from handling_db.jobs.steps.beside import StepsBeside
from handling_db.jobs.steps.said.notices import KINDS, remedy, sentence
from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.said.as_json import UNITS, lift_json
from handling_db.lifting.turn.figures import TurnAnswer
from handling_db.moving.as_json import said_json
from handling_db.moving.figures import MoveAnswer
from handling_db.quantities.notice import Notice


def steps_json(answer: StepsAnswer, *, first: str = "kg") -> dict[str, Any]:
    """The fields of an answer; null means not known, never nothing.

    Parameters
    ----------
    answer : StepsAnswer
    first : str
        kg or lb: which comes first in the words.
    """
    plain: dict[str, Any] = _plain(answer, first)
    return {"units": UNITS, **plain}


def beside_json(answer: StepsBeside, *, first: str = "kg") -> dict[str, Any]:
    """Both ways with their fields, and the steps that differ."""
    plain: dict[str, Any] = _plain(answer, first)
    return {"units": UNITS, **plain}


def _plain(value: Any, first: str) -> Any:
    if isinstance(value, LiftAnswer | TurnAnswer):
        inner = lift_json(value, first=first)  # its notices are those of lifts
        return {key: item for key, item in inner.items() if key != "units"}
    if isinstance(value, MoveAnswer):
        told_of = said_json(value, first)
        own = {one.name: getattr(value, one.name) for one in fields(value) if one.name not in told_of}
        return {**_plain(own, first), **told_of}
    if isinstance(value, Notice):
        told = sentence(value, first=first)
        return {
            "rank": int(KINDS[value.kind].rank),
            "kind": value.kind,
            "short": told,
            "words": f"{told} {remedy(value)}".rstrip(),
            "facts": _plain(dict(value.facts), first),
            "source": value.source,
        }
    if is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name), first) for one in fields(value)}
    if isinstance(value, dict):
        return {key: _plain(item, first) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item, first) for item in value]
    # + 0.0 takes the sign off a zero.
    return float(f"{value:.12g}") + 0.0 if isinstance(value, float) else value
