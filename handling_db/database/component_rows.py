"""Rows of components from their records: part lines, statements and totals in the default build."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.database.rows import RowsByTable, above, below, lines, number
from handling_db.errors import HandlingError
from handling_db.families.build import BuildError, build_of
from handling_db.lookup.as_json import shared_text
from handling_db.lookup.plan import plan_for
from handling_db.lookup.rests_kept import rests_text
from handling_db.lookup.weight import (
    chosen_text,
    fits_text,
    parameter_values,
    part_planning,
    state_figure,
    statement_figure,
)
from handling_db.quantities.mass import NOTHING
from handling_db.records.connected import connected
from handling_db.records.kinds.component import Component
from handling_db.records.parts.common import Datum
from handling_db.records.parts.texts import STATES, State
from handling_db.weights.answer import StateFigure, StatementFigure
from handling_db.weights.centre import Centre, centres, line_centre
from handling_db.weights.compare import Judge
from handling_db.weights.totals import Basis, Figure, Total, Totals
from handling_db.weights.tree import Use

# What lies below each component is looked through to say exactly what is not known and how doubts add. For
# deep chains that would grow with the square of the lines, so after so many steps the rest is left to the
# asking.
STEPS = 50_000

LARGEST = 10**150  # its square is still a number [kg]

SHIFTED = "something in it has no mass, or is not known to be all listed"


def component_rows(
    rows: RowsByTable,
    judge: Judge,
    file_name: Callable[[str], str] = str,
    *,
    steps: int = STEPS,
    tick: Callable[[int, int], None] | None = None,
) -> None:
    """Gather the rows of every component of a collection.

    Parameters
    ----------
    rows : RowsByTable
        With components and sources numbered.
    judge : Judge
        Of the whole collection.
    file_name : function of a file's path
        What the file is called in the database.
    steps : int
        How many part lines may be looked through for details, of all that hang together.
    tick : function of (done, of), optional
    """
    collection = judge.collection
    evidence = evidence_of(collection)
    _refuse_too_large(judge)
    filled = centres(judge.totals("filled"))
    short: dict[State, Mapping[int, Centre]] = {"filled": filled}  # of the others only where it is asked for
    alike = _alike(judge, evidence)
    codes = sorted(collection.components)
    nodes = {code: _default_node(judge, code) for code in codes}
    fluids = any(component.fluid is not None for component in collection.components.values())
    detailed = _detailed(judge, nodes, steps)
    for done, code in enumerate(codes):
        if tick is not None and done % 100 == 0:
            tick(done, len(codes))
        component, node = collection.components[code], nodes[code]
        key = rows.id("component", code)
        assert key is not None
        place = collection.place("component", code)
        rows.put(
            "component",
            component,
            also_called=lines(component.also_called),
            fits=lines(fits_text(fits) for fits in component.fits),
            parts_listed=component.parts_listed or ("nobody looked" if component.parts else None),
            height=judge.tree.height.get(node, 0),
            datum=datum_text(component.datum),
            file=file_name(place.file) if place else None,
            line=place.line if place else None,
        )
        for position, name in enumerate(component.also_called):
            rows.add("alias", key, position, name)
        for position, value in enumerate(parameter_values(collection, code, build_of(component))):
            rows.add("parameter", key, position, value.name, value.text, value.unit, value.is_default,
                     value.meaning or None)  # fmt: skip
        _usage(rows, judge, evidence, component, filled)
        last = judge.totals("filled")
        for position, witness in enumerate(last.witnesses_at(node)):
            _statement(rows, key, position, statement_figure(judge, witness))
        share = fluids and evidence.may_hold_share(judge.tree.nodes[node])
        around = judge.fluid_around(node) if share else ()
        figure: StateFigure | None = None
        for state in STATES:
            totals = judge.totals(state)
            if figure is not None and alike[node]:
                figure = replace(figure, state=state)
            elif code in detailed:
                figure = state_figure(totals, node, evidence, around)
            else:
                if state not in short:
                    short[state] = centres(totals)
                figure = _short_figure(totals, node, evidence, short[state].get(node))
            _total(rows, key, figure, _kind_name(totals, node), detailed=code in detailed)


def _alike(judge: Judge, evidence: AllEvidence) -> Sequence[bool]:
    """By node, whether all that is said of it is the same dry, drained and filled.

    So it is where it and all below hand up the same in each state, and no fluid is listed in it or around it.
    """
    tree, recorded = judge.tree, evidence.recorded
    figures = [judge.totals(state).figures for state in STATES]
    chosen = {one.component for one in judge.collection.choices.values() if one.state is not None}
    found = [False] * len(tree.nodes)
    for node in tree.order:
        own = evidence.node(tree.nodes[node])
        if own is None or recorded.fluids[own] or recorded.around[own] or own in recorded.kept:
            continue
        first, *others = (several[node] for several in figures)
        found[node] = (
            tree.component(node) not in chosen
            and all(other == first for other in others)
            and all(found[use.child] for use in tree.uses[node])
        )
    return found


def _detailed(judge: Judge, nodes: Mapping[str, int], steps: int) -> set[str]:
    """Components that are looked through for details: of all that hang together, the lowest first.

    So many steps for each of them, whatever else stands in the collection: one unit's rows rest on nothing
    but that unit.
    """
    together = connected(judge.collection)
    left: dict[frozenset[str], int] = {}
    found: set[str] = set()
    for code in sorted(nodes, key=lambda c: (judge.tree.height.get(nodes[c], 0), c)):
        several = together[code]
        left.setdefault(several, steps)
        if left[several] < 0:
            continue
        left[several] -= _size_below(judge, nodes[code], left[several])
        if left[several] >= 0:
            found.add(code)
    return found


def _refuse_too_large(judge: Judge) -> None:
    """Say no to totals that no floating-point number can hold with its doubt.

    Raises
    ------
    HandlingError
    """
    totals = judge.totals("filled")
    for node, figure in enumerate(totals.figures):
        if figure.mass is not None and figure.mass.high > LARGEST:
            raise HandlingError(
                f"the total of {totals.tree.component(node)!r} is larger than any number that can be kept; "
                "correct the quantities below it"
            )


def datum_text(datum: Datum | None) -> str | None:
    """``centre of the seat; x rearward, y left, z up``."""
    return None if datum is None else f"{datum.at}; x {datum.x}, y {datum.y}, z {datum.z}"


def _default_node(judge: Judge, code: str) -> int:
    return judge.tree.start[(code, build_of(judge.collection.components[code]))]


def _size_below(judge: Judge, node: int, most: int) -> int:
    """How many distinct nodes lie below a node, itself included, or something over `most`."""
    reached = {node}
    stack = [node]
    while stack and len(reached) <= most:
        for use in judge.tree.uses[stack.pop()]:
            if use.child not in reached:
                reached.add(use.child)
                stack.append(use.child)
    return len(reached)


def _kind_name(totals: Totals, node: int) -> str | None:
    figure = totals.figures[node]
    return figure.witness.kind.name if figure.witness and figure.basis is Basis.STATEMENT else None


def _usage(
    rows: RowsByTable, judge: Judge, evidence: AllEvidence, parent: Component, spread: Mapping[int, Centre]
) -> None:
    key = rows.id("component", parent.id)
    uses = {use.index: use for use in judge.tree.uses[_default_node(judge, parent.id)]}
    for index, line in enumerate(parent.parts):
        child = rows.id("component", line.component)
        use = uses.get(index)
        written: str | None = line.quantity.text
        if use is not None and use.quantity.denominator == 1 and written == str(use.quantity):
            written = None
        at = line_centre(use, spread[use.child]) if use is not None and use.child in spread else None
        rows.add(
            "usage",
            key,
            child,
            index + 1,
            line.key(parent.id),
            number(use.quantity) if use else 0.0,
            written,
            line.remark,
            *(at or (None, None, None)),
            None,
            *_each(judge, evidence, use),
        )


_Each = tuple[int, float | None, float | None, float | None, bool | None, str | None]


def _each(judge: Judge, evidence: AllEvidence, use: Use | None) -> _Each:
    """What each piece of a part line weighs, filled, where it is not here in its default build."""
    if use is None:
        return 0, None, None, None, None, None
    code, build = judge.tree.nodes[use.child]
    try:
        if build == build_of(judge.collection.components[code]):
            return 0, None, None, None, None, None
    except BuildError:
        pass
    figure = judge.totals("filled").figures[use.child]
    plan = part_planning(evidence, judge.totals("filled"), judge.totals("dry"), use.child)
    kind = figure.witness.kind.name if figure.witness and figure.basis is Basis.STATEMENT else ""
    if not (plan.complete or plan.high > 0):
        return 1, None, None, None, False, kind or plan.basis
    return 1, number(plan.best), below(plan.low), above(plan.high), plan.complete, kind or plan.basis


def _statement(rows: RowsByTable, key: int, position: int, said: StatementFigure) -> None:
    shared = shared_text(said.shared)
    own = {"id": None, "day": said.on, "by_whom": said.by, "shared": shared, "written": None}
    rows.put("statement", said, component=key, position=position, **own)


def _short_figure(totals: Totals, node: int, evidence: AllEvidence, centre: Centre | None) -> StateFigure:
    """The figure of one node without looking through what lies below it."""
    figure: Figure = totals.figures[node]
    mass = figure.mass or NOTHING.at_least()
    code = totals.tree.component(node)
    total = Total(code, totals.state, mass, figure, (), (), ())
    plan = plan_for(totals, node, evidence, total)
    return StateFigure(
        state=totals.state,
        best=plan.best,
        low=plan.low,
        high=plan.high,
        complete=plan.complete,
        basis=plan.basis,
        planning=plan.plan,
        why_none=SHIFTED if plan.why_none else "",
        raised_by=plan.raised_by.printed if plan.raised_by else "",
        centre=centre.at if centre else None,
        chosen=chosen_text(total, plan),
        rests=replace(plan.rests, routes=()),
    )


def _total(
    rows: RowsByTable, key: int, figure: StateFigure, from_kind: str | None, *, detailed: bool
) -> None:
    own: dict[str, object] = dict(zip(("x_m", "y_m", "z_m"), figure.centre or (None,) * 3, strict=True))
    if figure.nothing_known:
        own |= dict.fromkeys(("best_kg", "low_kg", "high_kg", "half_width_rss_kg", "u_kg"))
    own |= {"plan_kg": above(figure.planning), "rests": rests_text(figure.rests), "worked_out": detailed}
    rows.put("total", figure, component=key, from_kind=from_kind, **own)
    gaps = (
        ("no mass", figure.unknown),
        ("open list", figure.open_lists),
        ("fluid elsewhere", figure.fluid_elsewhere),
        ("no place", figure.no_place),
        ("at datum", figure.at_datum),
    )
    for what, named in gaps:
        for position, part in enumerate(named):
            rows.add("total_unknown", key, figure.state, what, position, rows.id("component", part.id),
                     number(part.pieces))  # fmt: skip
