"""Do the parts sum to the stated whole? One finding for each stated figure of something that lists parts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from handling_db.checker.consequences import TOGETHER, Apart, consequences
from handling_db.checker.evidence import Evidence, Judged, listed
from handling_db.checker.rules.choices import decision_on
from handling_db.checker.sharpen import sharpen_words, sharpened
from handling_db.findings import Finding, Verdict
from handling_db.lookup.worth_words import worth_words
from handling_db.quantities.display import counted, pair, span
from handling_db.records.parts.texts import State
from handling_db.weights.sum_of_parts import SumOfParts
from handling_db.weights.totals import Basis
from handling_db.weights.verdict import decided_by_steps
from handling_db.weights.witness import Witness

RULE = "parts-sum"
CIRCULAR = "circular"
Gap = tuple[Fraction, Fraction]


def parts_sum(evidence: Evidence) -> Iterator[Finding]:
    """Every stated whole against the sum of its parts: agrees, disagrees or cannot be checked."""
    because = _deeper(evidence)
    for one in evidence.judged:
        if is_circle(one):
            continue
        causes = because.get(one.witness.id)
        yield _follows(evidence, one, causes) if causes else _compared(evidence, one)


def circular(evidence: Evidence) -> Iterator[Finding]:
    """Figures that were worked out from one another and so cannot check each other."""
    for one in evidence.judged:
        if is_circle(one):
            remedy = "Weigh the part or the whole by itself; a worked-out figure is no second witness."
            yield _finding(evidence, one, f"{one.judgement.because}.", remedy, rule=CIRCULAR)


def is_circle(one: Judged) -> bool:
    """Whether the sum is known but was not compared, because the two are one witness."""
    return one.judgement.parts is not None and one.judgement.comparison is None


def says(witness: Witness) -> str:
    """``PT-34 handbook has 415 kg / 920 lb, dry``."""
    state = f", {witness.state}" if witness.state else ""
    return f"{witness.source.name} has {witness.printed}{state}"


def missing_text(gap: Gap) -> str:
    """What would have to weigh so much: ``15.0 to 26.6 kg (...)`` or ``no more than 2.7 kg (...)``. [kg]"""
    low, high = gap
    if low > 0:
        return span(low, high)
    return f"no more than {_one(high)}"


def _one(kg: Fraction) -> str:
    """A single limit in both units, to one decimal. [kg]"""
    return pair(kg, 1)


def _compared(evidence: Evidence, one: Judged) -> Finding:
    judgement, comparison = one.judgement, one.judgement.comparison
    if comparison is None or judgement.parts is None:
        return _finding(evidence, one, f"{judgement.because}.", _bring_together(one.witness))
    mass = judgement.parts.mass
    ours = f"its parts come to {span(mass.low, mass.high)}"
    if not mass.complete:
        ours = f"the parts that have a mass come to {span(mass.low, mass.high)}"
        if mass.high == 0:
            ours = "none of its parts has a mass"
    if judgement.verdict is Verdict.AGREES:
        worth = worth_words(comparison.hides, judgement.shared)
        remedy = "Nothing contradicts here; it says no more than that."
        if _one_author(one):
            remedy = "Every figure is from this one source, which added up its own: no proof about the iron."
        to_weigh = sharpened(evidence, one)
        if to_weigh is not None:
            remedy = f"{remedy} To sharpen it, {sharpen_words(evidence, to_weigh)}."
        return _finding(evidence, one, f"{ours}; the two touch; {worth}.", remedy)
    if judgement.verdict is Verdict.DISAGREES:
        sentence = f"{ours}, {_apart(comparison.gap, complete=judgement.parts.mass.complete)}."
        return _finding(evidence, one, sentence + _may(one, comparison.gap), _look(evidence, one))
    if judgement.parts.mass.complete:
        sentence = f"{ours}; the two touch, but {judgement.because}."
        return _finding(evidence, one, sentence, f"{_BOUNDARY} Until then it proves nothing.")
    needed = comparison.missing or comparison.gap
    sentence = (
        f"{judgement.because}; {ours}, so {_lacking(judgement.parts)} would have to weigh "
        f"{missing_text(needed)}."
    )
    return _finding(evidence, one, sentence, _find_out(evidence, judgement.parts))


def _one_author(one: Judged) -> bool:
    """Whether the whole and every part have their figures from one and the same document."""
    source, parts = one.witness.source, one.judgement.parts
    return source.instrument is None and parts is not None and parts.one_source == source.id


_BOUNDARY = "Look up what the figure counts and write 'counts' and 'without'."


def _apart(gap: Gap, *, complete: bool) -> str:
    low, high = gap
    if not complete:
        return f"already heavier by {_one(low)} at least"
    if low > 0:
        return f"heavier by {span(low, high)}"
    return f"lighter by {span(-high, -low)}"


def _may(one: Judged, gap: Gap) -> str:
    if one.witness.boundary_known:
        return ""
    doubt = "may leave something out" if gap[0] > 0 else "may count something that is not listed"
    return f" What it counts is not stated: the printed figure {doubt}."


def _look(evidence: Evidence, one: Judged) -> str:
    start = "" if one.witness.boundary_known else f"{_BOUNDARY} "
    decision, _ = decision_on(evidence, one.witness)
    weigh = "Weigh the whole, or the part you doubt most; until then plan with the heavier figure."
    return f"{start}{weigh} {decision}".rstrip()


def _bring_together(witness: Witness) -> str:
    """What to write so that a figure and its parts speak of the same thing."""
    if witness.packed:
        return "Weigh it without its packing, or write the packing into the tare."
    if witness.state is None:
        return "Write 'state': dry, drained or filled."
    if witness.state == "dry":
        return "Write in 'build' only parameters that the component has, each with a value it can take."
    return "Weigh it with the fluid out and write 'state: dry', or list its share of the fluid as a part."


def _lacking(parts: SumOfParts) -> str:
    number = len(parts.unknown)
    if parts.open_lists:
        return "what has no mass or is not listed" if number else "what is not listed"
    return "it" if number == 1 else f"these {counted(number, 'part')} together"


def _find_out(evidence: Evidence, parts: SumOfParts) -> str:
    told = []
    if parts.unknown:
        told.append(f"weigh {listed(evidence.name(code) for code, _ in parts.unknown)}")
    if parts.open_lists:
        names = listed(evidence.name(code) for code in parts.open_lists)
        told.append(f"look whether {names} lists all its parts, and write 'parts listed: all'")
    text = "; ".join(told)
    return f"{text[:1].upper()}{text[1:]}."


def _steps(one: Judged) -> str:
    """That the verdict hangs on steps of rounding which nobody stated, or nothing."""
    parts, comparison = one.judgement.parts, one.judgement.comparison
    if parts is None or comparison is None:
        return ""
    would = decided_by_steps(parts.mass, one.witness.mass, parts.step_play, one.witness.step_play)
    if not would:
        return ""
    at = 0 if would == "lie apart" else 1
    figures = [one.witness] if one.witness.step_play[at] else []
    inside = [share.figure.witness for share in parts.shares if share.figure.witness is not None]
    figures += [witness for witness in inside if witness.step_play[at]]
    return steps_words([witness.printed for witness in figures], would)


def steps_words(printed: Sequence[str], would: str) -> str:
    """What a verdict that hangs on assumed steps of rounding starts with.

    Parameters
    ----------
    printed : sequence of str
        The figures whose steps may be others.
    would : str
        ``touch`` or ``lie apart``.
    """
    read = "coarse" if would == "touch" else "fine"
    return (
        f"steps of rounding that are only assumed from the digits ({listed(dict.fromkeys(printed))}) decide "
        f"this: read as {read} as they may be, the two {would};"
    )


def _finding(evidence: Evidence, one: Judged, sentence: str, remedy: str, *, rule: str = RULE) -> Finding:
    witness, judgement = one.witness, one.judgement
    steps = _steps(one)
    figures = [("stated", witness.mass.low, witness.mass.high)]
    if judgement.parts is not None:
        mass = judgement.parts.mass
        figures.insert(0, ("parts" if mass.complete else "known parts", mass.low, mass.high))
    name = evidence.name(witness.component)
    head = f"{name}: {says(witness)} ({span(witness.mass.low, witness.mass.high)});"
    gap = judgement.comparison.gap if judgement.comparison else None
    return evidence.where(witness).says(
        judgement.verdict,
        rule,
        f"{head} {steps} {sentence}" if steps else f"{head} {sentence}",
        f"Write 'step' where the sources say it. {remedy}" if steps else remedy,
        tuple(figures),
        gap,
        rests_on_steps=bool(steps),
        shared=tuple(shared.name for shared in judgement.shared),
    )


def _follows(evidence: Evidence, one: Judged, causes: tuple[Judged, ...]) -> Finding:
    """The one line that an assembly gets when what disagrees inside it explains its gap."""
    at = [evidence.where(cause.witness) for cause in causes]
    where = "; ".join(f"{place}: {field}" for place, field, _ in at if place)
    names = listed((evidence.name(cause.component) for cause in causes), shown=TOGETHER)
    verb = "which disagrees by as much" if len(causes) == 1 else "which together disagree by as much"
    sentence = f"its parts come to something else because of {names}, {verb}{f' ({where})' if where else ''}."
    finding = _finding(evidence, one, sentence, f"Settle {names} first, then check again.")
    return replace(finding, because_of=tuple(dict.fromkeys(cause.component for cause in causes)))


def _deeper(evidence: Evidence) -> dict[str, tuple[Judged, ...]]:
    """By id of a disagreeing figure, the disagreements below it that explain its gap."""
    apart: dict[int, Apart] = {}
    for at, one in enumerate(evidence.judged):
        comparison, parts = one.judgement.comparison, one.judgement.parts
        if one.judgement.verdict is Verdict.DISAGREES and one.node is not None and comparison and parts:
            height, complete = evidence.tree.height[one.node], parts.mass.complete
            apart[at] = Apart(one.node, height, one.component, comparison.gap, complete)
    if len(apart) < 2:
        return {}
    nodes = {one.node for one in apart.values()}
    states = {one.node: evidence.judged[at].judgement.state for at, one in apart.items()}
    pieces = {node: _reaching(evidence, node, states[node], nodes) for node in nodes}
    found = consequences(apart, pieces)
    return {
        evidence.judged[at].witness.id: tuple(evidence.judged[cause] for cause in causes)
        for at, causes in found.items()
    }


def _reaching(evidence: Evidence, node: int, state: State, wanted: set[int]) -> dict[int, Fraction]:
    """How many of each wanted node the sum of a node counts; a whole that stands for its parts hides them."""
    totals = evidence.judge.totals(state)
    pieces = {node: Fraction(1)}
    for here in reversed(totals.below(node)):
        number = pieces.get(here)
        if number is None or (here != node and totals.figures[here].basis is not Basis.SUM):
            continue
        for use in evidence.tree.uses[here]:
            pieces[use.child] = pieces.get(use.child, Fraction(0)) + number * use.quantity
    return {below: number for below, number in pieces.items() if below in wanted and below != node}
