"""What comes off first, in sentences: one wording for terminal, page and print."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_FLOOR
from itertools import groupby
from typing import Any

from handling_db.jobs.lighten.figures import (
    EDGE,
    CeilingFigure,
    LeftFigure,
    LeftOn,
    LightenAnswer,
    LightenOption,
    OffFigure,
)
from handling_db.lifting.figures import SetDownFigure
from handling_db.lifting.said.as_json import NoticeJson, as_told, notice_json, with_units
from handling_db.lifting.said.notices import Rank, notice_words, rank_of
from handling_db.moving.words import joined, load_words, plan_words
from handling_db.quantities.amount import Amount
from handling_db.quantities.display import counted, figure
from handling_db.quantities.notice import Notice
from handling_db.quantities.sentence import said, whole

# What is said of a piece, and where it stands: the order of `house.md`.
KINDS: dict[str, tuple[int, str]] = {
    "carries the picks": (
        1,
        "CARRIES A PICK POINT: {name}: {points:and}. Hook on elsewhere before it comes off.",
    ),
    "carries the face": (1, "IT STANDS ON THIS PIECE: {name} has the face {face}."),
    "holds in": (1, "HOLDS SOMETHING IN: {name}; with it off nothing recorded holds {pieces:and}."),
    "ties nobody looked for": (2, "nobody looked whether they hold ({joint}): {ties:and}"),
    "not all ties listed": (2, "not all ties are listed: {joint}"),
    "ties not recorded": (2, "what fastens {name} is not recorded: look"),
    "nobody recorded how held": (2, "nobody recorded that {name} comes off by itself, or what holds it"),
    "stored energy": (3, "STORED ENERGY: {about}: {text}"),
    "closes oil in": (
        3,
        "CLOSES OIL IN: {name}: {fluids:and} is or may be inside. Drain first, or catch it.",
    ),
    "opens a seal": (3, "OPENS A SEAL with oil inside: {joint}: {seals:and}"),
    "nobody weighed": (6, "nobody weighed {name} and nothing bounds it: it counts as above the hand limit"),
    "nobody looked what it holds": (6, "nobody looked whether {name} holds anything in"),
    "not counted": (6, "NOT COUNTED, nobody knows it: {names:and}"),
    "no upper figure": (6, "no upper figure: no mass for {names:and}"),
}


def told(notice: Notice, first: str = "kg") -> str:
    """One notice as a sentence."""
    if notice.kind in KINDS:
        return said(KINDS[notice.kind][1], notice.facts, first=first)
    return notice_words(notice, first=first)


def brief(notice: Notice, first: str = "kg") -> str:
    """A notice that stands in full elsewhere: stored energy by what it is in."""
    if notice.kind == "stored energy":
        return said("STORED ENERGY: {about}: see above.", notice.facts, first=first)
    return told(notice, first)


def place(notice: Notice) -> int:
    """Where a notice stands."""
    return KINDS[notice.kind][0] if notice.kind in KINDS else int(rank_of(notice))


def lighten_json(answer: LightenAnswer, *, first: str = "kg") -> dict[str, Any]:
    """The fields of an answer with the units of its figures; null means not known, never nothing.

    Parameters
    ----------
    answer : LightenAnswer
    first : str
        kg or lb: which comes first in the words.
    """

    def tell(notice: Notice) -> NoticeJson:
        if notice.kind not in KINDS:
            return notice_json(notice, first)
        words = told(notice, first)
        return as_told(notice, place(notice), words, words)

    return with_units(answer, tell)


def in_order(notices: Iterable[Notice]) -> list[Notice]:
    """Notices in the one order of everything that stands first."""
    return sorted(dict.fromkeys(notices), key=place)


def up(kg: float, first: str) -> str:
    """Rounded up: what is asked of a limit."""
    return whole(kg, first=first, rounding=ROUND_CEILING)


def down(kg: float, first: str) -> str:
    """Rounded down, so that what is left is never made more: to a tenth below 10 kg."""
    return whole(kg, first=first, rounding=ROUND_FLOOR, places=1 if abs(kg) < 10.0 else 0)


def limit_words(limit: CeilingFigure, first: str = "kg") -> list[str]:
    """The limit by name, what comes off it, and what breaking loose puts on the load."""
    basis = notice_words(limit.basis, first=first)
    lines = [f"{limit.name}: {whole(limit.stated_kg, first=first, rounding=ROUND_FLOOR)}, {basis}"]
    if limit.cell_kg is not None:
        error = whole(limit.cell_kg, first=first, rounding=ROUND_CEILING, places=1)
        lines.append(f"less the error of its cell, {error}: {down(limit.kg, first)} count")
    elif limit.kind == "hoist":
        lines.append("no cell error is recorded: none is taken off")
    lines.append(f"breaking loose: {limit.loose_words}")
    if limit.planning_kg is not None:
        lines.append(f"the shop plans up to {down(limit.planning_kg, first)} of it")
    return lines


def asked_words(rest: LeftFigure, limit: CeilingFigure, first: str = "kg") -> str:
    """What is asked of the limit, and what is left under it or how far it is over."""
    if rest.asked_kg is None or rest.margin_kg is None:
        known = plan_words(rest.load, first=first)
        return f"{known}: no upper figure, so it cannot be said to be under {limit_short(limit, first)}"
    loose = " with the share for breaking loose" if limit.loose_share else ""
    lead = f"at most {up(rest.asked_kg, first)}{loose}"
    if rest.margin_kg < 0.0:
        return f"{lead}: OVER by {up(-rest.margin_kg, first)}"
    edge = f"; A KNIFE'S EDGE, less than {EDGE * 100:g} % of the limit" if rest.edge else ""
    return f"{lead}: {down(rest.margin_kg, first)} under{edge}"


def limit_short(limit: CeilingFigure, first: str = "kg") -> str:
    """The limit in a word and a figure."""
    return f"{down(limit.kg, first)} ({limit.name})"


def headline(answer: LightenAnswer, first: str = "kg") -> str:
    """What has to come off, in one sentence."""
    now = asked_words(answer.now, answer.limit, first)
    if answer.now.under:
        return f"Everything on: {now}. By this figure nothing has to come off."
    if answer.fewest is None:
        how = "" if answer.proved else " that was found (not proved: the search was cut short)"
        return f"Everything on: {now}. No choice of pieces{how} brings the rest under the limit."
    proof = (
        f"no choice of fewer than {answer.fewest} serves, proved"
        if answer.proved and answer.fewest > 1
        else ("" if answer.proved else "NOT PROVED that no smaller choice serves")
    )
    many = counted(answer.fewest, "piece")
    return f"Everything on: {now}. {many} off is the fewest{f' ({proof})' if proof else ''}."


def option_title(option: LightenOption) -> str:
    """The pieces in the order they come off; several alike after one another in one word."""
    alike = [(name, len(list(same))) for name, same in groupby(one.name for one in option.off)]
    return ", then ".join(f"{many} x {name}" if many > 1 else name for name, many in alike)


def rest_words(rest: LeftFigure, first: str = "kg") -> str:
    """What is left: its pieces, and with what counts besides them."""
    pieces = load_words(rest.pieces, first=first)
    return f"rest {pieces} dry; with all that counts {load_words(rest.load, first=first)}"


def off_words(one: OffFigure, first: str = "kg") -> str:
    """One act: what, how heavy, by hand or with what."""
    what = {"piece": "", "assembly": " as one", "lift group": " (recorded lift)"}[one.kind]
    by = {
        "hands": "within the hand limit",
        "hook": "needs the hook",
        "not known": "not known: counts as above the hand limit",
    }[one.by]
    lifts = f"; recorded lift: {', '.join(lift.name for lift in one.lifts)}" if one.lifts else ""
    if one.by != "hands" and not one.lifts:
        lifts = "; no lift of it is recorded"
    fixtures = f"; fixture: {', '.join(f.name for f in one.fixtures)}" if one.fixtures else ""
    return f"{one.name}{what}: {load_words(one.load, first=first)}, {by}{lifts}{fixtures}"


def tie_lines(one: OffFigure) -> list[str]:
    """What comes out before it, in order."""
    return [
        f"out before it: {f'{tie.count} x ' if tie.count[:1].isdigit() else ''}{tie.what} ({tie.state})"
        for tie in one.ties
    ]


def shift_words(option: LightenOption) -> str:
    """How far the centre moves, and where to."""
    if option.shift is None:
        return f"centre shift not given: {option.shift_words or 'no centre is known'}"
    far = sum(value * value for value in option.shift) ** 0.5 * 1000.0
    if not option.shift_words:
        return "its centre stays where it was"
    return f"its centre moves {figure(round(far, 6), 0)} mm: {option.shift_words}"


def hang_lines(option: LightenOption, first: str = "kg") -> list[str]:
    """How the rest hangs from its recorded pick points, or why nothing is said."""
    if option.legs is None:
        return [f"how it hangs: not given: {option.no_legs.rstrip('.')}"]
    lines = [notice_words(n, first=first) for n in option.legs.notices if rank_of(n) is Rank.TURNS_OVER]
    rest = option.legs.rest
    if rest is not None:
        slack = f"; slack: {', '.join(rest.slack)}" if rest.slack else ""
        towards = f", {rest.low_words} low" if rest.low_words and rest.tilt >= 0.05 else ""
        lines.append(f"hangs tilted by {figure(round(rest.tilt, 6), 1)}°{towards}{slack}")
    return lines or ["how it hangs: not given"]


def stand_words(stand: SetDownFigure, before: float | None) -> str:
    """At what tilt it goes over on one face, and before."""
    if stand.outside_m is not None:
        sure = "does not stand" if stand.surely else "may not stand"
        return f"{sure.upper()} on its {stand.face}"
    if stand.weakest is None:
        why = notice_words(stand.not_known).rstrip(".") if stand.not_known else "not known"
        return f"how it stands on its {stand.face}: not given: {why}"
    was = "" if before is None else f" (before: {_degrees(before)})"
    towards = f" towards {stand.weakest.towards}" if stand.weakest.towards else ""
    return f"on its {stand.face} goes over at {_degrees(stand.weakest.tips_at)}{towards}{was}"


def _degrees(angle: float) -> str:
    return f"{figure(round(angle, 6), 0, ROUND_FLOOR)}°"


def option_lines(option: LightenOption, limit: CeilingFigure, first: str = "kg") -> list[str]:
    """Everything about one choice: what stands first, figures, acts, then how the rest lies."""
    lines = [told(notice, first) for notice in in_order(option.says) if place(notice) < 6]
    lines.append(asked_words(option.rest, limit, first))
    lines.append(rest_words(option.rest, first))
    if limit.planning_kg is not None and option.rest.asked_kg is not None:
        over = option.rest.asked_kg > limit.planning_kg
        if over:
            lines.append(f"above what the shop plans up to, {down(limit.planning_kg, first)}")
    for number, one in enumerate(option.off, 1):
        lines += tie_lines(one)
        lines.append(f"{number}. {off_words(one, first)}")
    lines += [f"   note, {line}" for line in note_lines(option)]
    lines += lying_lines(option, first)
    lines += [told(notice, first) for notice in in_order(option.says) if place(notice) >= 6]
    return lines


def lying_lines(option: LightenOption, first: str = "kg") -> list[str]:
    """Where the centre of the rest goes, how it hangs and how it stands."""
    stands = [stand_words(s, was) for s, was in zip(option.stands, option.stood, strict=True)]
    return [shift_words(option), *hang_lines(option, first), *stands]


def note_lines(option: LightenOption) -> list[str]:
    """Notes about its pieces, each once; stored energy stands first elsewhere."""
    found = [
        f"{note.kind}, {note.about}: {note.text}"
        for one in option.off
        for note in one.notes
        if note.kind != "stored energy"
    ]
    return list(dict.fromkeys(found))


def left_on_words(one: LeftOn, limit: CeilingFigure, first: str = "kg") -> str:
    """The figure with something left on."""
    names = one.names[0] if len(one.names) == 1 else f"all {len(one.names)} of these"
    return f"{names}: {asked_words(one.rest, limit, first)}"


def addition_words(name: str, load: Amount | None, first: str = "kg") -> str:
    """Something that counts besides the pieces."""
    return f"{name}: {load_words(load, first=first)}"


CAREFUL = "Only what is recorded to come off by itself, and carries, closes in and holds nothing left"


def careful_words(answer: LightenAnswer) -> str:
    """What the more careful choice needs, or that there is none."""
    if answer.careful_fewest is None:
        sure = "" if answer.careful_proved else " that was found"
        return f"{CAREFUL}: no such choice{sure} brings it under."
    proof = "" if answer.careful_proved else ", not proved that no smaller one serves"
    return f"{CAREFUL}: {counted(answer.careful_fewest, 'piece')}{proof}"


def lighten_text(answer: LightenAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    lines = [f"{answer.name} ({answer.id}): what comes off first"]
    lines += [f"  ! {told(notice, first)}" for notice in in_order(answer.first) if place(notice) < 4]
    lines.append(f"  {headline(answer, first)}")
    lines += [f"  ! {told(notice, first)}" for notice in in_order(answer.first) if place(notice) >= 4]
    lines += ["", "Limit", *(f"  {line}" for line in limit_words(answer.limit, first))]
    lines += ["", f"Counted ({answer.state})", f"  pieces: {load_words(answer.now.pieces, first=first)}"]
    lines += [f"  {addition_words(a.name, a.load, first)}" for a in answer.additions]
    if answer.drained is not None:
        lines.append(f"  drained, everything on: {asked_words(answer.drained, answer.limit, first)}")
    for number, option in enumerate(answer.options, 1):
        lines += ["", f"{number}. {option_title(option)} off"]
        lines += [f"   {line}" for line in option_lines(option, answer.limit, first)]
    if answer.others:
        names = "; ".join(" + ".join(one) for one in answer.others)
        more = "; and more" if answer.more else ""
        lines += ["", f"By weight alone as few pieces would do: {names}{more}"]
    if answer.options and not answer.careful and answer.careful_fewest is None and loud(answer):
        lines += ["", careful_words(answer)]
    for option in answer.careful:
        lines += ["", careful_words(answer), f"   {option_title(option)} off"]
        lines += [f"   {line}" for line in option_lines(option, answer.limit, first)]
    if answer.all_off is not None:
        lines += [
            "",
            f"With everything off that may come off: {asked_words(answer.all_off, answer.limit, first)}",
        ]
    if answer.left_on:
        lines += ["", "Recorded as off; with it left on (figures, not permission)"]
        lines += [f"  {left_on_words(one, answer.limit, first)}" for one in answer.left_on]
    if answer.not_offered:
        lines += ["", f"Not asked to come off by themselves, they fasten: {', '.join(answer.not_offered)}"]
    if answer.hand_limit_kg is None:
        lines += ["", "No hand limit is recorded: every piece counts as needing the hook."]
    return joined((*lines, "", *answer.cautions), first)


def loud(answer: LightenAnswer) -> bool:
    """Whether every choice shown carries, holds or closes in something, or nobody looked."""
    quiet = {"ties not recorded", "not all ties listed", "ties nobody looked for", "stored energy"}
    return all(any(n.kind not in quiet for n in option.says) for option in answer.options)
