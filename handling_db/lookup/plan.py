"""The planning figure: the upper limit that all the evidence allows, and what it rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from handling_db.balance.narrowed import narrowed
from handling_db.balance.together.body import Limit
from handling_db.balance.together.reach import AllEvidence, Reach
from handling_db.quantities.display import counted
from handling_db.records.collection import Collection
from handling_db.weights.answer import Named, Narrowed, Rests, WayToFigure
from handling_db.weights.choose import Chosen
from handling_db.weights.totals import Basis, Total, Totals
from handling_db.weights.tree import Node
from handling_db.weights.witness import ON_A_SCALE, Witness

ALL_FIGURES = "all figures together"
INFERRED = "inferred from a weighed whole"
# Of a single piece: a list of what to weigh still names it.
NOBODY_WEIGHED = ("nobody weighed it; inferred", "nobody weighed it; guessed")
GUESSED = "guessed, because nothing measured bounds it"


@dataclass(frozen=True, slots=True)
class Lifted:
    """A figure that is in no sum, waits for a person and lifts a plan, and the plan without it.

    Parameters
    ----------
    id : str
        Of the figure.
    name : str
        Of the piece whose plan it lifts.
    words : str
        ``Rear case 520 kg, from mill (not signed), waits for review``.
    plan, without : Fraction
        [kg]
    """

    id: str
    name: str
    words: str
    plan: Fraction
    without: Fraction


@dataclass(frozen=True, slots=True)
class Planning:
    """What one component weighs in one state by all the evidence, and what to plan with.

    Parameters
    ----------
    low, best, high : Fraction
        Of the known part where it is not complete. [kg]
    complete : bool
        False means "at least".
    basis : str
        What the range rests on, in words.
    handed : bool
        The range is that of the figure handed upward: its doubts stand.
    plan : Fraction or None
        The heaviest believable figure, exact; None while nothing bounds it. [kg]
    raised_by : Witness, optional
        A stated figure that lies higher than the range and so sets the plan.
    why_none : str
        Why there is no upper figure; empty where there is one.
    chosen : Chosen, optional
        What somebody decided about the component, where that has a say.
    rests : Rests
    lifted : Lifted, optional
        A figure that waits for a person and lifts the plan.
    """

    low: Fraction
    best: Fraction
    high: Fraction
    complete: bool
    basis: str
    handed: bool
    plan: Limit
    raised_by: Witness | None
    why_none: str
    chosen: Chosen | None
    rests: Rests
    lifted: Lifted | None = None


def lifted_of(collection: Collection, code: str, reach: Reach) -> Lifted | None:
    """The figure that lifts the plan of a component and waits for a person; None where none does."""
    waiting = reach.waiting
    if waiting is None or reach.plan is None:
        return None
    figure = waiting.witness
    said = f"{collection.components[figure.component].name} {figure.printed}, {waiting.mark}"
    # Another figure may lift it too, and waits for nobody.
    without = reach.plan - reach.lift + reach.settled_lift
    return Lifted(figure.id, collection.components[code].name, said, reach.plan, without)


def plan_for(
    totals: Totals,
    node: int,
    evidence: AllEvidence,
    total: Total | None = None,
    *,
    history: bool = True,
) -> Planning:
    """What all the evidence says of one node of some totals.

    Parameters
    ----------
    totals : Totals
        In the state asked for; with what is taken off.
    node : int
    evidence : AllEvidence
        Of a collection that holds at least everything these totals hold.
    total : Total, optional
        If it was worked out already.
    history : bool
        Whether it says how weighings narrowed the figure; that takes all the evidence as it was then.
    """
    total = total or totals.of(node)
    which = totals.tree.nodes[node]
    if total.left_out:
        return _left(totals, node, total, evidence)
    reach = evidence.of(which, totals.state)
    chosen = totals.settled(node)
    if reach is None:  # it contains itself, or is a build that cannot be
        return _handed(total, total.mass.high if total.known else None, chosen, Rests())
    found = replace(
        _by_reach(evidence, totals, node, total, reach, chosen),
        lifted=lifted_of(totals.collection, which[0], reach),
    )
    if not history:
        return found
    before = _narrowed(evidence, which, reach, ranged=found.rests.ranged)
    return replace(found, rests=replace(found.rests, narrowed=before))


def _handed(total: Total, plan: Limit, chosen: Chosen | None, rests: Rests, why: str = "") -> Planning:
    """The figure handed upward as it is, with a plan."""
    mass = total.mass
    none = why or ("" if plan is not None else why_no_upper_figure(total))
    basis = str(total.figure.basis)
    return Planning(
        mass.low, mass.best, mass.high, mass.complete, basis, True, plan, None, none, chosen, rests
    )


def _left(totals: Totals, node: int, total: Total, evidence: AllEvidence) -> Planning:
    """What is left once parts are off: a stated whole says nothing of it, the equations do."""
    found = evidence.without(totals.tree.nodes[node], totals.state, frozenset(total.left_out))
    if found is None or found[1] is None:
        return _handed(total, total.mass.high if total.known else None, None, Rests())
    low, high = found[0], found[1]
    if total.known and (low, high) == (total.mass.low, total.mass.high):
        return _handed(total, high, None, Rests())
    return Planning(
        low, (low + high) / 2, high, True, ALL_FIGURES, False, high, None, "", None, Rests(ranged=True)
    )


def _by_reach(
    evidence: AllEvidence, totals: Totals, node: int, total: Total, reach: Reach, chosen: Chosen | None
) -> Planning:
    mass, plan = total.mass, reach.plan
    raised_by = None if reach.lifted is None or reach.waiting else reach.lifted.witness
    if reach.disputes and plan is not None and plan > mass.high:
        raised_by = next((w for w in reach.own if w.mass.high >= plan), raised_by)
    rests = _rests(evidence, totals, node, total, reach)
    why = ""
    if plan is None:
        why = no_figure_while(rests.disputes) if rests.disputes else why_no_upper_figure(total)
    if plan is None and reach.low > mass.best:  # the evidence knows more than the known parts come to
        return Planning(
            reach.low, reach.low, reach.low, False, ALL_FIGURES, False, None, raised_by, why, chosen, rests
        )
    if plan is None or (reach.disputes and mass.complete):
        basis = str(total.figure.basis)
        return Planning(
            mass.low, mass.best, mass.high, mass.complete, basis, True, plan, raised_by, why, chosen, rests
        )
    # where it has figures of its own that disagree with others, what more it may be stands in a second figure
    high = plan if reach.high is None or reach.second is not None else reach.high
    low = min(reach.low, high)
    if reach.guess and mass.complete:
        low, high = mass.low, mass.high
    if mass.complete and (low, high) == (mass.low, mass.high):
        return Planning(
            low, mass.best, high, True, str(total.figure.basis), True, plan, raised_by, "", chosen, rests
        )
    basis = INFERRED if reach.inferred else GUESSED if reach.guess else ALL_FIGURES
    if total.figure.basis is Basis.UNKNOWN and basis is not ALL_FIGURES:
        basis = NOBODY_WEIGHED[0] if reach.inferred else NOBODY_WEIGHED[1]
    if mass.complete and low == mass.low and high > mass.high:  # a share of the fluid around comes on top
        basis = str(total.figure.basis)
    return Planning(low, (low + high) / 2, high, True, basis, False, plan, raised_by, "", chosen, rests)


def _rests(evidence: AllEvidence, totals: Totals, node: int, total: Total, reach: Reach) -> Rests:
    """What a range rests on, as plain facts for sentences."""
    collection, node_key = totals.collection, totals.tree.nodes[node]
    lifted = lifted_of(collection, node_key[0], reach)
    names = names_of(collection)
    one = reach.rests_on[0] if len(reach.rests_on) == 1 else None
    serials = {w.serials.in_words() for w in (*reach.rests_on, *reach.own) if w.serials is not None}
    left = None
    if one is not None and total.unknown and len({code for code, _ in total.unknown}) == 1:
        code, pieces = total.unknown[0]
        of_part = evidence.of(evidence.first_build(code), "dry")
        if of_part is not None and of_part.high is not None:
            left = (Named(code, names.get(code, code), pieces), of_part.low, of_part.high)
    disputes = evidence.told(reach.disputes)
    where = ""
    if reach.second is not None or reach.second_open:
        where = widest_of(evidence, reach.disputes, names)
    ranged = not (total.mass.complete and (reach.low, reach.high) == (total.mass.low, total.mass.high))
    return Rests(
        inferred=reach.inferred,
        ranged=ranged,
        whole=names.get(one.component, one.component) if one is not None else "",
        printed=one.printed if one is not None else "",
        alone=one is not None,
        weighed=one is not None and one.kind.id in ON_A_SCALE,
        serial=", ".join(sorted(serials)),
        left=left,
        second=reach.second,
        second_open=reach.second_open,
        where=where,
        disputes=disputes,
        guess=", ".join(_guess(w, names) for w in reach.guess),
        all_looked_at=reach.complete_view,
        routes=_routes(totals, node, total, reach) if reach.own or reach.inferred else (),
        without=None if lifted is None else lifted.without,
        waits="" if lifted is None else lifted.words,
        waits_id="" if lifted is None else lifted.id,
        charges=_charges(evidence, node_key) if totals.state != "dry" else (),
    )


def names_of(collection: Collection) -> Mapping[str, str]:
    """The name of every component by its id."""
    return collection.once(
        "names", lambda: {code: component.name for code, component in collection.components.items()}
    )


def _guess(witness: Witness, names: Mapping[str, str]) -> str:
    on = ""
    if witness.serials is not None:
        scatter = "" if witness.scatter else ", how far units differ is not recorded"
        on = f" (on serial {witness.serials.in_words()}{scatter})"
    return f"{names.get(witness.component, witness.component)} {witness.printed}{on}"


def _charges(evidence: AllEvidence, which: Node) -> tuple[str, ...]:
    """Names of the fluids listed around a piece, any share of which may be in it."""
    node = evidence.node(which)
    if node is None or evidence.recorded.fluids[node]:
        return ()
    tree, components = evidence.recorded.tree, evidence.judge.collection.components
    return tuple(components[tree.component(fluid)].name for fluid in evidence.recorded.around[node])


def _narrowed(evidence: AllEvidence, which: Node, reach: Reach, *, ranged: bool) -> tuple[Narrowed, ...]:
    """How weighings narrowed it, where its figure can rest on one: read for it, or for something around."""
    weighed = any(witness.position is None for witness in reach.own)
    return narrowed(evidence, which) if weighed or ranged or reach.inferred else ()


def widest_of(evidence: AllEvidence, disputes: Sequence[Sequence[Witness]], names: Mapping[str, str]) -> str:
    """The name of the whole that contradicts: of all figures in dispute the one highest in the tree."""
    tree = evidence.recorded.tree
    height = {
        code: max(tree.height.get(node, 0) for node in evidence.builds_of[code])
        for code in {w.component for one in disputes for w in one}
    }
    return names.get(max(height, key=lambda code: (height[code], code)), "") if height else ""


def _routes(totals: Totals, node: int, total: Total, reach: Reach) -> tuple[WayToFigure, ...]:
    """Each way to the figure: what the parts come to, what was read for it, what a whole around leaves."""
    found: list[WayToFigure] = []
    if totals.tree.uses[node]:
        parts = (total if total.figure.basis is Basis.SUM else totals.sum_of(node)).mass
        name = "its parts" if parts.complete else "its known parts"
        found.append(WayToFigure(name, parts.low, parts.high if parts.complete else None))
    for witness in reach.own:
        state = f" {witness.state}" if witness.state else ""
        found.append(
            WayToFigure(
                f"{witness.printed}{state}, {witness.source.name}", witness.mass.low, witness.mass.high
            )
        )
    if reach.inferred and reach.high is not None:
        found.append(WayToFigure("what a weighed whole leaves for it", reach.low, reach.high))
    return tuple(found) if len(found) > 1 else ()


def no_figure_while(disputes: Sequence[Sequence[str]]) -> str:
    """``Case: 40.0 kg (floor scale) and Case: 60.0 kg (floor scale) disagree``."""
    first = disputes[0]
    more = f" and {len(first) - 3} more" if len(first) > 3 else ""
    shown = "; ".join(first[:3])
    return f"these figures disagree: {shown}{more}"


def why_no_upper_figure(total: Total) -> str:
    """``1 part without a mass`` and the like."""
    reasons = []
    if total.unknown:
        reasons.append(f"{counted(len(total.unknown), 'part has', 'parts have')} no mass")
    if total.open_lists:
        reasons.append(f"{counted(len(total.open_lists), 'list')} of parts may be incomplete")
    return " and ".join(reasons) or "nothing is known"
