"""What all figures together allow a component and its parts to weigh, and which of them take no part.

The one body of evidence answers it, as it answers look-ups and lifts: a figure in one state bounds a piece in
every state, and limits are the narrowest.
"""

from __future__ import annotations

from collections.abc import Iterable

from handling_db.balance.explained import inferred_figures
from handling_db.balance.together.body import Limit
from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.evidence.answer import BoundFigure, BoundsAnswer, UnusedFigure
from handling_db.evidence.figure_places import FigurePlaces
from handling_db.families.build import build_of, value_text
from handling_db.records.collection import Collection
from handling_db.records.parts.texts import State
from handling_db.weights.tree import Tree

Limits = tuple[float, float | None]


def bounds_answer(
    collection: Collection, code: str | None = None, *, state: State, serial: int | None = None
) -> BoundsAnswer:
    """What all figures together allow a component and everything below it to weigh, in default builds.

    Parameters
    ----------
    collection : Collection
        With everything that wholes around the component are made of.
    code : str, optional
        The component; otherwise everything that is inferred or contradicts.
    state : State
    serial : int, optional
        The unit at hand: what was weighed on others is a hint, and only where nothing else bounds it.

    Raises
    ------
    BuildError
        The component contains itself.
    """
    evidence = evidence_of(collection, serial=serial)
    tree = evidence.recorded.tree
    if code is None:
        pieces = [node for node in tree.order if node not in evidence.recorded.charges]
        shown = [node for node in pieces if (reach := evidence.at(node, state)).inferred or reach.disputes]
    else:
        shown = _in_tree_order(tree, evidence.judge.node_by_default(code))
    listed = tuple(_bound(evidence, node, state) for node in shown)
    unweighed = {
        bound.id
        for node, bound in zip(shown, listed, strict=True)
        if evidence.at(node, "dry").inferred and bound.own is None
    }
    inside = None if code is None else {tree.component(node) for node in shown}
    return BoundsAnswer(
        code or "",
        collection.components[code].name if code else "",
        state,
        evidence.narrowest(shown, state),
        listed,
        inferred_figures(evidence.judge, sorted(unweighed)),
        _outside(evidence, inside),
        len(tree.nodes),
        len(evidence.recorded.figures),
        serial,
    )


def bound_of(collection: Collection, code: str, state: State) -> BoundFigure:
    """What all figures together allow one component to weigh in its default build.

    Raises
    ------
    BuildError
        It contains itself.
    """
    evidence = evidence_of(collection)
    return _bound(evidence, evidence.judge.node_by_default(code), state)


def _in_tree_order(tree: Tree, start: int) -> list[int]:
    """A node and everything below it as a reader goes through the tree, each once; fluids aside."""
    found: dict[int, None] = {}
    waiting = [start]
    while waiting:
        node = waiting.pop()
        if node not in found:
            found[node] = None
            waiting += [use.child for use in reversed(tree.uses[node])]
    return [*found]


def _bound(evidence: AllEvidence, node: int, state: State) -> BoundFigure:
    code, build = evidence.recorded.tree.nodes[node]
    component = evidence.judge.collection.components[code]
    told = ""
    if build != build_of(component):
        told = ", ".join(f"{name} {value_text(component.parameters[name], value)}" for name, value in build)
    if component.fluid is not None:
        low, high = evidence.fluid(node, state)
        return BoundFigure(code, component.name, told, float(low or 0), _float(high), None, None, None, False)
    reach = evidence.at(node, state)
    own = [(w.mass.low, w.mass.high) for w in reach.own if w.state in (None, state)]
    low_high = (float(reach.low), _float(reach.high))
    return BoundFigure(
        code,
        component.name,
        told,
        *low_high,
        (float(min(o[0] for o in own)), float(max(o[1] for o in own))) if own else None,
        _parts(evidence, node, state),
        low_high if reach.inferred else None,
        reach.inferred,
        tuple(evidence.told(reach.disputes)),
    )


def _parts(evidence: AllEvidence, node: int, state: State) -> Limits | None:
    """What the sum of its parts allows, each by its own figures; None for a single part."""
    if not evidence.recorded.tree.uses[node]:
        return None
    mass = evidence.judge.totals(state).sum_of(node).mass
    return float(mass.low), float(mass.high) if mass.complete else None


def _float(limit: Limit) -> float | None:
    return None if limit is None else float(limit)


def _outside(evidence: AllEvidence, inside: Iterable[str] | None) -> tuple[UnusedFigure, ...]:
    """Every figure that stays outside the equations, once, and why."""
    kept = None if inside is None else frozenset(inside)
    names = evidence.judge.collection.components
    places = FigurePlaces(evidence.judge.collection)
    found: dict[str, UnusedFigure] = {}
    for one in evidence.recorded.outside:
        witness = one.witness
        if kept is None or witness.component in kept:
            found.setdefault(
                witness.id,
                UnusedFigure(witness.id, witness.component, names[witness.component].name, str(one.why),
                             f"{witness.printed}, {witness.source.name}", places.of(witness.id)),
            )  # fmt: skip
    taken = {witness.id for witness, _ in evidence.recorded.figures}  # in another build it may be used
    return tuple(one for one in found.values() if one.id not in taken)
