"""The look-up as lines of text: the plan first, then what sources say, then the parts."""

from __future__ import annotations

from handling_db.lookup import words as wording
from handling_db.quantities.columns import columns
from handling_db.quantities.display import span
from handling_db.records.open_job import job_words
from handling_db.weights.answer import ParameterValue, StatementFigure, WeightAnswer


def weight_text(answer: WeightAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    title = f"{answer.name} ({answer.id})"
    head = wording.headline(answer, first=first)
    lines = [head, *(f"  {job_words(job)}" for job in answer.jobs)]
    lines.append(f"  {title}, {wording.states_words(answer)}")
    lines += [f"  {told}" for told in wording.rests_words(answer.headline, first=first)]
    build = wording.build_words(answer.build)
    lines.append(f"  build: {build}" if build else "  build: one build only, no parameters")
    if answer.remark:
        lines.append(f"  {answer.remark}")
    if answer.left_out:
        lines.append(f"  without: {wording.names(answer.left_out, 8)}")
    if answer.fits:
        lines.append(f"  fits: {'; '.join(answer.fits)}")
    lines.append("")
    lines += [columns([[s.state, wording.state_words(s, first=first)] for s in answer.states])]
    lines += [f"  {told}" for told in wording.route_words(answer.headline, first=first)]
    lines.append(f"  {wording.centre_words(answer.headline)}")
    if taken := wording.datum_words(answer.headline):
        lines.append(f"  {taken}")
    if answer.statements:
        lines += ["", "What the sources say"]
        for statement in answer.statements:
            lines += _statement_lines(statement, answer.build, first)
    elif not answer.parts:
        lines += ["", "No source says anything about its weight."]
    if answer.parts:
        lines += ["", f"Parts ({answer.headline.state}; listed: {answer.parts_listed})"]
        rows = [["qty", "together", "part"]]
        for part in answer.parts:
            each, together = wording.part_words(part, first=first)
            one = f", each {each}" if part.quantity != 1 and part.known else ""
            rows.append([wording.quantity_words(part), together, f"{part.name} ({part.id}){one}"])
        lines.append(columns(rows, right=frozenset({0})))
    if answer.goes_into:
        lines += ["", f"Goes into: {wording.names(answer.goes_into, 8)}"]
    lines += ["", wording.FIGURES_NOT_PERMISSION]
    return "\n".join(lines)


def _statement_lines(statement: StatementFigure, build: tuple[ParameterValue, ...], first: str) -> list[str]:

    facts = [statement.source_name, statement.source_kind, f"state {statement.state}"]
    facts += [f"on {statement.on}"] if statement.on else []
    lines = [
        f"  {statement.printed}: allows {span(statement.low, statement.high, first=first)}",
        f"    {', '.join(facts)}; {wording.doubt_words(statement)}",
    ]
    if statement.verdict or not statement.boundary_known:
        lines.append(f"    counts: {statement.counts}; leaves out: {statement.without}")
    other = wording.default_build_words(statement, build)
    lines += [f"    {other}"] if other else []
    witness = wording.witness_words(statement)
    lines += [f"    {witness}"] if witness else []
    verdict = wording.verdict_words(statement, first=first)
    lines += [f"    {verdict}"] if verdict else []
    return lines
