"""Whether two answers say the same: texts alike, numbers to a relative 1e-12."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

from handling_db.families.build import build_of
from handling_db.lookup.plan import why_no_upper_figure
from handling_db.weights.answer import NOTHING_MORE, WeightAnswer
from handling_db.weights.compare import Judge
from handling_db.weights.totals import Basis, Totals


def differences(one: Any, other: Any, where: str = "", scale: float = 0.0) -> list[str]:
    """What differs, each with its place; numbers may be off by 1e-12 of themselves or of the scale."""
    if is_dataclass(one):
        if type(one) is not type(other):
            return [f"{where}: {one!r} and {other!r}"]
        scale = max(
            (abs(float(getattr(one, name, None) or 0)) for name in ("high", "parts_high")), default=0.0
        )
        return [
            told
            for field in fields(one)
            for told in differences(
                getattr(one, field.name), getattr(other, field.name), f"{where}.{field.name}", scale
            )
        ]
    if isinstance(one, tuple):
        if not isinstance(other, tuple) or len(one) != len(other):
            return [f"{where}: {one!r} and {other!r}"]
        return [
            told
            for place, (mine, theirs) in enumerate(zip(one, other, strict=True))
            for told in differences(mine, theirs, f"{where}[{place}]", scale)
        ]
    if isinstance(one, Fraction | float | int) and not isinstance(one, bool):
        near = other is not None and abs(float(one) - float(other)) <= 1e-12 * max(1.0, abs(one), scale)
        return [] if near else [f"{where}: {one!r} and {other!r}"]
    return [] if one == other else [f"{where}: {one!r} and {other!r}"]


def plainer(answer: WeightAnswer) -> WeightAnswer:
    """An answer without what a large table leaves to the asking, and its lists in the order of ids."""

    def in_order(named: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(sorted(named, key=lambda one: one.id))

    states = tuple(
        replace(
            state,
            half_width_rss=None,
            u=None,
            centre=None,
            at_datum=(),
            no_place=(),
            unknown=in_order(state.unknown),
            open_lists=in_order(state.open_lists),
        )
        for state in answer.states
    )
    vague = ("no mass", "without a mass", "is inferred")
    statements = tuple(
        replace(one, because="" if any(words in one.because for words in vague) else one.because)
        for one in answer.statements
    )
    parts = tuple(replace(part, line="", centre=None) for part in answer.parts)
    return replace(answer, states=states, statements=statements, parts=parts)


def handed(answer: WeightAnswer, judge: Judge) -> WeightAnswer:
    """An answer with the figures handed upward and the highest figure stated, and nothing from wholes around.

    Large tables say that much and no more: their rows are summed, not solved.
    """
    collection = judge.collection
    node = judge.tree.start[(answer.id, build_of(collection.components[answer.id]))]
    off = frozenset(named.id for named in answer.left_out)
    states = []
    for state in answer.states:
        totals = Totals(collection, judge.tree, state.state, off)  # type: ignore[arg-type]
        total = totals.of(node)
        plan, by = (total.mass.high, "") if total.known else (None, "")
        hint = total.figure.witness is not None and total.figure.witness.hint
        for witness in totals.usable(node) if total.known and not total.left_out else ():
            if (
                witness.chosen
                and (hint or not witness.hint)
                and plan is not None
                and witness.mass.high > plan
            ):
                plan, by = witness.mass.high, witness.printed
        states.append(
            replace(
                state,
                best=total.mass.best,
                low=total.mass.low,
                high=total.mass.high,
                complete=total.mass.complete,
                basis=str(total.figure.basis),
                planning=plan,
                raised_by=by,
                why_none="" if total.known else why_no_upper_figure(total),
                rests=NOTHING_MORE,
            )
        )
    last = Totals(collection, judge.tree, answer.states[-1].state, off)  # type: ignore[arg-type]
    uses = {use.line.key(answer.id): use.child for use in judge.tree.uses[node]}
    parts = []
    for part in answer.parts:
        figure = last.figures[uses[part.line]]
        mass = figure.mass
        basis = str(figure.basis)
        if figure.witness is not None and figure.basis is Basis.STATEMENT:
            basis = figure.witness.kind.name
        parts.append(
            replace(
                part,
                known=mass is not None and (mass.complete or mass.high > 0),
                complete=mass is not None and mass.complete,
                best=mass.best if mass else 0,
                low=mass.low if mass else 0,
                high=mass.high if mass else 0,
                basis=basis,
            )
        )
    return replace(answer, states=tuple(states), parts=tuple(parts))
