"""The last line: what was compared and what was not, in words, and what stays open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from handling_db.checker.evidence import listed
from handling_db.checker.rules.sums import CIRCULAR, RULE
from handling_db.findings import Finding, Verdict
from handling_db.lookup.worth_words import up_to_words, worth_words
from handling_db.quantities.display import counted
from handling_db.records.collection import Collection
from handling_db.weights.compare import Judge, Judgement, judge_of
from handling_db.weights.tree import Tree
from handling_db.weights.witness import Witness

FEW = 4  # up to so many wholes are told one by one


def closing_words(collection: Collection, findings: Iterable[Finding], *, judge: Judge | None = None) -> str:
    """What was compared, what was not, and what stays open.

    Parameters
    ----------
    collection : Collection
    findings : iterable of Finding
        What `check` found, with what the readers found.
    judge : Judge, optional
        Of the same collection, if there is one already.

    Returns
    -------
    str
        One line. It never says more than that figures were compared.
    """
    own = judge or judge_of(collection)
    assemblies = [
        Assembly(code, one.name, one.parts_listed)
        for code, one in sorted(collection.components.items())
        if one.parts
    ]
    return closing_from(
        list(findings),
        lambda code: collection.components[code].name,
        assemblies,
        lambda code: whole_words(own, code),
    )


@dataclass(frozen=True, slots=True)
class Assembly:
    """Something that lists parts, as far as the closing words speak of it."""

    code: str
    name: str
    parts_listed: str | None


def closing_from(
    found: Sequence[Finding],
    name: Callable[[str], str],
    assemblies: Sequence[Assembly],
    whole: Callable[[str], str],
) -> str:
    """The closing words from what they speak of.

    Parameters
    ----------
    found : sequence of Finding
        All there are, in order.
    name : function of a component's id
        Its name.
    assemblies : sequence of Assembly
        By id.
    whole : function of a component's id
        What was compared of one assembly, in words; asked only where there are few.
    """
    sums = [finding for finding in found if finding.rule in (RULE, CIRCULAR)]
    wholes = list(dict.fromkeys(finding.about for finding in sums))
    sentences = []
    if not wholes:
        sentences.append("Nothing was compared: no assembly here has both listed parts and a stated whole")
    elif len(wholes) <= FEW:
        sentences += [f"{name(code)}: {whole(code)}" for code in wholes]
    else:
        sentences.append(_many(sums, len(wholes)))
    sentences += _not_compared(assemblies, wholes)
    sentences.append(f"Stays open: {listed(_open(name, assemblies, found), shown=8)}")
    return f"{'. '.join(sentences)}."


def whole_words(judge: Judge, code: str) -> str:
    """One assembly: ``agrees; compared: 48 lines, drained, serial 1187; not compared: the handbook, ...``."""
    told: list[str] = []
    not_compared: list[str] = []
    for witness in judge.totals("dry").witnesses_of(code):
        judgement = judge.judge(witness)
        if judgement is None:
            continue
        if judgement.verdict is Verdict.CANNOT_BE_CHECKED:
            not_compared.append(f"{witness.source.name} ({witness.printed}), {_why_not(judgement)}")
        else:
            told.append(_compared(judge, witness, judgement))
    text = "; ".join(told) or "cannot be checked"
    return f"{text}; not compared: {'; '.join(not_compared)}" if not_compared else text


def _why_not(judgement: Judgement) -> str:
    complete = judgement.parts is not None and judgement.parts.mass.complete
    if complete and judgement.comparison is not None:
        return "whose boundary is not stated"
    return f"because {judgement.because}"


def _compared(judge: Judge, witness: Witness, judgement: Judgement) -> str:
    node = judge.node_of(witness)
    facts = [counted(lines_below(judge.tree, node), "line") if node is not None else "no lines"]
    if witness.state or judge.totals("dry").has_fluid[node or 0]:
        facts.append(judgement.state)
    if witness.serials is not None:
        single = witness.serials.from_ == witness.serials.to
        facts.append(f"{'serial' if single else 'serials'} {witness.serials.in_words()}")
    if not witness.boundary_known:
        facts.append("what the figure counts is not stated")
    hides = judgement.comparison.hides if judgement.comparison else None
    worth = ""
    if judgement.verdict is Verdict.AGREES and hides is not None:
        worth = f"; {worth_words(hides, judgement.shared)}"
    return (
        f"{judgement.verdict} with {witness.source.name} ({witness.printed}){worth}; "
        f"compared: {', '.join(facts)}"
    )


def lines_below(tree: Tree, node: int) -> int:
    """How many part lines below a node list something that is not made of parts itself."""
    reached = {node}
    stack = [node]
    lines = 0
    while stack:
        for use in tree.uses[stack.pop()]:
            if not tree.uses[use.child]:
                lines += 1
            if use.child not in reached:
                reached.add(use.child)
                stack.append(use.child)
    return lines


def _many(sums: Sequence[Finding], wholes: int) -> str:
    counts = Counter(finding.verdict for finding in sums)
    hidden = [finding.hides for finding in sums if finding.hides is not None]
    agree = _verb(counts[Verdict.AGREES], "agree")
    if hidden:
        where = "in it" if len(hidden) == 1 else "in the weakest of them"
        agree += f" (in one figure {up_to_words(max(hidden))} may hide {where})"
    numbers = (
        f"{agree}, {_verb(counts[Verdict.DISAGREES], 'disagree')}, "
        f"{counts[Verdict.CANNOT_BE_CHECKED]} cannot be checked"
    )
    reasons = _reasons(sums)
    numbers += f" ({reasons})" if reasons else ""
    return f"{counted(len(sums), 'stated figure')} of {counted(wholes, 'assembly', 'assemblies')}: {numbers}"


def _verb(number: int, verb: str) -> str:
    return f"{number} {verb}s" if number == 1 else f"{number} {verb}"


def _reasons(sums: Sequence[Finding]) -> str:
    """Why figures cannot be checked, counted."""
    told: Counter[str] = Counter()
    for finding in sums:
        if finding.verdict is not Verdict.CANNOT_BE_CHECKED:
            continue
        names = [name for name, _, _ in finding.figures]
        if finding.rule == CIRCULAR:
            told["worked out from one another"] += 1
        elif "known parts" in names:
            told["parts without a mass or not all listed"] += 1
        elif "parts" in names:
            told["what the figure counts is not stated"] += 1
        else:
            told["state, build or packing does not match"] += 1
    return "; ".join(f"{number}: {why}" for why, number in sorted(told.items(), key=lambda item: -item[1]))


def _not_compared(assemblies: Iterable[Assembly], wholes: Iterable[str]) -> list[str]:
    """Assemblies with nothing to compare their parts with."""
    compared = set(wholes)
    lonely = [one.name for one in assemblies if one.code not in compared]
    if not lonely:
        return []
    number = counted(len(lonely), "assembly", "assemblies")
    return [f"Not compared: {number} without a stated whole ({listed(lonely)})"]


def _open(
    name: Callable[[str], str], assemblies: Iterable[Assembly], findings: Sequence[Finding]
) -> list[str]:
    """What a reader must not take for settled; the last item is always there."""
    told = []
    faults = sum(finding.verdict is Verdict.FAULT for finding in findings)
    if faults:
        told.append(f"{counted(faults, 'fault')} (what could not be read was compared with nothing)")
    missing = [f.about for f in findings if f.rule == "mass-missing"]
    if missing:
        names = listed(name(code) for code in missing)
        told.append(f"{counted(len(missing), 'part')} without a mass ({names})")
    lists = [one.name for one in assemblies if one.parts_listed != "all"]
    if lists:
        number = counted(len(lists), "list of parts", "lists of parts")
        told.append(f"{number} that nobody calls complete ({listed(lists)})")
    others = [f for f in findings if f.verdict is Verdict.DISAGREES and f.rule not in (RULE, CIRCULAR)]
    if others:
        told.append(f"{counted(len(others), 'other contradiction')}")
    told.append("whether the unit in hand is built as recorded")
    return told
