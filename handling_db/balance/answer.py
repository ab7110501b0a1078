"""Reconciliation of a collection, as a plain answer."""

from __future__ import annotations

import math

from handling_db.balance.measurements import Gathered, gather
from handling_db.balance.reconcile import SIGNIFICANCE, Adjusted, reconcile
from handling_db.evidence.answer import (
    AdjustedFigure,
    ReconcileAnswer,
    UnusedFigure,
)
from handling_db.evidence.figure_places import FigurePlaces
from handling_db.records.collection import Collection
from handling_db.records.parts.texts import State
from handling_db.weights.compare import Judge
from handling_db.weights.totals import Totals


def reconcile_answer(
    collection: Collection,
    code: str | None = None,
    *,
    state: State,
    significance: float = SIGNIFICANCE,
) -> ReconcileAnswer:
    """All figures adjusted so that every sum holds, and which of them is likely wrong.

    Parameters
    ----------
    collection : Collection
        With everything that wholes around the component are made of.
    code : str, optional
        Whose adjusted mass is wanted as well.
    state : State
    significance : float
        Share of false alarms allowed.

    Raises
    ------
    HandlingError
        The significance makes no sense, or a shared graph is too large.
    """
    judge = Judge(collection)
    totals = judge.totals(state)
    gathered = gather(totals)
    found = reconcile(gathered.network, gathered.readings, significance=significance)
    estimate = found.estimates[judge.node_by_default(code)] if code is not None else None
    places = FigurePlaces(collection)
    figures = [_adjusted(totals, gathered, one, places) for one in found.figures]
    by_id = {one.id: one for one in figures}
    figures.sort(key=lambda one: (one.normalised is None, -abs(one.normalised or 0), one.id))
    return ReconcileAnswer(
        code or "",
        collection.components[code].name if code else "",
        state,
        significance,
        found.statistic,
        found.freedom,
        found.limit,
        found.each_limit if math.isfinite(found.each_limit) else 0.0,
        found.beyond,
        found.suspects,
        tuple(figures),
        tuple(
            UnusedFigure(
                one.id,
                one.component,
                collection.components[one.component].name,
                one.because,
                place=places.of(one.id),
            )
            for one in gathered.unused
        ),
        estimate.best if estimate else None,
        estimate.u if estimate else None,
        tuple(tuple(by_id[figure] for figure in group) for group in found.causes),
    )


def _adjusted(totals: Totals, gathered: Gathered, one: Adjusted, places: FigurePlaces) -> AdjustedFigure:
    reading = one.reading
    inside = reading.node < gathered.tree_nodes
    code = totals.tree.component(reading.node) if inside else ""
    others = one.others or (None, None)
    return AdjustedFigure(
        reading.id,
        code,
        totals.collection.components[code].name if code else gathered.network.names[reading.node],
        reading.says,
        float(reading.best),
        one.adjusted,
        one.adjustment,
        others[0],
        others[1],
        one.normalised,
        one.beyond,
        places.of(reading.id),
    )
