"""Where figures of one component disagree, what would explain it, and what was decided: plain answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations

from handling_db.balance.combining import combined_weighings
from handling_db.balance.explain import Explanation, explain, explain_apart
from handling_db.balance.words import first_sentence
from handling_db.evidence.answer import (
    CauseFigure,
    ChoiceFigure,
    CombinedFigure,
    Conflict,
    ExplainAnswer,
    Explained,
    InferredFigure,
)
from handling_db.evidence.figure_places import FigurePlaces
from handling_db.evidence.provenance import Provenance
from handling_db.families.build import build_of
from handling_db.findings import Verdict
from handling_db.quantities.mass import Mass
from handling_db.records.collection import Collection
from handling_db.records.kinds.choice import Choice
from handling_db.records.parts.texts import STATES, State
from handling_db.weights.choose import in_force
from handling_db.weights.compare import Judge
from handling_db.weights.totals import Total, Totals
from handling_db.weights.verdict import touch
from handling_db.weights.witness import Witness

# What a part that nobody weighed must weigh, from a weighed whole around it: whole less everything else.
#
# The figure is labelled and stays an answer. It is worked out from recorded figures only and is never stored,
# so it cannot come back to check the whole it came from; it names that whole so that a reader can see it.


@dataclass(frozen=True, slots=True)
class Inferred:
    """A mass worked out from a whole.

    Parameters
    ----------
    component : str
        What nobody weighed.
    mass : Mass
        Of one piece. A lower limit below zero is raised to zero. [kg]
    whole : Witness
        The figure it was worked out from, and must not be used to check.
    state : State
        Of that figure.
    others : Total
        What was taken off.
    pieces : Fraction
        How many of them share what was left.
    too_light : bool
        Even the heaviest that is left is less than nothing: the figures contradict one another.
    """

    component: str
    mass: Mass
    whole: Witness
    state: State
    others: Total
    pieces: Fraction
    too_light: bool = False


def infer(totals: Totals, code: str) -> tuple[Inferred, ...]:
    """Every figure that a weighed whole gives for a component without a mass, in one state.

    A whole counts if it is about the same state and build, its boundary is known, its list of parts is
    complete, and nothing else in it is without a mass.

    Parameters
    ----------
    totals : Totals
        Of the state; ask for each state, since a whole may have been weighed drained.
    code : str
        The component.

    Returns
    -------
    tuple of Inferred
        The most trusted whole of the smallest assembly first; empty where there is none, or where the
        component has a mass of its own.
    """
    return tuple(
        inferred
        for node in totals.tree.order
        if totals.tree.uses[node] and totals.tree.component(node) != code
        for whole in totals.usable(node)
        if _may_infer(whole) and (inferred := _from(totals, node, whole, code)) is not None
    )


def infer_in_states(several: Iterable[Totals], code: str) -> tuple[Inferred, ...]:
    """The same over several states, each whole once."""
    found: dict[str, Inferred] = {}
    for totals in several:
        for inferred in infer(totals, code):
            found.setdefault(inferred.whole.id, inferred)
    return tuple(found.values())


def _may_infer(whole: Witness) -> bool:
    return whole.chosen and not whole.hint and not whole.derived and whole.boundary_known


def _from(totals: Totals, node: int, whole: Witness, code: str) -> Inferred | None:
    known = totals.sum_of(node, leave_out=whole.left_out, only=whole.only)
    if len(known.unknown) != 1 or known.unknown[0][0] != code or known.open_lists:
        return None
    pieces = known.unknown[0][1]
    others = replace(known.mass, complete=True)
    left = whole.mass - others
    too_light = left.high < 0
    zero = Fraction(0)
    if left.low < 0:
        left = replace(left, low=zero, best=max(left.best, zero), high=max(left.high, zero))
    return Inferred(code, left.times(1 / pieces), whole, totals.state, known, pieces, too_light)


def explain_answer(collection: Collection, code: str, judge: Judge | None = None) -> ExplainAnswer:
    """Every disagreement about one component in its default build, with every single explanation.

    Parameters
    ----------
    collection : Collection
    code : str
        The component's id.
    judge : Judge, optional
        Of the collection, if there is one.

    Raises
    ------
    BuildError
        The default build of the component cannot be.
    """
    judge = judge or Judge(collection)
    figures = judge.totals("filled").witnesses_of(code)
    explained: list[Explained] = []
    not_compared: list[tuple[str, str]] = []
    for witness in figures:
        found = explain(judge, witness)
        if found is not None:
            explained.append(_explained(collection, found))
            continue
        judged = judge.judge(witness)
        if judged is not None and judged.verdict is Verdict.CANNOT_BE_CHECKED:
            not_compared.append((said(witness), judged.because))
    return ExplainAnswer(
        code,
        collection.components[code].name,
        len(figures),
        tuple(explained),
        conflicts(judge, code),
        tuple(not_compared),
        choices_of(recorded_choices(collection), code, figures),
        tuple(
            CombinedFigure(
                tuple(said(witness) for witness in group),
                group[0].state or "",
                combined.best,
                combined.u,
                combined.low,
                combined.high,
            )
            for group, combined in combined_weighings(Provenance(collection), figures)
        ),
    )


def said(witness: Witness) -> str:
    """``PT-34 handbook: 415 kg / 920 lb, dry``."""
    state = f", {witness.state}" if witness.state else ""
    return f"{witness.source.name}: {witness.printed}{state}"


def _explained(collection: Collection, found: Explanation) -> Explained:
    witness = found.witness
    return Explained(
        witness.id,
        witness.printed,
        witness.source.id,
        witness.source.name,
        witness.state or "",
        found.gap[0],
        found.gap[1],
        first_sentence(collection, found, first="kg"),
        first_sentence(collection, found, first="lb"),
        tuple(
            CauseFigure(
                cause.kind, cause.about, collection.components[cause.about].name, cause.says, cause.size
            )
            for cause in found.causes
        ),
        found.pairs,
        FigurePlaces(collection).of(witness.id),
        found.lacking,
    )


def conflicts(judge: Judge, code: str) -> tuple[Conflict, ...]:
    """Pairs of figures for one thing in one state that do not touch; guesses and hints are left out.

    A figure of the whole that disagrees with the sum of its parts is another matter: see `explain`.
    """
    start = (code, build_of(judge.collection.components[code]))
    node = judge.tree.start.get(start)
    found: dict[tuple[str, str], Conflict] = {}
    for state in STATES if node is not None else ():
        totals = judge.totals(state)
        usable = [w for w in totals.usable(node) if w.chosen and not w.hint] if node is not None else []
        for one, other in combinations(usable, 2):
            if touch(one.mass, other.mass) or _answer_differently(one, other):
                continue
            light, heavy = sorted((one, other), key=lambda w: (w.mass.best, w.id))
            if (light.id, heavy.id) in found:
                continue
            causes = explain_apart(judge, light, heavy)
            found[(light.id, heavy.id)] = Conflict(
                light.id,
                heavy.id,
                said(light),
                said(heavy),
                state if totals.has_fluid[node or 0] else "",
                heavy.mass.low - light.mass.high,
                tuple((cause.kind, f"{cause.witness.printed}: {cause.says}") for cause in causes),
            )
    return tuple(found.values())


def _answer_differently(one: Witness, other: Witness) -> bool:
    """Whether two figures are not about the same units or do not count the same."""
    apart = one.serials is not None and other.serials is not None and not one.serials.overlaps(other.serials)
    return apart or (one.counts, one.without) != (other.counts, other.without)


def recorded_choices(collection: Collection) -> tuple[Choice, ...]:
    """Every choice of a collection, by id."""
    return tuple(choice for _, choice in sorted(collection.choices.items()))


def choices_of(choices: Iterable[Choice], code: str, figures: Sequence[Witness]) -> tuple[ChoiceFigure, ...]:
    """The choices in force about a component, the newest first; one that chose a figure gone by says so."""
    printed = {witness.id: said(witness) for witness in figures}
    return tuple(
        ChoiceFigure(
            choice.id,
            choice.settled,
            choice.statement or "",
            printed.get(choice.statement or "", "a figure that is no longer in force")
            if choice.settled
            else "",
            choice.state or "",
            choice.by,
            choice.on.isoformat(),
            choice.reason,
            choice.owner or "",
            choice.settle_by.isoformat() if choice.settle_by else "",
        )
        for choice in in_force(choices, code)
    )


def inferred_figures(judge: Judge, codes: Iterable[str]) -> tuple[InferredFigure, ...]:
    """What weighed wholes say that some components must weigh, the smallest whole first for each.

    Parameters
    ----------
    judge : Judge
        Of a collection that holds everything the wholes around them are made of.
    codes : component ids
        Those with a mass of their own give nothing.
    """
    collection = judge.collection
    several = [judge.totals(state) for state in STATES]
    return tuple(
        InferredFigure(
            code,
            collection.components[code].name,
            one.mass.best,
            one.mass.low,
            one.mass.high,
            one.state,
            one.whole.id,
            one.whole.printed,
            one.whole.source.name,
            one.whole.component,
            collection.components[one.whole.component].name,
            one.pieces,
            one.too_light,
        )
        for code in codes
        for one in infer_in_states(several, code)
    )
