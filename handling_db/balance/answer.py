"""Bounds and reconciliation of a collection, as plain answers."""

from __future__ import annotations

import math
from collections.abc import Iterable

from handling_db.balance.bounds import Bound, Span, bounds
from handling_db.balance.bounds_exact import exact_bound
from handling_db.balance.explained import inferred_figures
from handling_db.balance.measurements import Gathered, gather
from handling_db.balance.reconcile import SIGNIFICANCE, Adjusted, reconcile
from handling_db.evidence.answer import (
    AdjustedFigure,
    BoundFigure,
    BoundsAnswer,
    ReconcileAnswer,
    UnusedFigure,
)
from handling_db.families.build import BuildError, build_of, value_text
from handling_db.records.collection import Collection
from handling_db.records.parts.texts import State
from handling_db.weights.compare import Judge
from handling_db.weights.totals import Totals


def bounds_answer(
    collection: Collection,
    code: str | None = None,
    *,
    state: State,
    by_solver: bool = False,
    judge: Judge | None = None,
) -> BoundsAnswer:
    """What all figures together allow a component and everything below it to weigh, in default builds.

    Parameters
    ----------
    collection : Collection
        With everything that wholes around the component are made of.
    code : str, optional
        The component; otherwise everything that is inferred or contradicts.
    state : State
    by_solver : bool
        Work the component's bounds out by linear programming.
    judge : Judge, optional
        Of the collection, if there is one.

    Raises
    ------
    HandlingError
        The solver is not installed, the figures contradict one another, or a graph is too large for it.
    """
    judge = judge or Judge(collection)
    totals = judge.totals(state)
    gathered = gather(totals)
    found = bounds(gathered.network, gathered.readings)
    nodes = found.nodes[: gathered.tree_nodes]
    if code is None:
        shown = [node for node, bound in enumerate(nodes) if bound.inferred or bound.contradicts]
    else:
        start = _node(totals, code)
        shown = _in_tree_order(totals, start)
    listed = [_bound(totals, node, nodes[node]) for node in shown]
    if by_solver and code is not None:
        exact = exact_bound(gathered.network, gathered.readings, shown[0])
        first = listed[0]
        listed[0] = BoundFigure(
            first.id, first.name, first.build, exact.low, None if math.isinf(exact.high) else exact.high,
            first.own, first.parts, first.around, first.inferred, first.contradicts,
        )  # fmt: skip
    inferred = dict.fromkeys(bound.id for bound in listed if bound.inferred and bound.own is None)
    inside = None if code is None else {totals.tree.component(node) for node in shown}
    return BoundsAnswer(
        code or "",
        collection.components[code].name if code else "",
        state,
        found.exact,
        by_solver,
        tuple(listed),
        inferred_figures(judge, inferred),
        _unused(collection, gathered, inside),
        gathered.tree_nodes,
        len(gathered.readings),
    )


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
    totals = Judge(collection).totals(state)
    gathered = gather(totals)
    found = reconcile(gathered.network, gathered.readings, significance=significance)
    estimate = found.estimates[_node(totals, code)] if code is not None else None
    figures = [_adjusted(totals, gathered, one) for one in found.figures]
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
        _unused(collection, gathered, None),
        estimate.best if estimate else None,
        estimate.u if estimate else None,
    )


def bound_of(judge: Judge, code: str, state: State) -> BoundFigure:
    """What all figures together allow one component to weigh in its default build."""
    totals = judge.totals(state)
    gathered = gather(totals)
    node = _node(totals, code)
    return _bound(totals, node, bounds(gathered.network, gathered.readings).nodes[node])


def _in_tree_order(totals: Totals, start: int) -> list[int]:
    """A node and everything below it as a reader goes through the tree, each once."""
    found: dict[int, None] = {}
    waiting = [start]
    while waiting:
        node = waiting.pop()
        if node not in found:
            found[node] = None
            waiting += [use.child for use in reversed(totals.tree.uses[node])]
    return [*found]


def _node(totals: Totals, code: str) -> int:
    component = totals.collection.components[code]
    node = totals.tree.start.get((code, build_of(component)))
    if node is None or node not in totals.tree.height:
        raise BuildError(f"{component.name} contains itself, so its mass cannot be worked out")
    return node


def _bound(totals: Totals, node: int, bound: Bound) -> BoundFigure:
    code, build = totals.tree.nodes[node]
    component = totals.collection.components[code]
    told = ""
    if build != build_of(component):
        told = ", ".join(f"{name} {value_text(component.parameters[name], value)}" for name, value in build)
    return BoundFigure(
        code,
        component.name,
        told,
        bound.low,
        None if math.isinf(bound.high) else bound.high,
        _limits(bound.own),
        _limits(bound.parts),
        _limits(bound.around),
        bound.inferred,
        bound.contradicts,
    )


def _limits(span: Span | None) -> tuple[float, float | None] | None:
    return None if span is None else (span[0], None if math.isinf(span[1]) else span[1])


def _unused(
    collection: Collection, gathered: Gathered, inside: Iterable[str] | None
) -> tuple[UnusedFigure, ...]:
    kept = None if inside is None else frozenset(inside)
    return tuple(
        UnusedFigure(one.id, one.component, collection.components[one.component].name, one.because)
        for one in gathered.unused
        if kept is None or one.component in kept
    )


def _adjusted(totals: Totals, gathered: Gathered, one: Adjusted) -> AdjustedFigure:
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
    )
