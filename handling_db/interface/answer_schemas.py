"""The JSON Schema of what every command prints with ``--json``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from handling_db.carrying.packing import Arrangement
from handling_db.evidence.answer import (
    BoundsAnswer,
    DoubtAnswer,
    ExplainAnswer,
    ReconcileAnswer,
    SweepAnswer,
    WhyAnswer,
    WhyLine,
)
from handling_db.fleet.as_json import TOTAL, WHERE_USED
from handling_db.fleet.disagree import Disagreements
from handling_db.fleet.missing import MissingInFleet
from handling_db.interface import answer_forms as forms
from handling_db.interface.schema_of import Definitions, Schema
from handling_db.jobs.lighten.figures import LightenAnswer
from handling_db.jobs.progress import ProgressAnswer, StepInHand
from handling_db.jobs.steps.answer import StepsAnswer
from handling_db.jobs.steps.beside import StepsBeside
from handling_db.lifting.figures import JointAnswer, LiftAnswer, ReadingAnswer
from handling_db.lifting.levelling.lengths import LevelAnswer
from handling_db.lifting.levelling.seen_tilt import SeenTiltAnswer
from handling_db.lifting.said.as_json import ABOUT_LEGS, NoticeJson
from handling_db.lifting.turn.figures import TurnAnswer
from handling_db.lifting.two_hooks import TwoHookAnswer
from handling_db.lookup.as_json import STATE, WEIGHT
from handling_db.lookup.heavier import HEAVIER
from handling_db.moving.figures import DockFigure, MoveAnswer
from handling_db.quantities.notice import Notice
from handling_db.records.schema import DIALECT
from handling_db.shop.figures import FixtureAnswer, HandsAnswer, IndexAnswer, ShopAnswer
from handling_db.weights.answer import StateFigure

_UNITS: Mapping[str, Any] = {"units": Mapping[str, str]}
# Of another shop's records: there only where they are.
_MARKS = ("not_reviewed", "waiting", "left_out")


@dataclass(frozen=True, slots=True)
class _Form:
    """How the JSON of one command is made of classes.

    Parameters
    ----------
    of : tuple of class
        One of them, whatever was asked.
    more : mapping of field to type
        Beside the fields of the class.
    only : tuple of str
        Of its fields, these; empty for all.
    """

    of: tuple[type, ...]
    more: Mapping[str, Any]
    only: tuple[str, ...] = ()


def _form(*of: type, **more: Any) -> _Form:
    return _Form(of, more)


_WRITTEN = _form(forms.WrittenJson)
FORMS: Mapping[str, _Form] = {
    "weight": _form(WEIGHT.schema),
    "heavier": _form(HEAVIER.schema),
    "find": _form(forms.FindJson),
    "notes": _form(forms.NotesJson),
    "why": _form(WhyAnswer),
    "sweep": _form(SweepAnswer),
    "bounds": _form(BoundsAnswer),
    "reconcile": _form(ReconcileAnswer),
    "explain": _form(ExplainAnswer),
    "doubt": _form(DoubtAnswer),
    "gaps": _form(forms.GapsJson),
    "lift": _form(LiftAnswer, **_UNITS),
    "legs": _Form((LiftAnswer,), _UNITS, ABOUT_LEGS),
    "level": _form(LevelAnswer, **_UNITS),
    "tilt": _form(SeenTiltAnswer, **_UNITS),
    "turn": _form(TurnAnswer, **_UNITS),
    "two-hooks": _form(TwoHookAnswer, **_UNITS),
    "reading": _form(ReadingAnswer, **_UNITS),
    "joint": _form(JointAnswer, **_UNITS),
    "steps": _form(StepsAnswer, StepsBeside, **_UNITS),
    "lighten": _form(LightenAnswer, **_UNITS),
    "move": _form(MoveAnswer, scale=DockFigure | None),
    "stand": _form(forms.StandJson),
    "hands": _form(HandsAnswer, IndexAnswer),
    "fixtures": _form(FixtureAnswer),
    "shop": _form(ShopAnswer),
    "pallets": _form(forms.PalletsJson, Arrangement),
    "check": _form(forms.CheckJson),
    "build": _form(forms.BuiltJson),
    "sheet": _form(forms.SheetsJson),
    "fleet total": _form(TOTAL.schema, file=str),
    "fleet missing": _form(MissingInFleet),
    "fleet disagree": _form(Disagreements),
    "fleet where-used": _form(WHERE_USED.schema),
    "history": _form(forms.ChangesJson),
    "parcel look": _form(forms.LookJson),
    "parcel review": _form(forms.QuestionsJson),
    "job where": _form(ProgressAnswer, next=StepInHand | None),
    **{f"job {word}": _WRITTEN for word in ("follow", "done")},
    **{f"job {word}": _form(forms.WeighedJson) for word in ("weighed", "confirm")},
    **{f"job {word}": _WRITTEN for word in ("open", "close", "off", "reading", "tie-in", "tie-out")},
}


def answer_schemas() -> Schema:
    """One schema file for all answers: the answer of a command is under ``$defs``, by its words."""
    known = _definitions()
    answers = {command: _answer(command, form, known) for command, form in FORMS.items()}
    defs = {**answers, **dict(sorted(known.found.items()))}
    return {"$schema": DIALECT, "title": "Answers of handling-db as JSON", "$defs": defs}


def answer_schema(command: str) -> Schema:
    """The schema of what one command prints with ``--json``, with all that it needs.

    Parameters
    ----------
    command : str
        Its words, such as ``lift`` or ``parcel look``.

    Raises
    ------
    KeyError
        No such command prints JSON.
    """
    form = FORMS[command]
    known = _definitions()
    answer = _answer(command, form, known)
    needed: dict[str, Schema] = {}
    left = [answer]
    while left:
        for name in _named_in(left.pop()):
            if name not in needed:
                needed[name] = known.found[name]
                left.append(needed[name])
    return {"$schema": DIALECT, **answer, "$defs": dict(sorted(needed.items()))}


def _definitions() -> Definitions:
    return Definitions(
        {StateFigure: STATE.schema, Notice: NoticeJson, **{one.of: one.schema for one in forms.INSIDE}},
        {WhyLine: ("best", "low", "high")},
        ("handling_db.carrying.", "handling_db.moving.", "handling_db.shop."),
    )


def _answer(command: str, form: _Form, known: Definitions) -> Schema:
    found = [_fields(one, form, known) for one in form.of]
    title = f"handling-db {command} --json"
    return {"title": title, **found[0]} if len(found) == 1 else {"title": title, "anyOf": found}


def _fields(of: type, form: _Form, known: Definitions) -> Schema:
    made = known.fields_of(of)
    beside = {name: known.of(kind) for name, kind in form.more.items()}
    properties = {**beside, **made["properties"]}
    needed = [*beside, *made["required"]]
    if form.only:
        properties = {name: properties[name] for name in form.only}
        needed = [name for name in needed if name in properties]
    marks = {name: {"type": "array", "items": {"type": "string"}} for name in _MARKS}
    return {**made, "properties": {**properties, **marks}, "required": needed}


def _named_in(schema: Any) -> list[str]:
    """The definitions that a schema refers to."""
    if isinstance(schema, dict):
        own = [schema["$ref"].removeprefix("#/$defs/")] if isinstance(schema.get("$ref"), str) else []
        return own + [name for value in schema.values() for name in _named_in(value)]
    if isinstance(schema, list):
        return [name for value in schema for name in _named_in(value)]
    return []
