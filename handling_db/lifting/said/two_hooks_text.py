"""Two hooks as lines of text."""

from __future__ import annotations

from decimal import ROUND_CEILING

from handling_db.lifting.said.notices import first_lines, notice_words, reasons
from handling_db.lifting.said.words import load_words, title_words
from handling_db.lifting.two_hooks import TwoHookAnswer
from handling_db.quantities.sentence import both_units, whole


def two_hooks_text(answer: TwoHookAnswer, first: str, every: int) -> str:
    """The answer as lines; what is not known comes first."""

    def up(kg: float) -> str:
        return whole(kg, first=first, rounding=ROUND_CEILING)

    lines = [line for _, line in first_lines(answer.first, first=first)]
    lines += [*(f"! {notice_words(told, first=first)}" for told in answer.says), "", title_words(answer.lift)]
    if answer.no_figures:
        return "\n".join([*lines, f"No figures: {both_units(answer.no_figures)}", "", *answer.cautions])
    lines.append(
        f"turning: {load_words(answer.turning, first=first)}; head {answer.head}, tail {answer.tail}"
    )
    lines += ["", "raised  head hook; tail hook, heaviest load"]
    lines += [
        f"{step.turned:5.0f}°  {up(step.head_kg)}; {up(step.tail_kg)}"
        for step in answer.steps
        if round(step.turned) % every == 0 or step is answer.steps[-1]
    ]
    for label, worst in (("head", answer.worst_head), ("tail", answer.worst_tail)):
        if worst is not None:
            kg = worst.head_kg if label == "head" else worst.tail_kg
            lines.append(f"most on the {label} hook: {up(kg)} at {worst.turned:.0f}°")
    lines += ["", "Why, in the same order", *(f"  {text}" for text in reasons(answer.first, first=first))]
    return "\n".join([*lines, "", *answer.cautions])
