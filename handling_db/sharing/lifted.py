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


def lifted_plan(collection: Collection, code: str, first: str = "kg") -> tuple[str, str]:
    """Which figure that waits lifts the plan of a component, and a sentence on it; both empty for none.

    Parameters
    ----------
    collection : Collection
    code : str
        The component whose plan is asked about: the piece itself, or one above it.
    first : str
        Which unit comes first.

    Returns
    -------
    (str, str)
        Id of the figure, and the plan with it and without it.
    """
    try:
        figure = answer(collection, code).headline
    except HandlingError:
        return "", ""  # what is asked cannot be worked out here; that a figure waits is said anyway
    if figure.planning is None or figure.rests.without is None or not figure.rests.waits_id:
        return "", ""
    one, two = (planning_text(kg, first=first) for kg in (figure.planning, figure.rests.without))
    return figure.rests.waits_id, f"with it plan with {one}, without it {two}"


def ids_of_figures(question: OpenVersion) -> frozenset[str]:
    """Ids of the figures of a version that waits."""
    record = question.record
    if isinstance(record, Component):
        return frozenset(statement.key(record.component) for statement in record.masses)
    return frozenset((question.id,))
