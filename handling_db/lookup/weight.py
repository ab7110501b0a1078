"""The look-up of one component, worked out from the records: what every face shows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.families.build import BuildError, Value, build_of, pieces, value_text
from handling_db.families.parameter import is_word
from handling_db.lookup.plan import Planning, plan_for
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component, PartLine
from handling_db.records.parts.common import Fits
from handling_db.records.parts.texts import STATES, State
from handling_db.weights.answer import (
    Named,
    Number,
    ParameterValue,
    PartFigure,
    StateFigure,
    StatementFigure,
    WeightAnswer,
)
from handling_db.weights.centre import Centre, centres, line_centre
from handling_db.weights.compare import Judge
from handling_db.weights.of_serial import of_serial
from handling_db.weights.totals import Basis, Total, Totals
from handling_db.weights.tree import Tree, unfold
from handling_db.weights.witness import Witness


def answer(
    collection: Collection,
    code: str,
    *,
    given: Mapping[str, Value] | None = None,
    state: State | None = None,
    without: Iterable[str] = (),
    serial: int | None = None,
) -> WeightAnswer:
    """Look one component up.

    Parameters
    ----------
    collection : Collection
    code : str
        The component's id.
    given : mapping of parameter to value, optional
        Replaces defaults; `named_builds.named_build` gives the values of a build by its name.
    state : State, optional
        Without one the answer lists dry, drained and filled.
    without : ids
        Taken off, wherever they occur below.
    serial : int, optional
        The unit asked about: what was weighed on others is a hint, and only where nothing else bounds it.

    Raises
    ------
    BuildError
        A given value is not one the component, or a part it is handed down to, can take.
    """
    component = collection.components[code]
    build = build_of(component, given)
    evidence = evidence_of(collection, code, given, serial)
    spoken = of_serial(collection, serial)
    if spoken is not collection:
        collection, judge = spoken, Judge(spoken)
    else:
        judge = evidence_of(collection).judge  # of every default build, worked out once
    tree = judge.tree if not given else unfold(collection, [(code, dict(given))])
    if given:
        refuse_broken(collection, tree)
    node = tree.start[(code, build)]
    taken = frozenset(without)
    asked: tuple[State, ...] = (state,) if state else STATES
    ledgers = {
        s: judge.totals(s) if tree is judge.tree and not taken else Totals(collection, tree, s, taken)
        for s in asked
    }
    around: tuple[str, ...] = ()
    if evidence.may_hold_share((code, build)):
        around = judge.fluid_around(judge.tree.start[(code, build_of(component))])
    dry = ledgers.get("dry") or Totals(collection, tree, "dry", taken)
    last = ledgers[asked[-1]]
    own = judge if tree is judge.tree else Judge(collection, tree)
    return WeightAnswer(
        id=code,
        name=component.name,
        kind=component.kind,
        also_called=component.also_called,
        part_number=component.part_number or "",
        maker=component.maker or "",
        fits=tuple(fits_text(fits) for fits in component.fits),
        parts_listed=component.parts_listed or ("nobody looked" if component.parts else ""),
        remark=component.remark or "",
        build=parameter_values(collection, code, build),
        states=tuple(state_figure(ledgers[s], node, evidence, around) for s in asked),
        statements=tuple(statement_figure(_judge_for(w, judge, own), w) for w in last.witnesses_at(node)),
        parts=tuple(_parts(last, dry, tree, node, evidence)),
        goes_into=goes_into(collection, code),
        left_out=tuple(_named(collection, c) for c in sorted(taken)),
    )


def refuse_broken(collection: Collection, tree: Tree) -> None:
    """Refuse a build that was asked for if a part below cannot take it.

    Raises
    ------
    BuildError
        Which part line of what, and why.
    """
    for node, lines in tree.broken.items():
        code = tree.component(node)
        for fault in tree.faults:
            if (fault.component, fault.index) == (code, lines[0]):
                part = collection.components[code].parts[lines[0]].component
                name = collection.components[part].name
                raise BuildError(f"{collection.components[code].name}, {name}: {fault.message}")


def _judge_for(witness: Witness, judge: Judge, own: Judge) -> Judge:
    """A figure worked out in the build asked for is compared with the parts of that build."""
    return judge if witness.worked_in is None else own


def fits_text(fits: Fits) -> str:
    """``PT-34, serials 1001 to 1999``."""
    return f"{fits.model}, serials {fits.serials.in_words()}" if fits.serials else fits.model


def _named(collection: Collection, code: str, pieces: Number = 1) -> Named:
    return Named(code, collection.components[code].name, pieces)


def parameter_values(
    collection: Collection, code: str, build: Iterable[tuple[str, Value]]
) -> tuple[ParameterValue, ...]:
    """The values of a build as plain texts, each saying whether it is the default."""
    parameters = collection.components[code].parameters
    defaults = dict(build_of(collection.components[code]))
    return tuple(
        ParameterValue(
            name,
            value_text(parameters[name], value),
            "" if is_word(name, parameters[name]) else parameters[name].unit,
            defaults[name] == value and parameters[name].formula is None,
            parameters[name].meaning or "",
        )
        for name, value in build
    )


def state_figure(totals: Totals, node: int, evidence: AllEvidence, around: Iterable[str] = ()) -> StateFigure:
    """The mass of one node in the state of the totals, as plain values.

    Parameters
    ----------
    totals : Totals
    node : int
    evidence : AllEvidence
        Of everything around the node.
    around : ids
        Assemblies above that list a fluid of their own.
    """
    total = totals.of(node)
    plan = plan_for(totals, node, evidence, total)
    collection = totals.collection
    centre = _centre_of(totals, node)
    return StateFigure(
        state=totals.state,
        best=plan.best,
        low=plan.low,
        high=plan.high,
        complete=plan.complete,
        basis=plan.basis,
        half_width_rss=total.mass.half_width_rss if plan.handed else None,
        u=total.mass.u if plan.handed else None,
        planning=plan.plan,
        why_none=plan.why_none,
        raised_by=plan.raised_by.printed if plan.raised_by else "",
        unknown=tuple(_named(collection, c, number) for c, number in total.unknown),
        open_lists=tuple(_named(collection, c) for c in total.open_lists),
        fluid_elsewhere=tuple(_named(collection, c) for c in around) if totals.state != "dry" else (),
        centre=centre.at,
        no_place=tuple(_named(collection, c) for c in centre.no_place),
        at_datum=tuple(_named(collection, c) for c in centre.at_datum),
        chosen=chosen_text(total, plan),
        rests=plan.rests,
    )


def _centre_of(totals: Totals, node: int) -> Centre:
    return centres(totals, below=node).get(node, Centre(None, True, ()))


def _parts(totals: Totals, dry: Totals, tree: Tree, node: int, evidence: AllEvidence) -> Iterable[PartFigure]:
    collection = totals.collection
    found = centres(totals, below=node)
    for use in tree.uses[node]:
        code = tree.component(use.child)
        if code in totals.without:
            continue
        child = collection.components[code]
        figure = totals.figures[use.child]
        plan = part_planning(evidence, totals, dry, use.child)
        kind = figure.witness.kind.name if figure.witness and figure.basis is Basis.STATEMENT else ""
        known = plan.complete or plan.high > 0
        yield PartFigure(
            line=use.line.key(tree.component(node)),
            id=code,
            name=child.name,
            kind=child.kind,
            quantity=use.quantity,
            quantity_text=use.line.quantity.text,
            known=known,
            complete=plan.complete,
            best=plan.best if known else 0,
            low=plan.low if known else 0,
            high=plan.high if known else 0,
            basis=kind or plan.basis,
            has_parts=bool(child.parts),
            remark=use.line.remark or "",
            centre=line_centre(use, found[use.child]) if use.child in found else None,
        )


def part_planning(evidence: AllEvidence, totals: Totals, dry: Totals, node: int) -> Planning:
    """What one part of a list weighs: dry where the charge it may hold a share of stands on its own line.

    Parameters
    ----------
    evidence : AllEvidence
    totals, dry : Totals
        In the state of the list, and dry; of one tree.
    node : int
    """
    share = evidence.may_hold_share(totals.tree.nodes[node])
    return plan_for(dry if share else totals, node, evidence)


def chosen_text(total: Total, plan: Planning) -> str:
    """``46 kg chosen by foreman on 2026-11-01: the list is of another pump``; empty where nobody chose.

    Parameters
    ----------
    total : Total
    plan : Planning
        For that total.
    """
    figure, settled = total.figure, plan.chosen
    choice = settled.choice if settled is not None else figure.choice
    witness = settled.witness if settled is not None else figure.witness
    if choice is None or witness is None:
        return ""
    said = f"{witness.printed} chosen by {choice.by} on {choice.on.isoformat()}: {choice.reason.rstrip('.')}"
    if plan.plan is not None and plan.plan > max(total.mass.high, witness.mass.high) and not plan.raised_by:
        said += "; the parts that are known may come to more, so more is planned with"
    return said


def goes_into(collection: Collection, code: str) -> tuple[Named, ...]:
    """The assemblies that list this component, by id, with how many in their default build."""
    found: list[Named] = []
    for parent, component in sorted(collection.components.items()):
        lines = [line for line in component.parts if line.component == code]
        if lines:
            child = collection.components.get(code)
            found.append(Named(parent, component.name, _pieces(component, lines, child)))
    return tuple(found)


def _pieces(parent: Component, lines: Iterable[PartLine], child: Component | None) -> Fraction:
    try:
        build = build_of(parent)
        return sum((pieces(line, parent, build, child) for line in lines), start=Fraction(0))
    except BuildError:
        return Fraction(0)  # the checker reports the line


def statement_figure(judge: Judge, witness: Witness) -> StatementFigure:
    """One source's figure with its verdict, as plain values."""
    judged = judge.judge(witness)
    comparison = judged.comparison if judged else None
    missing = comparison.missing if comparison else None
    parts = judged.parts.mass if judged and judged.parts else None
    day = witness.on or witness.source.on
    return StatementFigure(
        id=witness.id,
        printed=witness.printed,
        best=witness.mass.best,
        low=witness.mass.low,
        high=witness.mass.high,
        doubt_from=witness.doubt_from,
        step_assumed=witness.step_assumed,
        columns=str(witness.columns.original) if witness.columns else "",
        state=witness.state or "not stated",
        counts=_boundary(witness.counts),
        without=_boundary(witness.without),
        boundary_known=witness.boundary_known,
        source=witness.source.id,
        source_name=witness.source.name,
        source_kind=witness.kind.name,
        on=day.isoformat() if day else "",
        by=witness.by or witness.source.by or "",
        derived=witness.derived_how or "",
        serials=witness.serials.in_words() if witness.serials else "",
        build="every build" if witness.worked_in else ", ".join(f"{n} {value}" for n, value in witness.build),
        review_by=witness.review_by.isoformat() if witness.review_by else "",
        chosen=witness.chosen,
        verdict=str(judged.verdict) if judged else "",
        because=judged.because if judged else "",
        parts_low=parts.low if parts else None,
        parts_high=parts.high if parts else None,
        gap_low=comparison.gap[0] if comparison else None,
        gap_high=comparison.gap[1] if comparison else None,
        missing_low=missing[0] if missing else None,
        missing_high=missing[1] if missing else None,
        shared=judged.shared if judged else (),
    )


def _boundary(value: str | tuple[str, ...] | None) -> str:
    if value is None:
        return "nobody looked"
    return value if isinstance(value, str) else ", ".join(value)
