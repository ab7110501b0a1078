"""The sentences of a turn, from its figures: what stands first, the angles, the joint, where it ends."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR
from typing import Any

from handling_db.lifting.said.notices import Rank, first_lines, reasons
from handling_db.lifting.said.notices import notice_words as words_of
from handling_db.lifting.said.words import (
    both_units,
    load_words,
    tie_words,
    title_words,
    whole,
)
from handling_db.lifting.turn.figures import BoltsFigure, HoldFigure, TurnAnswer, TurnStep
from handling_db.quantities.notice import Notice
from handling_db.quantities.sentence import said

N_PER_LBF = 4.4482216152605  # exact by definition: 0.45359237 kg at 9.80665 m/s2
FT_PER_M = 1 / 0.3048  # exact


def force_words(newtons: float, *, first: str = "kg") -> str:
    """``0.8 kN (180 lbf)``: one digit after the point, both systems."""
    kn = f"{round(newtons / 1000, 1) + 0.0:.1f} kN"
    lbf = f"{round(newtons / N_PER_LBF) + 0:d} lbf"
    return f"{lbf} ({kn})" if first == "lb" else f"{kn} ({lbf})"


def moment_words(nm: float, *, first: str = "kg") -> str:
    """``-535 N·m (-395 lbf·ft)``."""
    metric = f"{round(nm) + 0:d} N·m"
    other = f"{round(nm / N_PER_LBF * FT_PER_M) + 0:d} lbf·ft"
    return f"{other} ({metric})" if first == "lb" else f"{metric} ({other})"


_WORDS: Mapping[str, str] = {
    "hook-on-not-recorded": "What the hook is on is not recorded.",
    "turns-on": "Turns on {on}.",
    "turns-on-not-recorded": "What it turns on is not recorded.",
    "turn-ends-apart": "The face it ends on lies down after {face_deg:down}, the attitude it ends in after "
    "{attitude_deg:down}: one of the two is recorded wrongly; the larger turn is shown.",
    "turn-end-not-recorded": "Where the turn ends is not recorded: taken to {taken_deg:down}. Record 'rests "
    "on' or 'to'.",
    "turn-end-not-reached": "{what} is not reached by a turn over this edge.",
    "oil-settles": "Runs to the lowest side of its recorded space as it turns; limits hold for anywhere in "
    "it: {names:and}.",
    "oil-runs": "Runs as it turns: limits hold for anywhere in the recorded outline: {names:and}.",
    "oil-stays": "Taken where it starts although it runs, since no space ('within') and no outline is "
    "recorded: {names:and}.",
    "joint-not-recorded": "What a joint carries in the turn: no joint, or no side of it, is recorded.",
    "joint-no-plane": "{joint}: its plane is not recorded, so nothing is given for it.",
    "joint-not-square": "{joint} does not stand square to the turn: nothing is given for it.",
    "joint-no-side": "{joint}: {why}",
    "joint-other-root": "{joint}: {group} starts from another root, so what lies beyond it cannot be told.",
    "joint-near-side": "{side} is not the side of {joint} away from the edge.",
    "joint-for-person": "Forces at the joint leave friction and preload out; grade, fit and snatch are for a "
    "person to judge.",
    "bolts-no-flange": "{joint}: how far its flange reaches is not recorded, so its bolts are given about "
    "the bolts alone.",
    "bolts-no-places": "{joint}: no places of the ties that hold it in the turn are recorded.",
}


def _slack_words(facts: Mapping[str, Any]) -> str:
    last = "the end" if facts["last_deg"] is None else said("{last_deg:up}", facts)
    between = said("{over_deg} (between {first_deg:down}", facts)
    return (
        f"Goes over by itself at {between} and {last} by the doubt): from there one hook on the lifted side "
        "cannot hold it."
    )


def _twist_words(facts: Mapping[str, Any], first: str) -> str:
    twist, sideways = (moment_words(facts[name], first=first) for name in ("twist_nm", "sideways_nm"))
    shear = facts["shear_n"]
    bolts = ""
    if shear is not None:
        bolts = f"; on one circle every bolt gets {force_words(shear, first=first)} more shear by the twist"
    return (
        f"Besides, hook or centre beside the middle of {facts['joint']} twist it in its plane by up to "
        f"{twist}, at {said('{turned_deg}', facts)}, and bend it sideways by up to {sideways}{bolts}."
    )


def notice_words(notice: Notice, *, first: str = "kg") -> str:
    """One thing to be said about a turn, in the reader's unit first."""
    if notice.kind == "hook-goes-slack":
        return _slack_words(notice.facts)
    if notice.kind == "joint-twist":
        return _twist_words(notice.facts, first)
    if notice.kind not in _WORDS:
        return words_of(notice, first=first)
    text = said(_WORDS[notice.kind], notice.facts, first=first)
    return f"{text[0].upper()}{text[1:]}"


def bolts_words(figure: BoltsFigure, *, first: str = "kg") -> str:
    """``hook slack, axis level, tilting about the last bolts: up to 1.1 kN (250 lbf) on ...``."""
    case = (
        "hook slack, axis level" if figure.turned is None else f"worst of the turn, at {figure.turned:.0f}°"
    )
    most = max(figure.bolts, key=lambda bolt: bolt.pull_n)
    return (
        f"{case}, tilting about the {figure.pivot}: up to {force_words(most.pull_n, first=first)} pull on "
        f"{most.name}, "
        f"shear {force_words(most.shear_n, first=first)} each"
    )


def hold_words(hold: HoldFigure, *, first: str = "kg") -> str:
    """What holds it back, as recorded, and the most it gets."""
    most = (
        "never has to hold in this turn"
        if hold.most_kg is None or hold.most_at is None
        else f"up to {whole(hold.most_kg, first=first, rounding=ROUND_CEILING)} at {hold.most_at:.0f}°"
    )
    rated = "no rating recorded"
    if hold.rated_kg is not None:
        rated = f"rated {whole(hold.rated_kg, first=first, rounding=ROUND_FLOOR)}"
    return f"held back by {hold.what}, {hold.anchor_words}: {most}; {rated}"


def step_words(step: TurnStep, *, first: str = "kg") -> tuple[str, str]:
    """What hook or line carries at one angle, and the joint."""
    past = step.hook_high_kg <= 0.0
    if past and step.line_high_kg is not None and step.line_kg is not None:
        high = whole(step.line_high_kg, first=first, rounding=ROUND_CEILING)
        carried = f"held back by the line: {whole(step.line_kg, first=first)}, up to {high}"
    elif past:
        high = whole(step.hold_high_kg, first=first, rounding=ROUND_CEILING)
        carried = f"has to be held back: {whole(step.hold_kg, first=first)}, up to {high}"
    else:
        high = whole(step.hook_high_kg, first=first, rounding=ROUND_CEILING)
        carried = f"hook {whole(step.hook_kg, first=first)}, up to {high}"
    if step.moment_nm is None or step.shear_n is None or step.axial_n is None:
        return carried, "not given"
    return carried, (
        f"{moment_words(step.moment_nm, first=first)}, {force_words(step.shear_n, first=first)}, "
        f"{force_words(step.axial_n, first=first)}"
    )


def told_steps(answer: TurnAnswer, every: int) -> tuple[TurnStep, ...]:
    """Every so many degrees, with the first, the balance and the last."""
    chosen = [
        step
        for step in answer.steps
        if round(step.turned) % every == 0 and abs(step.turned - round(step.turned)) < 1e-6
    ]
    if answer.steps and answer.steps[-1] not in chosen:
        chosen.append(answer.steps[-1])
    return tuple(chosen)


def turn_lines(answer: TurnAnswer, *, first: str = "kg", every: int = 10) -> list[str]:
    """A turn over an edge; what it does by itself comes first, then what is not known.

    Parameters
    ----------
    answer : TurnAnswer
    first : str
    every : int
        List every so many degrees.
    """
    lines = [text for _, text in first_lines(answer.first, first=first)]
    lines += [*(f"! {notice_words(notice, first=first)}" for notice in answer.says), ""]
    why = ["", "Why, in the same order", *(f"  {text}" for text in reasons(answer.first, first=first))]
    lines.append(title_words(answer.lift))
    if answer.no_figures:
        no = f"No figures: {both_units(answer.no_figures)}"
        return [*lines, no, *_holding(answer), *why, "", *answer.cautions]
    lines.append(f"turning: {load_words(answer.turning, first=first)}")
    if answer.hold is not None:
        lines.append(hold_words(answer.hold, first=first))
    lines += ["", "turned  hook or holding back, best and heaviest; joint: moment, shear, pull"]
    for step in told_steps(answer, every):
        carried, joint = step_words(step, first=first)
        lines.append(f"{step.turned:5.0f}°  {carried}; {joint}")
    if answer.worst is not None:
        worst = whole(answer.worst.hook_high_kg, first=first, rounding=ROUND_CEILING)
        lines.append(f"heaviest at the hook: {worst} at {answer.worst.turned:.0f}°")
    if answer.slack_moment_nm is not None and answer.slack_shear_n is not None:
        lines.append(
            f"hook slack, axis level: up to {moment_words(answer.slack_moment_nm, first=first)} and "
            f"{force_words(answer.slack_shear_n, first=first)} shear at the joint"
        )
    lines += [f"  {bolts_words(figure, first=first)}" for figure in answer.bolts]
    lines += _holding(answer)
    if answer.standing is not None:
        lines += standing_lines(answer)
    return [*lines, *why, "", *answer.cautions]


def sheet_lines(answer: TurnAnswer, *, first: str = "kg") -> list[str]:
    """A turn in a few lines for paper: what it does by itself, the most at hook and line, the bolts."""
    lines = [text for rank, text in first_lines(answer.first, first=first) if rank == Rank.TURNS_OVER]
    if answer.no_figures:
        return [*lines, f"No figures: {both_units(answer.no_figures)}"]
    if answer.worst is not None:
        worst = whole(answer.worst.hook_high_kg, first=first, rounding=ROUND_CEILING)
        lines.append(f"Heaviest at the hook {worst}, at {answer.worst.turned:.0f}°.")
    lines += (
        [f"{text}." for text in (hold_words(answer.hold, first=first),)] if answer.hold is not None else []
    )
    lines += [notice_words(notice, first=first) for notice in answer.says if notice.kind == "hook-goes-slack"]
    shown: set[bool] = set()
    for figure in answer.bolts:  # the line that asks most stands first in each of the two cases
        if (figure.turned is None) not in shown:
            shown.add(figure.turned is None)
            lines.append(f"Bolts: {bolts_words(figure, first=first)}.")
    return [*lines, *(f"{line}." for line in standing_lines(answer))]


def standing_lines(answer: TurnAnswer) -> list[str]:
    """How it stands at the end of the turn, if that can be said."""
    down = answer.standing
    if down is None or down.weakest is None or down.centre_height_m is None:
        return []
    edge = down.weakest
    return [
        f"once on its {down.face}: centre {down.centre_height_m * 1000:.0f} mm "
        f"({down.centre_height_m * 1000 / 25.4:.1f} in) up, "
        f"tips at {math.floor(edge.tips_at)}° towards {edge.towards}, on a level floor"
    ]


def _holding(answer: TurnAnswer) -> list[str]:
    if not answer.joint:
        return ["what holds the pieces together in the turn is not recorded"]
    if not answer.holds:
        return ["no tie that carries load in the turn is recorded as in"]
    return ["Holds the halves in the turn", *(f"  {tie_words(tie)}" for tie in answer.holds)]
