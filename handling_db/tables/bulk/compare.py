"""The checks that a large table gets: wholes against sums, parts without a mass, circles, unknown ids."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from handling_db.checker.consequences import TOGETHER
from handling_db.checker.evidence import listed
from handling_db.checker.rules.sums import steps_words
from handling_db.findings import Finding, Place, Verdict, fault, largest_hidden
from handling_db.lookup.worth_words import worth_words
from handling_db.quantities.display import counted, span
from handling_db.quantities.mass import Mass
from handling_db.records.kinds.source import SourceKind
from handling_db.records.parts.texts import State
from handling_db.tables.bulk.figures import Own, StateTotals, step_play
from handling_db.tables.bulk.graph import Graph, SharedTerms, cut, records_of
from handling_db.tables.bulk.shared import shared_sources
from handling_db.weights.compare import Judge
from handling_db.weights.graph.level_arrays import ArraySums
from handling_db.weights.graph.levels import ring
from handling_db.weights.verdict import Shared, compare, decided_by_steps

MOST_LISTED = 1000  # findings of each verdict; the rest are counted
LINES_TAKEN_APART = 5_000  # below an assembly whose figure names parts it counts or leaves out
ALL_TAKEN_APART = 100_000  # and of all of them together

_LOST = 4 * 2.0**-53  # of a product and of the rounding of the sum, relative

CIRCLE = "it was itself worked out from other figures, so it proves nothing about them"
TOO_MANY = "it names parts it counts or leaves out, and too many lines lie below to take them apart here"


@dataclass(frozen=True, slots=True)
class JudgedRow:
    """The verdict on one stated whole; limits of the parts, the gap and what is missing in kilograms.

    `complete` says whether all parts are known, `because_of` names the nodes whose disagreements explain this
    one, `steps` that it hangs on assumed steps of rounding, `shared` what it and parts that agree rest on.
    """

    verdict: Verdict
    because: str
    parts: tuple[float, float] | None = None
    gap: tuple[float, float] | None = None
    missing: tuple[float, float] | None = None
    complete: bool = True
    because_of: tuple[int, ...] = ()
    steps: str = ""
    shared: tuple[Shared, ...] = ()


def find_circle(graph: Graph, height: list[int]) -> Finding | None:
    """One circle among nodes that contain each other, if there is any."""
    table = graph.table
    walk = ring(table.usage.parent, table.usage.child, height)
    if not walk:
        return None
    line = next(
        i
        for i, (over, under) in enumerate(zip(table.usage.parent, table.usage.child, strict=True))
        if (over, under) == (walk[0], walk[1])
    )
    codes = [table.codes[node] for node in walk]
    shown = codes if len(codes) <= 12 else [*codes[:6], f"({len(codes) - 11} more)", *codes[-5:]]
    return fault(
        Place(graph.file[walk[0]], table.usage.line[line]),
        "parent",
        f"{' contains '.join(shown)}: nothing can contain itself;",
        "take one of these rows out. Until then nothing that contains them has a total.",
        rule="cycle",
        about=codes[0],
    )


def unknown_ids(graph: Graph, said: SharedTerms) -> Iterator[Finding]:
    """Ids that a boundary names and that the tables do not have."""
    named = {
        text: [code for side in boundary if isinstance(side, tuple) for code in side]
        for text, boundary in said.boundaries.items()
    }
    if not any(named.values()):
        return
    known = set(graph.table.codes)
    wrong = {text: [code for code in codes if code not in known] for text, codes in named.items()}
    statements = graph.table.statements
    for index, text in enumerate(statements.boundary):
        for code in wrong[text]:
            node = statements.node[index]
            yield fault(
                Place(graph.file[node], statements.line[index]),
                "boundary",
                f"there is no component {code!r};",
                "correct the id, or add a row for it.",
                rule="unknown-reference",
                about=graph.table.codes[node],
            )


def judge_wholes(
    graph: Graph,
    own: Own,
    said: SharedTerms,
    totals: Mapping[State, StateTotals],
    kinds: Mapping[str, SourceKind],
) -> dict[int, JudgedRow]:
    """The verdict on every figure that is stated for an assembly, by statement."""
    found: dict[int, JudgedRow] = {}
    apart: set[int] = set()
    budget = ALL_TAKEN_APART
    statements = graph.table.statements
    by_state: dict[str, tuple[ArraySums, dict[int, int]]] = {
        state: (one.sums, inferred_below(graph, said, one)) for state, one in totals.items()
    }
    any_state = next(iter(by_state.values()))
    for index, node in enumerate(statements.node):
        if graph.start[node] == graph.start[node + 1]:
            continue
        kind = said.kind_of[statements.source[index]]
        counts, without = said.boundaries[statements.boundary[index]]
        if isinstance(counts, tuple) or isinstance(without, tuple):
            apart.add(index)  # the records say what is shared
            below = graph.below(node, min(LINES_TAKEN_APART, budget))
            if below is None:
                found[index] = JudgedRow(Verdict.CANNOT_BE_CHECKED, TOO_MANY)
            else:
                budget -= len(below)
                found[index] = _taken_apart(graph, own, said, below, index, kinds)
            continue
        state = statements.state[index] or "dry"
        sums, inferred = by_state.get(state, any_state)
        low, high, complete = _sum_of_parts(graph, sums, node)
        if kind.id == "inferred":
            found[index] = JudgedRow(Verdict.CANNOT_BE_CHECKED, CIRCLE, (low, high))
            continue
        if node in inferred:
            name = graph.table.names[inferred[node]]
            told = f"the figure of {name} is inferred, and it is not recorded from what"
            found[index] = JudgedRow(Verdict.CANNOT_BE_CHECKED, told, (low, high))
            continue
        parts = Mass(Fraction(low), Fraction(low), Fraction(high), complete=complete)
        whole = Mass(Fraction(own.best[index]), Fraction(own.low[index]), Fraction(own.high[index]))
        result = compare(parts, whole, boundary_known=counts is not None and without is not None)
        found[index] = JudgedRow(
            result.verdict,
            result.because,
            (low, high),
            (float(result.gap[0]), float(result.gap[1])),
            (float(result.missing[0]), float(result.missing[1])) if result.missing else None,
            complete,
            steps=_steps(graph, totals, state, index, parts, whole),
        )
    for state, one in totals.items():
        agree = [
            index
            for index, judged in found.items()
            if index not in apart
            and judged.verdict is Verdict.AGREES
            and _state_at(totals, statements.state[index]) == state
        ]
        for index, shared in shared_sources(graph, said, one, agree).items():
            found[index] = replace(found[index], shared=shared)
    return found


def _state_at(totals: Mapping[State, StateTotals], state: str | None) -> State:
    """The state whose totals a figure was compared with."""
    return next((one for one in totals if one == (state or "dry")), next(iter(totals)))


def _steps(
    graph: Graph, totals: Mapping[State, StateTotals], state: str, index: int, parts: Mass, whole: Mass
) -> str:
    """That a verdict hangs on steps of rounding which are only assumed, or nothing."""
    one = next((found for name, found in totals.items() if name == state), next(iter(totals.values())))
    if one.step_play is None:
        return ""
    statements = graph.table.statements
    node = statements.node[index]
    own = step_play(statements, index)
    less, more = (float(play[node]) for play in one.step_play)
    if one.sums.whole[node]:  # there its own figure stands for the parts that are compared with it
        lines = [(int(graph.child[line]), float(graph.quantity[line])) for line in graph.lines_of(node)]
        less, more = (math.fsum(n * float(play[part]) for part, n in lines) for play in one.step_play)
    inside = Fraction(less), Fraction(more)
    would = decided_by_steps(parts, whole, inside, (Fraction(own[0]), Fraction(own[1])))
    if not would:
        return ""
    at = 0 if would == "lie apart" else 1
    told = [statements.printed(index)] if own[at] else []
    below = graph.below(node, LINES_TAKEN_APART) or []
    handed = [int(one.handed[part]) for part in below if part != node and one.handed[part] >= 0]
    told += [statements.printed(i) for i in handed if step_play(statements, i)[at]]
    return steps_words(told or ["figures further down"], would)


def inferred_below(graph: Graph, said: SharedTerms, one: StateTotals) -> dict[int, int]:
    """By node, a part whose inferred figure is in the sum of the node's parts: such a sum proves nothing.

    A whole that stands for its parts hides what is in it from what contains it, and may be inferred itself.
    """
    import numpy as np

    sources = graph.table.statements.source
    inferred = (
        [
            node
            for node, index in enumerate(one.handed.tolist())
            if index >= 0 and said.kind_of[sources[index]].id == "inferred"
        ]
        if any(kind.id == "inferred" for kind in said.kind_of.values())
        else []
    )
    if not inferred:
        return {}
    by_child = np.argsort(graph.child, kind="stable")
    start = np.searchsorted(graph.child[by_child], np.arange(len(graph.table.codes) + 1))
    origin = dict.fromkeys(inferred, -1)
    found: dict[int, int] = {}
    queue = list(origin)
    for node in queue:
        who = node if node in origin else found[node]
        for over in graph.parent[by_child[start[node] : start[node + 1]]].tolist():
            if over not in found:
                found[over] = who
                if not one.sums.whole[over]:
                    queue.append(over)
    return found


def _sum_of_parts(graph: Graph, sums: ArraySums, node: int) -> tuple[float, float, bool]:
    """Limits of the sum of the parts, also where a stated whole stands in for them upward. [kg]"""
    if not sums.whole[node]:
        return float(sums.low[node]), float(sums.high[node]), bool(sums.complete[node])
    lines = [(int(graph.child[line]), float(graph.quantity[line])) for line in graph.lines_of(node)]
    low = math.fsum(number * float(sums.low[part]) for part, number in lines)
    high = math.fsum(number * float(sums.high[part]) for part, number in lines)
    return low * (1 - _LOST), high * (1 + _LOST), False


def _taken_apart(
    graph: Graph, own: Own, said: SharedTerms, below: list[int], index: int, kinds: Mapping[str, SourceKind]
) -> JudgedRow:
    """The verdict by way of records, for a figure whose boundary names parts."""
    node = graph.table.statements.node[index]
    lines = [line for here in below for line in graph.lines_of(here)]
    indices = [i for here in below for i in own.of(here)]
    collection = records_of(cut(graph.table, below, indices, lines), said, kinds)
    judge = Judge(collection)
    code = graph.table.codes[node]
    mine = own.of(node)
    # Records list the figures of a component in the order of the cut, so the place tells which is which.
    witness = next(
        w for w in judge.totals("dry").witnesses_of(code) if w.position == ("masses", mine.index(index))
    )
    judged = judge.judge(witness)
    if judged is None:  # pragma: no cover - an assembly outside of any circle is always judged
        return JudgedRow(Verdict.CANNOT_BE_CHECKED, "")
    mass = judged.parts.mass if judged.parts else None
    gap = judged.comparison.gap if judged.comparison else None
    missing = judged.comparison.missing if judged.comparison else None
    return JudgedRow(
        judged.verdict,
        judged.because,
        (float(mass.low), float(mass.high)) if mass else None,
        (float(gap[0]), float(gap[1])) if gap else None,
        (float(missing[0]), float(missing[1])) if missing else None,
        mass.complete if mass else True,
        shared=judged.shared,
    )


def sum_findings(
    graph: Graph, own: Own, said: SharedTerms, judged: Mapping[int, JudgedRow], height: list[int]
) -> list[Finding]:
    """One finding for each stated whole, the gravest first, the deepest assembly first; many are counted."""
    order = [Verdict.DISAGREES, Verdict.CANNOT_BE_CHECKED, Verdict.AGREES]
    node = graph.table.statements.node
    found: list[Finding] = []
    for verdict in order:
        these = [index for index, one in judged.items() if one.verdict is verdict]
        # What follows from others comes after what it follows from, also where not all are listed.
        these.sort(
            key=lambda index: (
                bool(judged[index].because_of),
                height[node[index]],
                graph.table.codes[node[index]],
                index,
            )
        )
        found += [_sum_finding(graph, own, said, index, judged[index]) for index in these[:MOST_LISTED]]
        if len(these) > MOST_LISTED:
            more = len(these) - MOST_LISTED
            told = f"{more} more stated figures of the same verdict ({verdict}) are not listed one by one;"
            found.append(
                Finding("parts-sum", verdict, "", told, "each stands with its component, with its verdict.")
            )
    return found


def _worth(one: JudgedRow) -> str:
    """What it is worth that a whole and its parts touch."""
    assert one.gap is not None  # what agrees was compared
    return worth_words(largest_hidden((Fraction(one.gap[0]), Fraction(one.gap[1]))), one.shared)


def _sum_finding(graph: Graph, own: Own, said: SharedTerms, index: int, one: JudgedRow) -> Finding:
    statements = graph.table.statements
    node = statements.node[index]
    code = graph.table.codes[node]
    source = said.sources[statements.source[index] or ""].name
    stated = span(own.low[index], own.high[index])
    head = f"{graph.table.names[node]}: {source} has {statements.printed(index)} ({stated})"
    figures: list[tuple[str, Fraction, Fraction]] = []
    ours, remedy = "", "Weigh the whole, or the part you doubt most; until then plan with the heavier figure."
    if one.parts is not None:
        ours = f"the parts come to {span(*one.parts)}"
        figures = [("parts", Fraction(one.parts[0]), Fraction(one.parts[1])),
                   ("stated", Fraction(own.low[index]), Fraction(own.high[index]))]  # fmt: skip
    if one.verdict is Verdict.AGREES:
        sentence, remedy = (
            f"{head}; {ours}; the two touch; {_worth(one)}.",
            "Nothing contradicts here; it says no more than that.",
        )
    elif one.because_of:
        names = listed([graph.table.names[cause] for cause in one.because_of], shown=TOGETHER)
        verb = "disagrees" if len(one.because_of) == 1 else "together disagree"
        sentence = f"{head}; {ours}, because of {names}, which {verb} by as much."
        remedy = f"Settle {names} first, then check again."
    elif one.verdict is Verdict.DISAGREES and one.gap is not None:
        heavier = one.gap[0] > 0
        gap = one.gap if heavier else (-one.gap[1], -one.gap[0])
        sentence = f"{head}; {ours}, {'heavier' if heavier else 'lighter'} by {span(*gap)}."
    elif one.missing is not None:
        low, high = max(one.missing[0], 0.0), one.missing[1]
        sentence = (
            f"{head}; {one.because}; of those that have one {ours}, so what is missing would have to weigh "
            f"{span(low, high)}."
        )
        remedy = "Weigh what is missing, or write its figure with the source."
    else:
        sentence = f"{head}; {one.because}{'; ' + ours if ours else ''}."
        remedy = "Look up what the figure counts and write it in 'boundary'."
    if one.steps and not one.because_of:
        sentence = f"{head}; {one.steps}{sentence.removeprefix(head).removeprefix(';')}"
        remedy = f"Write 'step' where the sources say it. {remedy}"
    return Finding(
        "parts-sum",
        one.verdict,
        code,
        sentence,
        remedy,
        Place(graph.file[node], statements.line[index]),
        "",
        tuple(figures),
        (Fraction(one.gap[0]), Fraction(one.gap[1])) if one.gap else None,
        tuple(graph.table.codes[cause] for cause in one.because_of),
        rests_on_steps=bool(one.steps) and not one.because_of,
        shared=tuple(shared.name for shared in one.shared),
    )


def masses_missing(graph: Graph, nodes: list[int]) -> Finding | None:
    """One finding for all parts without a mass: never counted as nothing, they make totals "at least"."""
    if not nodes:
        return None
    names = [graph.table.names[node] for node in nodes[:3]]
    more = f" and {len(nodes) - 3:,} more" if len(nodes) > 3 else ""
    verb = "has" if len(nodes) == 1 else "have"
    return Finding(
        "mass-missing",
        Verdict.CANNOT_BE_CHECKED,
        graph.table.codes[nodes[0]],
        f"{counted(len(nodes), 'part')} {verb} no mass ({', '.join(names)}{more}); the totals of everything "
        'that contains them are "at least".',
        "Weigh them, or write their figures in 'mass' with the source.",
        Place(graph.file[nodes[0]], graph.table.lines[nodes[0]]),
        "mass",
    )
