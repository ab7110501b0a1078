"""What a figure that waits would make of a plan: told beside the plan without it, and only where it lifts it.

A figure of another shop that nobody here has reviewed is no evidence. But where it says that a piece is
heavier, whoever lifts it has to know that before somebody finds the time to review it.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from handling_db.errors import HandlingError
from handling_db.lookup.weight import answer
from handling_db.quantities.display import planning_text
from handling_db.records.collection import Collection, collect
from handling_db.records.joined import with_masses_of
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.versions import Question


def lifted_plan(collection: Collection, question: Question, code: str, first: str = "kg") -> str:
    """A sentence on the higher plan with a figure that waits; empty where it lifts none.

    Parameters
    ----------
    collection : Collection
    question : Question
        A weighing of a component here, or another version of one with mass statements of its own.
    code : str
        The component whose plan is asked about: the piece itself, or one above it.
    first : str
        Which unit comes first.
    """
    if not isinstance(question.record, Weighing | Component):
        return ""
    try:
        without = _plan(collection, code)
        lifted = _plan(collect(_counted(collection, question), collection.lines), code)
    except HandlingError:
        return ""  # what it says cannot be worked out here; that it waits is said anyway
    if lifted is None or without is None or lifted <= without:
        return ""
    one, two = (planning_text(figure, first=first) for figure in (lifted, without))
    return f"with it plan with {one}, without it {two}"


def _plan(collection: Collection, code: str) -> Fraction | None:
    figure = answer(collection, code).headline.planning
    return None if figure is None else Fraction(figure)


def _counted(collection: Collection, question: Question) -> Iterator[tuple[str, object]]:
    """The records as if the figure counted: beside ours, in place of nothing."""
    for kind, record in collection.records():
        if kind == question.kind == "component" and record.id == question.id:
            yield kind, with_masses_of(record, question.record)
        elif (kind, record.id) != (question.kind, question.id):
            yield kind, record
    if isinstance(question.record, Weighing):
        # It replaces nothing of ours while it waits.
        yield question.kind, question.record.model_copy(update={"replaces": None})
