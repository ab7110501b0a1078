"""The sentences about numbers: one wording for terminal and page."""

from __future__ import annotations

from handling_db.evidence.answer import (
    BoundFigure,
    ChoiceFigure,
    Conflict,
    DoubtfulComponent,
    DoubtfulFigure,
    Explained,
    InferredFigure,
    Paper,
    SweepLine,
    WhyLine,
)
from handling_db.lookup.words import mass_words, plan_words
from handling_db.quantities.display import counted, pair, span, with_doubt
from handling_db.quantities.display import figure as figure_text


def limits_words(low: float, high: float | None, *, first: str = "kg") -> str:
    """``12.7 to 31.8 kg (28.1 to 70.1 lb)``, or ``at least ...`` where there is no upper limit."""
    if high is None:
        return f"at least {pair(low, 1, first=first)}, with no upper limit"
    return span(low, high, first=first)


def sweep_words(line: SweepLine, *, first: str = "kg") -> tuple[str, str]:
    """The mass and what to plan with, or why this build cannot be."""
    if line.figure is None:
        return f"cannot be: {line.why}", ""
    if line.figure.nothing_known:
        return "nobody has weighed it", ""
    return mass_words(line.figure, first=first), plan_words(line.figure, first=first)


def centre_text(line: SweepLine) -> str:
    """``x 31, y 0, z -214 mm``, or that the centre is not known."""
    if line.figure is None:
        return ""
    if line.figure.centre is None:
        return "not known"
    x, y, z = (figure_text(value * 1000, 0) for value in line.figure.centre)
    return f"x {x}, y {y}, z {z} mm" + ("" if line.figure.complete else ", of the known part")


def paper_words(paper: Paper) -> str:
    """``134.0 kg; Floor scale (weighed on a scale); 2026-09-15, fitter; doubt: stated``."""
    edition = f"edition {paper.edition}" if paper.edition else ""
    where = [paper.document, edition, paper.where, paper.instrument]
    when = ", ".join(filter(None, (paper.on, paper.by)))
    kind = f" ({paper.source_kind})" if paper.source_kind else ""
    words = [f"{paper.printed}{f', {paper.state}' if paper.state else ''}", f"{paper.source_name}{kind}"]
    words += [text for text in where if text and text != paper.source_name]
    words += [when] if when else ["no date recorded"]
    words += [f"doubt: {paper.doubt_from}"] if paper.doubt_from else []
    words += [f"density of {material}" for material in paper.materials]
    return "; ".join(word for word in words if word.strip())


def made_words(paper: Paper) -> list[str]:
    """How a figure was made, step by step down to what was read; empty for one that was read."""
    lines: list[str] = []
    waiting = [(paper, 1)]
    while waiting:
        one, depth = waiting.pop()
        if one.how:
            indent = "  " * (depth - 1)
            lines += [f"{indent}{one.how} from {paper_words(below)} [{below.id}]" for below in one.made_from]
            if not one.made_from:
                lines.append(f"{indent}{one.how}, and it is not recorded from what")
        waiting += [(below, depth + 1) for below in reversed(one.made_from) if below.how]
    return lines


def why_words(line: WhyLine, *, first: str = "kg") -> str:
    """``2 x Planet gear: 6.40 ± 0.05 kg (...), statement``."""
    many = "" if line.pieces == 1 else f"{float(line.pieces):g} x "
    if not line.known:
        return f"{many}{line.name}: nobody has weighed it, which is not zero"
    each = "each " if line.pieces != 1 else ""
    says = f" ({line.says})" if line.says else ""
    again = ", told above" if line.told_above else ""
    return f"{many}{line.name}: {each}{with_doubt(line, first=first)}, {line.basis}{says}{again}"


def explained_words(one: Explained, *, first: str = "kg") -> list[str]:
    """What would explain it, each with how much it moves, and what chance would do as well."""
    lines = [f"{cause.says} ({pair(cause.size, cause.size / 50, first=first)})" for cause in one.causes]
    if not lines:
        lines = ["Nothing single that was tried explains it."]
    return lines


def pairs_words(one: Explained) -> str:
    """How little a single cause proves."""
    if not one.pairs:
        return "No pair of parts would fit by chance."
    pairs = counted(one.pairs, "pair of parts", "pairs of parts")
    return f"{pairs} would fit just as well by chance, so that one cause fits proves nothing."


def conflict_words(one: Conflict, *, first: str = "kg") -> str:
    """Two figures that do not touch, with the gap and any slip that would explain it."""
    causes = "; ".join(says for _, says in one.causes)
    may = f" It would be explained if {causes}." if causes else ""
    return f"{one.one}, but {one.other}: {pair(one.gap, one.gap / 50, first=first)} lie between them.{may}"


def choice_words(one: ChoiceFigure) -> str:
    """Who decided what and why, or who has the open question and until when."""
    state = f" ({one.state})" if one.state else ""
    if one.settled:
        return f"{one.on}, {one.by}: use {one.printed}{state}. {one.reason}"
    return (
        f"Open since {one.on}, said {one.by}{state}: {one.owner} has it until {one.settle_by}. {one.reason}"
    )


def inferred_words(one: InferredFigure, *, first: str = "kg") -> str:
    """The inferred range, from what, and that it checks nothing."""
    origin = f"{one.whole_of_name}, {one.whole_printed} {one.state} ({one.whole_source})"
    if one.too_light:
        return f"Less than nothing is left for it by {origin}: figures contradict one another."
    each = f" each, if {float(one.pieces):g} pieces are alike" if one.pieces != 1 else ""
    return (
        f"{span(one.low, one.high, first=first)}{each}, inferred from {origin} less everything else in it; "
        "never used to check that figure"
    )


def bound_words(bound: BoundFigure, *, first: str = "kg") -> str:
    """What all figures together allow, and that part of it is inferred."""
    words = limits_words(bound.low, bound.high, first=first)
    if bound.inferred:
        return f"{words}, inferred from a whole around it"
    if bound.own is None and bound.parts is None and bound.high is None:
        return "no figure says anything about it"
    return words


def doubtful_words(one: DoubtfulFigure) -> str:
    """How a figure rests on the source."""
    way = f" from {one.by_way_of}" if one.by_way_of else ""
    gone = "" if one.in_force else "; replaced, no longer in force"
    return f"{one.how}{way}{gone}"


def resting_words(one: DoubtfulComponent) -> str:
    """How a component rests on the source."""
    return "by its own figure" if one.steps == 0 else f"by way of {one.by_way_of}"
