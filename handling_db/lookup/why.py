"""The chain from a headline down to every figure it is made of, and the paper behind each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from handling_db.balance.together.reach import evidence_of
from handling_db.evidence.answer import WhyAnswer, WhyLine, WhyShare
from handling_db.evidence.documents import Papers
from handling_db.families.build import Value, build_of
from handling_db.lookup.weight import parameter_values, refuse_broken, state_figure
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.parts.texts import State
from handling_db.weights.totals import Basis, Totals
from handling_db.weights.tree import unfold


def why(
    collection: Collection, code: str, *, state: State, given: Mapping[str, Value] | None = None
) -> WhyAnswer:
    """Where the figure of a component comes from, part by part, down to paper.

    Parameters
    ----------
    collection : Collection
    code : str
        The component's id.
    state : State
    given : mapping of parameter to value, optional
        Replaces defaults.

    Returns
    -------
    WhyAnswer
        Its lines in the order of the tree; what occurs again is told once.

    Raises
    ------
    BuildError
        A value that the component, or a part it is handed down to, cannot take.
    """
    component = collection.components[code]
    build = build_of(component, given)
    tree = unfold(collection, [(code, dict(given or {}))])
    if given:
        refuse_broken(collection, tree)
    totals = Totals(collection, tree, state)
    evidence = evidence_of(collection, code, given)
    node = tree.start[(code, build)]
    total = totals.of(node)
    return WhyAnswer(
        code,
        component.name,
        state,
        parameter_values(collection, code, build),
        state_figure(totals, node, evidence),
        tuple(_lines(totals, node, Papers(collection))),
        tuple(
            WhyShare(
                share.component,
                collection.components[share.component].name,
                share.pieces,
                share.figure.mass.best,
                share.figure.mass.low,
                share.figure.mass.high,
                str(share.figure.basis),
                share.figure.witness.id if share.figure.witness else "",
                share.figure.witness.source.id if share.figure.witness else "",
            )
            for share in total.shares
            if share.figure.mass is not None
        ),
    )


def _lines(totals: Totals, start: int, papers: Papers) -> Iterator[WhyLine]:
    """Every node below, parents first; no recursion, so that deep trees cost no stack."""
    told: set[int] = set()
    waiting: list[tuple[int, int, Fraction]] = [(start, 0, Fraction(1))]
    while waiting:
        node, depth, pieces = waiting.pop()
        again = node in told
        told.add(node)
        yield _line(totals, node, depth, pieces, papers, again=again)
        if not again and totals.figures[node].basis is Basis.SUM:
            uses = totals.tree.uses[node]
            waiting += [(use.child, depth + 1, use.quantity) for use in reversed(uses)]


def _line(totals: Totals, node: int, depth: int, pieces: Fraction, papers: Papers, *, again: bool) -> WhyLine:
    component = totals.collection.components[totals.tree.component(node)]
    figure = totals.figures[node]
    mass = figure.mass
    known = mass is not None and (mass.complete or mass.high > 0)
    used = figure.witness.id if figure.witness else ""
    beside = [] if again else [w for w in totals.witnesses_at(node) if w.id != used]
    return WhyLine(
        depth,
        component.id,
        component.name,
        pieces,
        known,
        mass is not None and mass.complete,
        mass.best if mass else 0,
        mass.low if mass else 0,
        mass.high if mass else 0,
        str(figure.basis),
        papers.of(figure.witness) if figure.witness is not None and not again else None,
        _fluid_words(component, totals.state),
        tuple(papers.of(witness) for witness in beside),
        again and figure.basis is Basis.SUM,
    )


def _fluid_words(component: Component, state: State) -> str:
    """How the mass of a fluid comes about."""
    fluid = component.fluid
    if fluid is None:
        return ""
    if state == "dry":
        return "dry counts no fluid"
    if state == "drained":
        stays = fluid.stays if fluid.stays is not None else "nobody looked how much"
        return f"{stays} stays inside, at {fluid.density}"
    return f"{fluid.litres.text} at {fluid.density}"
