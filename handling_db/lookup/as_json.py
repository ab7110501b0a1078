"""The look-up as JSON: stable field names, masses in kilograms, unknown as null, never zero."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from operator import attrgetter
from typing import Any, TypedDict

from handling_db.lookup.json_forms import CAUTIONS, Field, Form
from handling_db.lookup.json_forms import plain as plain
from handling_db.quantities.display import planning
from handling_db.quantities.table import KG, LB
from handling_db.weights.answer import (
    MOST_AT_DATUM,
    Narrowed,
    Number,
    PartFigure,
    StateFigure,
    StatementFigure,
    WayToFigure,
    WeightAnswer,
)
from handling_db.weights.verdict import Shared


class LeftForJson(TypedDict):
    """What a weighed whole leaves for a part that nobody weighed, and how many pieces of it. [kg]"""

    id: str
    name: str
    pieces: float
    low_kg: Number | None
    high_kg: Number | None


class ValueJson(TypedDict):
    """One value of a build."""

    value: str
    unit: str
    default: bool


def _left(state: StateFigure) -> LeftForJson | None:
    if state.rests.left is None:
        return None
    part, low, high = state.rests.left
    return {"id": part.id, "name": part.name, "pieces": float(part.pieces), "low_kg": low, "high_kg": high}


def _build(answer: WeightAnswer) -> dict[str, ValueJson]:
    return {v.name: {"value": v.text, "unit": v.unit, "default": v.is_default} for v in answer.build}


def _planned(name: str, path: str) -> tuple[Field, Field]:
    """A figure to plan with, rounded up in each unit by itself; null where there is none."""
    get = attrgetter(path)

    def rounded(unit: Any) -> Any:
        return lambda value: None if get(value) is None else float(planning(get(value), unit))

    return (f"{name}_kg", float | None, rounded(KG)), (f"{name}_lb", float | None, rounded(LB))


def _known(name: str, attribute: str = "") -> Field:
    """A figure that is null where nothing is known."""
    get = attrgetter(attribute or name)

    def figure(value: Any) -> Any:
        known = value.known if isinstance(value, PartFigure) else not value.nothing_known
        return get(value) if known else None

    return name, Number | None, figure


def _ids(name: str, attribute: str) -> Field:
    return name, list[str], lambda value: [named.id for named in getattr(value, attribute)]


def _not_worked_out(state: StateFigure) -> list[str]:
    return [n for n in ("half_width_rss", "u") if not state.nothing_known and getattr(state, n) is None]


def _one_figure(state: StateFigure) -> str | None:
    return state.rests.printed or None if state.rests.alone else None


Form("RouteJson", WayToFigure, "One way to the figure, and its limits. [kg]", "what low_kg high_kg")
Form(
    "NarrowedJson",
    Narrowed,
    "What the evidence allowed a piece to weigh, dry, from a day on; null before the first. [kg]",
    "since? low_kg high_kg by",
)
STATE = Form(
    "StateJson",
    StateFigure,
    "One state: null figures where nothing is known. [kg, lb, m]",
    "state complete",
    ("at_least", bool, lambda state: not state.complete),
    _known("best_kg", "best"),
    _known("low_kg", "low"),
    _known("high_kg", "high"),
    _known("half_width_worst"),
    _known("half_width_rss"),
    _known("u"),
    ("not_worked_out", list[str], _not_worked_out),
    *_planned("plan", "planning"),
    "why_no_plan=why_none? basis chosen? inferred=rests.inferred",
    ("rests_on_one_weighing", str | None, lambda state: _one_figure(state) if state.rests.weighed else None),
    ("rests_on_one_figure", str | None, _one_figure),
    "of_whole=rests.whole?",
    ("left_for", LeftForJson | None, _left),
    "as_weighed_on_serial=rests.serial?",
    *_planned("second", "rests.second"),
    "second_without_limit=rests.second_open missing_in=rests.where? cannot_all_be_true=rests.disputes",
    "guess=rests.guess?",
    *_planned("plan_without", "rests.without"),
    "plan_lifted_by=rests.waits? every_combination_looked_at=rests.all_looked_at",
    "routes=rests.routes narrowed=rests.narrowed unknown",
    _ids("open_lists", "open_lists"),
    _ids("fluid_listed_at", "fluid_elsewhere"),
    "centre_m=centre",
    ("centre_of_known_part_only", bool, lambda state: state.centre is not None and state.parts_missing),
    _ids("no_place", "no_place"),
    ("taken_at_datum", list[str], lambda state: [named.id for named in state.at_datum[:MOST_AT_DATUM]]),
    ("more_taken_at_datum", bool, lambda state: len(state.at_datum) > MOST_AT_DATUM),
)
STATEMENT = Form(
    "StatementJson",
    StatementFigure,
    "One source's figure, its doubt and its verdict. [kg]",
    "id printed best_kg low_kg high_kg doubt_from step_assumed columns_original=columns? state counts",
    "without boundary_known source source_kind on? by? derived? verdict? because? parts_low_kg parts_high_kg",
    "gap_low_kg gap_high_kg missing_low_kg missing_high_kg hides_up_to_kg=hides both_rest_on=shared",
)
PART = Form(
    "PartJson",
    PartFigure,
    "One part line with its figures; null where nobody weighed it. [kg]",
    "line id name quantity known complete",
    _known("each_best_kg", "best"),
    _known("each_low_kg", "low"),
    _known("each_high_kg", "high"),
    ("line_best_kg", float | None, lambda p: float(p.quantity) * float(p.best) if p.known else None),
    "basis",
)
WEIGHT = Form(
    "WeightJson",
    WeightAnswer,
    "How heavy it is, who says so, and what is not known.",
    "id name kind also_called part_number? fits",
    ("build", Mapping[str, ValueJson], _build),
    _ids("without", "left_out"),
    "parts_listed? states statements parts goes_into jobs",
    CAUTIONS,
)


def shared_text(shared: Sequence[Shared]) -> str | None:
    """What both sides of a comparison rest on, as JSON; None where nothing recorded is shared."""
    return json.dumps([asdict(one) for one in shared], ensure_ascii=False) if shared else None
