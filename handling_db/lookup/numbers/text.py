"""Answers about the numbers as lines of text."""

from __future__ import annotations

from handling_db.evidence.answer import (
    BoundsAnswer,
    DoubtAnswer,
    ExplainAnswer,
    ReconcileAnswer,
    SweepAnswer,
    WhyAnswer,
)
from handling_db.lookup import words as wording
from handling_db.lookup.numbers import words as number_words
from handling_db.quantities.columns import columns
from handling_db.quantities.display import counted, pair, span
from handling_db.records.open_job import job_words
from handling_db.weights.answer import Named


def why_text(answer: WhyAnswer, first: str) -> str:
    """The chain as lines of text."""
    lines = [f"{answer.name} ({answer.id}), {answer.state}: {wording.plan_words(answer.figure, first=first)}"]
    lines += [f"  {job_words(job)}" for job in answer.jobs]
    build = wording.build_words(answer.build)
    lines += [f"  build: {build}"] if build else []
    figures = counted(len(answer.shares), "figure", "different figures")
    lines += [f"  {wording.state_words(answer.figure, first=first)}; made of {figures}", ""]
    for line in answer.lines:
        indent = "  " * line.depth
        lines.append(f"{indent}{number_words.why_words(line, first=first)}")
        if line.paper is not None:
            lines.append(f"{indent}    {number_words.paper_words(line.paper)} [{line.paper.id}]")
            lines += [f"{indent}    {made}" for made in number_words.made_words(line.paper)]
        for paper in line.beside:
            lines.append(f"{indent}    beside it: {number_words.paper_words(paper)} [{paper.id}]")
            lines += [f"{indent}      {made}" for made in number_words.made_words(paper)]
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])


def sweep_text(answer: SweepAnswer, first: str) -> str:
    """The sweep as lines of text."""
    lines = [f"{answer.name} ({answer.id}) over {answer.parameter}, {answer.state}"]
    lines += [f"  {job_words(job)}" for job in answer.jobs]
    lines += [f"  {answer.parameter}: {answer.meaning}"] if answer.meaning else []
    lines += [f"  held: {wording.build_words(answer.held)}"] if answer.held else []
    rows = [[answer.parameter, "mass", "what to plan with", "centre of gravity"]]
    for line in answer.lines:
        mass, plan = number_words.sweep_words(line, first=first)
        rows.append([line.text, mass, plan, number_words.centre_text(line)])
    lines += ["", columns(rows, right=frozenset({0}))]
    lines += [f"  {line.text}: {fault}" for line in answer.lines for fault in line.faults]
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])


def bounds_text(answer: BoundsAnswer, first: str) -> str:
    """The bounds as lines of text."""
    how = "the narrowest possible" if answer.exact else "outer bounds: never too narrow, perhaps too wide"
    what = f"{answer.name} ({answer.about})" if answer.about else "All components"
    what += "" if answer.serial is None else f", serial {answer.serial}"
    figures = counted(answer.figures, "figure")
    lines = [f"{what}, {answer.state}: {figures} put together over {counted(answer.nodes, 'mass', 'masses')}"]
    lines += [f"  {job_words(job)}" for job in answer.jobs]
    lines.append(f"  bounds are {how}")
    rows = [
        [f"{one.name}{f' ({one.build})' if one.build else ''}", number_words.bound_words(one, first=first)]
        for one in answer.bounds
    ]
    if rows:
        lines += ["", columns(rows)]
    elif not answer.about:
        lines += ["", "Nothing is inferred from a whole, and no figures contradict one another."]
    touched = [Named(one.id, one.name) for one in answer.bounds if one.contradicts]
    if touched:
        conflicts = [*dict.fromkeys(told for one in answer.bounds for told in one.contradicts)]
        lines += ["", f"Figures of {wording.names(touched)} contradict one another"]
        lines += [f"  {told}" for told in wording.conflict_words(conflicts)]
    if answer.inferred:
        lines += ["", "Inferred"]
        lines += [f"  {one.name}: {number_words.inferred_words(one, first=first)}" for one in answer.inferred]
    if answer.unused:
        lines += ["", "Figures that take no part"]
        lines += [f"  {because}: {', '.join(names)}" for because, names in _by_reason(answer).items()]
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])


def _by_reason(answer: BoundsAnswer) -> dict[str, list[str]]:
    """The figures that take no part, together where the reason is the same."""
    reasons: dict[str, list[str]] = {}
    for one in answer.unused:
        said = f" ({one.printed})" if one.printed else ""
        reasons.setdefault(one.because, []).append(f"{one.name}{said}{_at(one.place)}")
    return reasons


def reconcile_text(answer: ReconcileAnswer, first: str) -> str:
    """The reconciliation as lines of text."""
    what = f"Around {answer.name} ({answer.about})" if answer.about else "All components"
    checks = counted(answer.freedom, "independent check")
    lines = [f"{what}, {answer.state}: {counted(len(answer.figures), 'figure')}, {checks}"]
    lines += [f"  {job_words(job)}" for job in answer.jobs]
    if answer.best is not None and answer.u is not None:
        lines.append(
            f"  adjusted: {pair(answer.best, answer.u, first=first)}, standard uncertainty {answer.u:.2g} kg"
        )
    elif answer.about:
        lines.append("  adjusted: the figures do not determine it")
    if not answer.freedom:
        lines.append("  Nothing checks anything: no figure used here can be worked out from the others.")
    else:
        verdict = "beyond what chance allows" if answer.beyond else "within what chance allows"
        lines.append(
            f"  all together: {answer.statistic:.2f}, limit {answer.limit:.2f} at a significance of "
            f"{answer.significance:g}: {verdict}"
        )
        if answer.causes:
            lines += _causes(answer)
        else:
            lines.append("  no single figure stands out; that does not prove any of them")
        rows = [["figure", "the others say", "gap over its uncertainty", "who says it"]]
        for one in answer.figures:
            if one.normalised is None or one.others is None or one.others_u is None:
                continue
            mark = ", beyond the limit" if one.beyond else ""
            rows.append(
                [
                    f"{one.name}: {pair(one.read, abs(one.read) / 1000, first=first)}",
                    pair(one.others, max(one.others_u, 0.001), first=first),
                    f"{one.normalised:+.2f} (limit {answer.each_limit:.2f}){mark}",
                    one.named,
                ]
            )
        lines += ["", columns(rows)]
    alone = sum(one.normalised is None for one in answer.figures)
    lines.append(f"  checked by nothing: {counted(alone, 'figure')}; take no part: {len(answer.unused)}")
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])


def _causes(answer: ReconcileAnswer) -> list[str]:
    """What is most likely wrong, a group at a time, each figure by piece, print, source and place."""
    several = len(answer.causes) > 1
    found = []
    for number, group in enumerate(answer.causes, 1):
        start = f"{number}. " if several else ""
        if len(group) == 1:
            found.append(f"  {start}most likely wrong: {group[0].named}")
            continue
        found.append(f"  {start}most likely wrong, one of these {len(group)}, which cannot be told apart:")
        found += [f"     {one.named}" for one in group]
    if several:
        found.append(
            "  each group with those before it set aside; several errors under one sum show as one group"
        )
    return found


def _at(place: str) -> str:
    return f" ({place})" if place else ""


def explain_text(answer: ExplainAnswer, first: str) -> str:
    """The explanations as lines of text."""
    lines = [f"{answer.name} ({answer.id}): {counted(answer.figures, 'figure')} recorded for it"]
    lines += [f"  {job_words(job)}" for job in answer.jobs]
    for one in answer.explained:
        state = f", {one.state}" if one.state else ""
        lines += ["", one.sentence(first), f"  {one.source_name}: {one.printed}{state}{_at(one.place)}"]
        lines.append("  Any single one of these would explain it:" if one.causes else "")
        lines += [f"  - {words}" for words in number_words.explained_words(one, first=first)]
        if one.lacking is not None:
            lines.append(f"  Or parts of {span(*one.lacking, first=first)} together are not listed.")
        lines.append(f"  {number_words.pairs_words(one)}")
    for conflict in answer.conflicts:
        lines += ["", f"Two figures apart: {number_words.conflict_words(conflict, first=first)}"]
    for weighed in answer.combined:
        mean = pair(weighed.best, weighed.u, first=first)
        lines += ["", f"Weighings put together: mean {mean}, standard uncertainty {weighed.u:.2g} kg"]
        allow = span(weighed.low, weighed.high, first=first)
        lines.append(f"  all of them allow {allow}: {'; '.join(weighed.of)}")
        lines.append("  For who keeps the figures; the plan stays with the worst case.")
    if answer.not_compared:
        lines += ["", "Cannot be checked:"]
        lines += [f"  {said}: {because}" for said, because in answer.not_compared]
    if answer.choices:
        lines += ["", "Decided or open:"]
        lines += [f"  {number_words.choice_words(choice)} [{choice.id}]" for choice in answer.choices]
    if not answer.explained and not answer.conflicts:
        lines += ["", "No recorded figure of it contradicts another. That says nothing about the iron."]
    return "\n".join([*(line for line in lines), "", wording.FIGURES_NOT_PERMISSION])


def doubt_text(answer: DoubtAnswer, _first: str) -> str:
    """What becomes doubtful as lines of text; no mass is in them, so that no unit comes first."""
    lines = [f"If {answer.name} ({answer.source}; {answer.kind}) was off"]
    figures = [
        [one.printed, one.name, number_words.doubtful_words(one), f"[{one.id}]"] for one in answer.figures
    ]
    components = [[one.name, number_words.resting_words(one)] for one in answer.components]
    lines += ["", f"{counted(len(figures), 'recorded figure')} would be doubtful"]
    lines += [columns(figures)] if figures else []
    lines += ["", f"{counted(len(components), 'component')} would be doubtful, in some state or build"]
    lines += [columns(components)] if components else []
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])
