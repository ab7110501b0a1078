"""The look-up as JSON: stable field names, masses in kilograms, unknown as null, never zero."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, fields, is_dataclass
from fractions import Fraction
from typing import Any

from handling_db.lookup.json_forms import (
    LeftForJson,
    PartJson,
    RestsJson,
    StateJson,
    StatementJson,
    WeightJson,
)
from handling_db.quantities.display import planning
from handling_db.quantities.table import KG, LB
from handling_db.weights.answer import (
    MOST_AT_DATUM,
    Named,
    PartFigure,
    StateFigure,
    StatementFigure,
    WeightAnswer,
)
from handling_db.weights.verdict import Shared


def weight_json(answer: WeightAnswer) -> WeightJson:
    """Plain values of an answer; documented in docs/json.md."""
    return {
        "id": answer.id,
        "name": answer.name,
        "kind": answer.kind,
        "also_called": list(answer.also_called),
        "part_number": answer.part_number or None,
        "fits": list(answer.fits),
        "build": {
            value.name: {"value": value.text, "unit": value.unit, "default": value.is_default}
            for value in answer.build
        },
        "without": [named.id for named in answer.left_out],
        "parts_listed": answer.parts_listed or None,
        "states": [state_json(state) for state in answer.states],
        "statements": [statement_json(statement) for statement in answer.statements],
        "parts": [_part(part) for part in answer.parts],
        "goes_into": [_named(named) for named in answer.goes_into],
        "jobs": plain(answer.jobs),
        "cautions": ["figures, not permission"],
    }


def plain(value: Any, tell: Callable[[Any], Any] | None = None, digits: int = 17) -> Any:
    """Dataclasses, tuples and fractions as JSON has them; masses in kilograms.

    Parameters
    ----------
    value
        What is written.
    tell : callable, optional
        What stands for a dataclass, a notice above all; others it gives back.
    digits : int
        Of a figure; 17 for all of them.
    """
    if is_dataclass(value) and tell is not None:
        value = tell(value)
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name), tell, digits) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item, tell, digits) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item, tell, digits) for item in value]
    if isinstance(value, Fraction | float):
        return float(f"{float(value):.{digits}g}") + 0.0  # minus nothing is nothing
    return value


def _number(value: object) -> float | None:
    return None if value is None else float(value)  # type: ignore[arg-type]


def _named(named: Named) -> Any:
    """As it stands, with a number of pieces that has a point."""
    return {"id": named.id, "name": named.name, "pieces": float(named.pieces)}


def state_json(state: StateFigure) -> StateJson:
    """One state: null figures where nothing is known."""
    known = not state.nothing_known
    plan = state.planning
    return {
        "state": state.state,
        "complete": state.complete,
        "at_least": not state.complete,
        "best_kg": _number(state.best) if known else None,
        "low_kg": _number(state.low) if known else None,
        "high_kg": _number(state.high) if known else None,
        "half_width_worst": _number(state.half_width_worst) if known else None,
        "half_width_rss": state.half_width_rss if known else None,
        "u": state.u if known else None,
        "not_worked_out": [
            name
            for name, value in (("half_width_rss", state.half_width_rss), ("u", state.u))
            if known and value is None
        ],
        "plan_kg": None if plan is None else float(planning(plan, KG)),
        "plan_lb": None if plan is None else float(planning(plan, LB)),
        "why_no_plan": state.why_none or None,
        "basis": state.basis,
        "chosen": state.chosen or None,
        **_rests(state),
        "unknown": [_named(named) for named in state.unknown],
        "open_lists": [named.id for named in state.open_lists],
        "fluid_listed_at": [named.id for named in state.fluid_elsewhere],
        "centre_m": list(state.centre) if state.centre else None,
        "centre_of_known_part_only": state.centre is not None and state.parts_missing,
        "no_place": [named.id for named in state.no_place],
        "taken_at_datum": [named.id for named in state.at_datum[:MOST_AT_DATUM]],
        "more_taken_at_datum": len(state.at_datum) > MOST_AT_DATUM,
    }


def _rests(state: StateFigure) -> RestsJson:
    """What a figure rests on beyond its parts: null where it is a plain one."""
    rests = state.rests
    left: LeftForJson | None = None
    if rests.left is not None:
        part, low, high = rests.left
        left = {
            "id": part.id,
            "name": part.name,
            "pieces": float(part.pieces),
            "low_kg": _number(low),
            "high_kg": _number(high),
        }
    second, without = rests.second, rests.without
    return {
        "inferred": rests.inferred,
        "rests_on_one_weighing": rests.printed or None if rests.alone and rests.weighed else None,
        "rests_on_one_figure": rests.printed or None if rests.alone else None,
        "of_whole": rests.whole or None,
        "left_for": left,
        "as_weighed_on_serial": rests.serial or None,
        "second_kg": None if second is None else float(planning(second, KG)),
        "second_lb": None if second is None else float(planning(second, LB)),
        "second_without_limit": rests.second_open,
        "missing_in": rests.where or None,
        "cannot_all_be_true": [list(one) for one in rests.disputes],
        "guess": rests.guess or None,
        "plan_without_kg": None if without is None else float(planning(without, KG)),
        "plan_without_lb": None if without is None else float(planning(without, LB)),
        "plan_lifted_by": rests.waits or None,
        "every_combination_looked_at": rests.all_looked_at,
        "routes": [
            {"what": r.what, "low_kg": _number(r.low), "high_kg": _number(r.high)} for r in rests.routes
        ],
        "narrowed": [
            {"since": n.since or None, "low_kg": _number(n.low), "high_kg": _number(n.high), "by": list(n.by)}
            for n in rests.narrowed
        ],
    }


def statement_json(statement: StatementFigure) -> StatementJson:
    """One source's figure and its verdict."""
    return {
        "id": statement.id,
        "printed": statement.printed,
        "best_kg": _number(statement.best),
        "low_kg": _number(statement.low),
        "high_kg": _number(statement.high),
        "doubt_from": statement.doubt_from,
        "step_assumed": statement.step_assumed,
        "columns_original": statement.columns or None,
        "state": statement.state,
        "counts": statement.counts,
        "without": statement.without,
        "boundary_known": statement.boundary_known,
        "source": statement.source,
        "source_kind": statement.source_kind,
        "on": statement.on or None,
        "by": statement.by or None,
        "derived": statement.derived or None,
        "verdict": statement.verdict or None,
        "because": statement.because or None,
        "parts_low_kg": _number(statement.parts_low),
        "parts_high_kg": _number(statement.parts_high),
        "gap_low_kg": _number(statement.gap_low),
        "gap_high_kg": _number(statement.gap_high),
        "missing_low_kg": _number(statement.missing_low),
        "missing_high_kg": _number(statement.missing_high),
        "hides_up_to_kg": _number(statement.hides),
        "both_rest_on": plain(statement.shared),
    }


def shared_text(shared: Sequence[Shared]) -> str | None:
    """What both sides of a comparison rest on, as JSON; None where nothing recorded is shared."""
    return json.dumps([asdict(one) for one in shared], ensure_ascii=False) if shared else None


def _part(part: PartFigure) -> PartJson:
    quantity = float(part.quantity)
    return {
        "line": part.line,
        "id": part.id,
        "name": part.name,
        "quantity": quantity,
        "known": part.known,
        "complete": part.complete,
        "each_best_kg": _number(part.best) if part.known else None,
        "each_low_kg": _number(part.low) if part.known else None,
        "each_high_kg": _number(part.high) if part.known else None,
        "line_best_kg": quantity * float(part.best) if part.known else None,
        "basis": part.basis,
    }
