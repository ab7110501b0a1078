"""A planned job as lines: the worst first, then one row a step, findings with what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR

from handling_db.jobs.steps.answer import BodyFigure, Carrier, Heaviest, StepFigure, StepsAnswer
from handling_db.jobs.steps.beside import StepBeside, StepsBeside
from handling_db.jobs.steps.carried import best_side
from handling_db.jobs.steps.said.notices import in_order, remedy, sentence
from handling_db.lifting.figures import LiftAnswer
from handling_db.moving.words import floor_words, truck_lines, truck_title
from handling_db.quantities.amount import Amount
from handling_db.quantities.display import counted
from handling_db.quantities.notice import Fact, Notice
from handling_db.quantities.sentence import both_units, said, whole

MOST_WATCHED = 4  # cautions of one step that are printed; the rest is counted: a row is no page
ASSEMBLY = "counted as held in the assembly."
AT_ONCE = ("stored energy", "difference")


def load_text(load: Amount | None, *, first: str = "kg") -> str:
    """``844 ±4 kg (1861 ±8 lb)``; "at least" without an upper figure."""
    if load is None:
        return "mass not known"
    facts = {"low_kg": load.low, "best_kg": load.best, "high_kg": load.high}
    return said("{best_kg:doubt}", facts, first=first)


def carried_text(body: BodyFigure) -> str:
    """``on the hook of Overhead hoist, and standing on Hardwood cribbing``."""
    if not body.carried_by:
        return "held by nothing"
    found = []
    for carrier in body.carried_by:
        if carrier.kind == "hook":
            found.append(f"on the hook ({carrier.name})")
        elif carrier.kind == "machine":
            found.append("in the machine")
        elif carrier.kind == "not recorded":
            found.append("on what nobody recorded")
        else:
            found.append(f"on {carrier.name}{f', {carrier.face_name} down' if carrier.face_name else ''}")
    return " and ".join(found)


def both(body: BodyFigure, carrier: Carrier) -> bool:
    """Whether a hook holds a body that stands as well."""
    return carrier.kind == "hook" and any(other.kind != "hook" for other in body.carried_by)


def hook_and_stand(carrier: Carrier, *, first: str = "kg") -> str:
    """What the hook holds while the body stands as well: what a step says, else anything up to the whole."""
    if carrier.holds_low_kg is None:
        return "the hook holds anything from nothing to the whole"
    facts = {"low_kg": carrier.holds_low_kg, "high_kg": carrier.holds_high_kg}
    return said("the hook is to hold {low_kg:down} to {high_kg:up}", facts, first=first)


def tip_text(body: BodyFigure) -> str:
    """``tips at 38° towards the output side``; why not where nothing can be said; empty where it hangs."""
    figure = body.standing
    if figure is None:
        return ""
    if figure.outside_m is not None:
        return "does not stand" if figure.surely else "may not stand"
    degrees = body.tips_deg
    if degrees is None or figure.weakest is None:
        return "tip angle not known"
    perhaps = "perhaps " if body.perhaps_standing is not None else ""
    slack = ", hook slack" if any(c.kind == "hook" for c in body.carried_by) else ""
    towards = (body.perhaps_standing or figure).weakest
    side = f" towards {towards.towards}" if towards is not None else ""
    return said(f"{perhaps}tips at {{tips_deg:down}}", {"tips_deg": degrees}) + side + slack


def hook_text(lift: LiftAnswer, *, first: str = "kg") -> str:
    """What the hook should read, from where on to look again, and the first stop."""
    reading = lift.reading
    if reading.expected is None:
        return "hook: reading not known"
    told = [f"hook reads {load_text(reading.expected, first=first)}"]
    if reading.look_again_kg is not None:
        told.append(f"look again above {whole(reading.look_again_kg, first=first, rounding=ROUND_CEILING)}")
    if reading.look_again_below_kg is not None:
        told.append(f"below {whole(reading.look_again_below_kg, first=first, rounding=ROUND_FLOOR)}")
    if reading.stops:
        told.append(f"stop at {whole(reading.stops[0].at_kg, first=first, rounding=ROUND_FLOOR)}")
    return ", ".join(told)


def row_lines(step: StepFigure, *, first: str = "kg") -> Iterator[str]:
    """One step: what is done, then each body that it changes with its figures."""
    yield f"{step.number:>2}  {step.what}"
    for body in shown(step):
        told = [f"{body.name} {carried_text(body)}: {load_text(body.kg, first=first)}"]
        if body.moved_m is not None and body.moved_m >= 0.0005:
            told.append(said("centre moved {moved_m}", {"moved_m": body.moved_m}))
        tips = tip_text(body)
        if tips:
            told.append(tips)
        told += [hook_and_stand(carrier, first=first) for carrier in body.carried_by if both(body, carrier)]
        yield f"      {'; '.join(told)}."
    if step.lift is not None:
        yield f"      {step.lift.name}: {hook_text(step.lift, first=first)}."
        if hold_text(step, first=first):
            yield f"      {hold_text(step, first=first)}"
    yield from (f"      {line}." for line in carry_lines(step, first=first))
    yield from _watched(step, first=first)


def hold_text(step: StepFigure, *, first: str = "kg") -> str:
    """What the hook should hold before the last tie comes out; empty where no lift says so."""
    apart = step.lift is not None and step.do not in ("part", "put on")
    breaking = step.lift.breaking if apart and step.lift is not None else None
    if breaking is None or breaking.hold_low_kg is None:
        return ""
    facts = {"low_kg": breaking.hold_low_kg, "high_kg": breaking.hold_high_kg}
    text = "Before the last tie comes out the hook should hold {low_kg:down} to {high_kg:up}, steady."
    return said(text, facts, first=first)


def carry_lines(step: StepFigure, *, first: str = "kg") -> Iterator[str]:
    """What the truck of a step gets: its plate from the best side, the way with its slope, each floor."""
    move = step.move
    if move is None:
        return
    truck = best_side(move)
    if truck is not None:
        told = "; ".join(truck_lines(truck, first=first)) or "nothing recorded to compare with"
        yield f"{truck_title(truck, move)}: {told}"
    if len(move.ways) != 1:
        return
    way = move.ways[0]
    slope = "slope not recorded" if way.slope is None else said("slope {deg}", {"deg": way.slope})
    yield f"{way.name[:1].upper()}{way.name[1:]}: {slope}; length ahead: {way.straight}; turned: {way.turned}"
    for floor in move.floors:
        lines = "; ".join(floor_words(floor, first=first)) or f"limit {floor.limit}"
        yield f"{floor.name[:1].upper()}{floor.name[1:]}: {lines}"


def shown(step: StepFigure) -> Sequence[BodyFigure]:
    """The body a step is about, and others that it left with other figures."""
    return [
        body
        for place, body in enumerate(step.bodies)
        if place == 0 or body.moved_m is not None or body.before_deg != body.tips_deg
    ]


def _watched(step: StepFigure, *, first: str) -> Iterator[str]:
    for notice in in_order(step.findings):
        yield f"      FINDING: {sentence(notice, first=first)}"
        if remedy(notice):
            yield f"        {remedy(notice)}"
    cautions = in_order(step.cautions)
    for notice in cautions[:MOST_WATCHED]:
        yield f"      Watch: {sentence(notice, first=first)}"
    for note in step.notes:
        if note.kind in AT_ONCE:
            yield f"      {note.kind.capitalize()} ({note.status}): {both_units(note.text, first=first)}"
    others = [note for note in step.notes if note.kind not in AT_ONCE]
    if others:
        yield f"      Notes: {', '.join(note.id for note in others)}."
    for line in step.hands:
        told = f"not known, so perhaps above: {line.name}" if line.load is None else (
            f"{line.name}, {load_text(line.load, first=first)}, {line.word} the limit for one person"
        )  # fmt: skip
        yield f"      By hand: {told}."
    if len(cautions) > MOST_WATCHED:
        yield f"      and {counted(len(cautions) - MOST_WATCHED, 'more caution')} in --json."


def headline(answer: StepsAnswer, *, first: str = "kg") -> list[str]:
    """The worst of the whole chain: findings, heaviest lift, narrowest stand, ties nobody looked at."""
    lines = []
    findings = answer.findings
    if findings:
        steps = ", ".join(dict.fromkeys(str(number) for number, _ in findings if number))
        at = [*(["at the start"] if not findings[0][0] else []), *([f"at step {steps}"] if steps else [])]
        lines.append(
            f"{counted(len(findings), 'finding').upper()}, {' and '.join(at)}: see there what to do."
        )
    else:
        lines.append("Nothing found against it in what is recorded; that is no permission.")
    lines.append(_heaviest(answer.heaviest, first))
    narrowest = answer.narrowest
    if narrowest is None:
        lines.append("Narrowest stand: not known; no face is recorded that it stands on.")
    elif narrowest.tips_deg == 0.0:
        lines.append(f"Narrowest stand: {_after(narrowest.step)} {narrowest.body} does not stand.")
    else:
        told = said("{tips_deg:down}", {"tips_deg": narrowest.tips_deg})
        towards = f" towards {narrowest.towards}" if narrowest.towards else ""
        lines.append(f"Narrowest stand: {_after(narrowest.step)} {narrowest.body} tips at {told}{towards}.")
    if answer.not_looked_at:
        lines.append(f"Nobody looked at: {', '.join(answer.not_looked_at)}.")
    return lines


def _after(step: int) -> str:
    return f"after step {step}" if step else "at the start"


def _heaviest(heaviest: Heaviest | None, first: str) -> str:
    if heaviest is None:
        return "Heaviest lift: none is recorded in it."
    rated = "rating not recorded"
    if heaviest.rated_kg is not None:
        rated = f"rated {whole(heaviest.rated_kg, first=first, rounding=ROUND_FLOOR)}"
    hoist = f", {heaviest.mover}, {rated}" if heaviest.mover else ", on no recorded hoist"
    return (
        f"Heaviest lift: step {heaviest.step}, {heaviest.lift}: the hook reads "
        f"{load_text(heaviest.kg, first=first)}{hoist}."
    )


def asked_lines(answer: StepsAnswer, *, first: str = "kg") -> list[str]:
    """What steps need and nobody recorded, each once with its steps."""
    where: dict[Notice, list[int]] = {}
    for step in (answer.start, *answer.steps):
        for notice in step.asked:
            where.setdefault(notice, []).append(step.number)
    lines = []
    for notice, numbers in where.items():
        steps = ", ".join("the start" if number == 0 else str(number) for number in numbers)
        lines.append(
            f"  {sentence(notice, first=first)} {remedy(notice)} (step {steps})".replace("step the", "the")
        )
    return lines


LIMITS = {
    "hand limit": "by hand, one person: {limit_kg:down} ({whose})",
    "least tip": "narrow below {limit_deg} ({whose})",
    "break loose": "breaking a joint loose: {percent} % on the reading ({whose})",
}
NO_LIMITS = {
    "hand limit": "by hand: no limit is recorded, so nothing is said of hands",
    "break loose": "breaking a joint loose: no share is recorded, so none is added",
}


def limit_lines(answer: StepsAnswer, *, first: str = "kg") -> list[str]:
    """The limits that the whole chain is held against, each with whose it is."""
    lines = []
    for limit in answer.limits:
        if limit.value is None:
            lines.append(NO_LIMITS[limit.kind])
            continue
        percent = f"{limit.value * 100:g}"
        facts: dict[str, Fact] = {"limit_kg": limit.value, "limit_deg": limit.value}
        facts |= {"percent": percent, "whose": limit.whose}
        lines.append(said(LIMITS[limit.kind], facts, first=first))
    return lines


def title(answer: StepsAnswer) -> str:
    """``Transfer box taken apart: transfer box, serial 1187, 8 discs, Quay Shed Nine, as of ...``."""
    build = [
        f"{name} {value}{'' if confirmed else ' (default, not confirmed for this unit)'}"
        for name, value, confirmed in answer.build
    ]
    told = [answer.unit_name, *([f"serial {answer.serial}"] if answer.serial else []), *build]
    told += [answer.shop_name or "no shop named", f"as of {answer.as_of}"]
    return f"{answer.name}: {', '.join(told)}."


def steps_text(answer: StepsAnswer, first: str = "kg") -> str:
    """The whole planned job as text, the worst first."""
    lines = [title(answer), *headline(answer, first=first), ""]
    start = answer.start.body
    if start is not None:
        lines.append(
            f" 0  At the start: {start.name} {carried_text(start)}: {load_text(start.kg, first=first)}."
        )
        lines += _watched(answer.start, first=first)
    for step in answer.steps:
        lines += row_lines(step, first=first)
    asked = asked_lines(answer, first=first)
    if asked:
        lines += ["", "Needed and not recorded:", *asked]
    if answer.lacks:
        lines += ["", f"Not recorded at {answer.shop_name}:"]
        lines += [f"  {sentence(notice, first=first)}" for notice in answer.lacks]
    if answer.not_reversed:
        lines += ["", "Not simply the other way round; a person decides:"]
        lines += [f"  {sentence(notice, first=first)}" for notice in answer.not_reversed]
    if answer.held_unrecorded:
        many = len(answer.held_unrecorded)
        lines += [
            "",
            f"How {counted(many, 'part')} {'is' if many == 1 else 'are'} held nobody recorded: {ASSEMBLY}",
        ]
    lines += ["", f"Limits: {'; '.join(limit_lines(answer, first=first))}.", "", *answer.cautions]
    return "\n".join(lines)


def beside_text(answer: StepsBeside, first: str = "kg") -> str:
    """The plan and the change side by side, the steps that differ, then the change in full."""
    lines = [f"As planned: {' '.join(headline(answer.planned, first=first))}"]
    lines.append(f"As asked:   {' '.join(headline(answer.asked, first=first))}")
    if not answer.differs:
        lines.append("No step differs in what is shown.")
    for row in answer.differs:
        lines += _beside_lines(row, first)
    return "\n".join([*lines, "", "As asked, in full:", "", steps_text(answer.asked, first)])


def _beside_lines(row: StepBeside, first: str) -> Iterator[str]:
    planned = "left out" if row.number is None else f"step {row.number}"
    asked = "left out" if row.other_number is None else f"step {row.other_number}"
    yield f"  {row.what}: {planned} as planned, {asked} as asked"
    pairs = (
        ("body", _load_or_none(row.kg, first), _load_or_none(row.other_kg, first)),
        ("hook reads", _load_or_none(row.reading, first), _load_or_none(row.other_reading, first)),
        ("tips at", _degrees(row.tips_deg), _degrees(row.other_tips_deg)),
    )
    for what, one, other in pairs:
        if one != other:
            yield f"      {what}: {one or 'none'} as planned, {other or 'none'} as asked"
    for notice in in_order(row.only_here):
        yield f"      Only as planned: {sentence(notice, first=first)}"
    for notice in in_order(row.only_there):
        yield f"      Only as asked: {sentence(notice, first=first)}"


def _load_or_none(load: Amount | None, first: str) -> str:
    return load_text(load, first=first) if load is not None else ""


def _degrees(value: float | None) -> str:
    return "" if value is None else said("{tips_deg:down}", {"tips_deg": value})
