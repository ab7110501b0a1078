"""What a figure that waits makes of a plan, told beside the plan without it, and only where it lifts it.

A figure of another shop that nobody here has reviewed is no evidence. But where it says that a piece is
heavier, whoever lifts it has to know that before somebody finds the time to review it.
"""

from __future__ import annotations

from handling_db.errors import HandlingError
from handling_db.lookup.weight import answer
from handling_db.quantities.display import planning_text
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.versions import OpenVersion


def lifted_plan(collection: Collection, question: OpenVersion, code: str, first: str = "kg") -> str:
    """A sentence on the higher plan with a figure that waits; empty where it lifts none.

    Parameters
    ----------
    collection : Collection
    question : OpenVersion
        A weighing of a component here, or another version of one with mass statements of its own.
    code : str
        The component whose plan is asked about: the piece itself, or one above it.
    first : str
        Which unit comes first.
    """
    try:
        figure = answer(collection, code).headline
    except HandlingError:
        return ""  # what is asked cannot be worked out here; that a figure waits is said anyway
    if figure.planning is None or figure.rests.without is None or figure.rests.waits_id not in _ids(question):
        return ""
    one, two = (planning_text(kg, first=first) for kg in (figure.planning, figure.rests.without))
    return f"with it plan with {one}, without it {two}"


def _ids(question: OpenVersion) -> frozenset[str]:
    """Ids of the figures of a version that waits."""
    record = question.record
    if isinstance(record, Component):
        return frozenset(statement.key(record.component) for statement in record.masses)
    return frozenset((question.id,))
