"""Two ways of one planned job side by side: what differs, step by step."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.jobs.steps.answer import BodyFigure, StepFigure, StepsAnswer
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice

SAME_KG, SAME_DEG = 0.05, 0.05  # below what is printed


@dataclass(frozen=True, slots=True)
class StepBeside:
    """One step as planned and as asked; None on a side where there is no such step. [kg, deg]

    Parameters
    ----------
    id, what : str
    number, other_number : int or None
    kg, other_kg : Amount or None
        Of the body that the step is about.
    tips_deg, other_tips_deg : float or None
    reading, other_reading : Amount or None
        What the hook should show in a lift.
    only_here, only_there : tuple of Notice
        Findings and cautions of one side alone.
    """

    id: str
    what: str
    number: int | None
    other_number: int | None
    kg: Amount | None
    other_kg: Amount | None
    tips_deg: float | None
    other_tips_deg: float | None
    reading: Amount | None
    other_reading: Amount | None
    only_here: tuple[Notice, ...]
    only_there: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class StepsBeside:
    """A planned job and a change of it: both answers, and the steps that differ."""

    planned: StepsAnswer
    asked: StepsAnswer
    differs: tuple[StepBeside, ...]


def beside(planned: StepsAnswer, asked: StepsAnswer) -> StepsBeside:
    """Lay a changed plan beside the plan, step by step."""
    ours = {step.id: step for step in planned.steps}
    theirs = {step.id: step for step in asked.steps}
    order = [*theirs, *(name for name in ours if name not in theirs)]
    rows = [_row(name, ours.get(name), theirs.get(name)) for name in order]
    return StepsBeside(planned, asked, tuple(row for row in rows if _differs(row)))


def _row(name: str, one: StepFigure | None, other: StepFigure | None) -> StepBeside:
    here, there = _body(one), _body(other)
    said = _said(one)
    said_there = _said(other)
    step = one or other
    assert step is not None  # the name came from one of the two
    return StepBeside(
        id=name,
        what=step.what,
        number=one.number if one else None,
        other_number=other.number if other else None,
        kg=here.kg if here else None,
        other_kg=there.kg if there else None,
        tips_deg=here.tips_deg if here else None,
        other_tips_deg=there.tips_deg if there else None,
        reading=_reading(one),
        other_reading=_reading(other),
        only_here=tuple(n for n in said if n.kind not in {o.kind for o in said_there}),
        only_there=tuple(n for n in said_there if n.kind not in {o.kind for o in said}),
    )


def _body(step: StepFigure | None) -> BodyFigure | None:
    return step.body if step is not None else None


def _reading(step: StepFigure | None) -> Amount | None:
    return step.lift.reading.expected if step is not None and step.lift is not None else None


def _said(step: StepFigure | None) -> tuple[Notice, ...]:
    return (*step.findings, *step.cautions) if step is not None else ()


def _differs(row: StepBeside) -> bool:
    return (
        row.number != row.other_number
        or bool(row.only_here or row.only_there)
        or not _near(_best(row.kg), _best(row.other_kg), SAME_KG)
        or not _near(_best(row.reading), _best(row.other_reading), SAME_KG)
        or not _near(row.tips_deg, row.other_tips_deg, SAME_DEG)
    )


def _best(load: Amount | None) -> float | None:
    return load.best if load is not None else None


def _near(one: float | None, other: float | None, apart: float) -> bool:
    return one is other if one is None or other is None else abs(one - other) < apart
