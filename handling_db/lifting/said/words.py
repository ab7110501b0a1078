"""The sentences of a lift, a turn and a reading: one wording for terminal, page and print."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_FLOOR

from handling_db.lifting.figures import (
    JointAnswer,
    JointFigure,
    LegFigure,
    LegsFigure,
    LiftAnswer,
    MassLine,
    NoteFigure,
    Piece,
    PointFigure,
    ReadingAnswer,
    TieFigure,
    Vector,
)
from handling_db.lifting.line.words import line_lines
from handling_db.lifting.line.words import load_words as known_words
from handling_db.lifting.said.notices import (
    Rank,
    first_lines,
    notice_words,
    rank_of,
    reasons,
)
from handling_db.quantities.amount import Amount
from handling_db.quantities.display import figure
from handling_db.quantities.notice import Notice
from handling_db.quantities.sentence import both_units as both_units
from handling_db.quantities.sentence import said
from handling_db.quantities.sentence import whole as whole
from handling_db.rigging.leg_rules import RuleOfThumb

NOT_GIVEN = "not given"


def load_words(load: Amount | None, *, first: str = "kg") -> str:
    """``372.1 ± 2.7 kg (820.2 ± 5.9 lb)``, "at least ..." or that nobody knows."""
    if load is None:
        return "not known: nobody weighed it"
    if load.high == 0.0:
        return "none"
    return known_words(load, first=first)


def gaps(answer: LiftAnswer, *, first: str = "kg") -> list[str]:
    """Every gap, one a line."""
    return [notice_words(one, first=first) for one in answer.first if rank_of(one) is Rank.NOT_KNOWN]


def place_words(at: Vector) -> str:
    """A place in the root's frame: ``x 519, y 0, z -510 mm``."""
    x, y, z = (figure(round(v * 1000, 6) + 0.0, 0) for v in at)
    return f"x {_plain(x)}, y {_plain(y)}, z {_plain(z)} mm"


def _plain(text: str) -> str:
    return "0" if text in ("-0", "0") else text


def build_words(answer: LiftAnswer) -> str:
    """``discs 8, length 620 mm (default, not confirmed for this unit)``."""
    texts = [
        f"{name} {value}" + ("" if certain else " (default, not confirmed for this unit)")
        for name, value, certain in answer.build
    ]
    return ", ".join(texts) or "one build only"


def title_words(answer: LiftAnswer) -> str:
    """What is lifted, of which unit, in which job."""
    unit = f"{answer.root_name}, serial {answer.serial}" if answer.serial else answer.root_name
    job = f"; job {answer.job}" if answer.job else "; no job given"
    return f"{answer.name} ({answer.id}); {unit}{job}"


def look_again_words(answer: LiftAnswer, *, first: str = "kg") -> str:
    """Above which reading to look again, or why none can be named."""
    reading, below = answer.reading, ""
    if reading.look_again_below_kg is not None:
        below = f"below {whole(reading.look_again_below_kg, first=first, rounding=ROUND_FLOOR)}"
    if reading.look_again_kg is None:
        if not below:
            return f"look again: no figure can be named ({reading.cell})"
        return both_units(f"look again {below}; above which reading cannot be said: it is 'at least'")
    above = f"above {whole(reading.look_again_kg, first=first, rounding=ROUND_CEILING)}"
    where = f"{above} or {below}" if below else above
    return both_units(f"look again {where}: the expected figure and the error of the cell ({reading.cell})")


def stop_words(answer: LiftAnswer, *, first: str = "kg") -> str:
    """The stop figure with its reason, and that it may be lower still."""
    if not answer.reading.stops:
        return f"stop: no figure can be named; {_several(answer.reading.not_known, first)}"
    limit = answer.reading.stops[0]
    at = whole(max(0.0, limit.at_kg), first=first, rounding=ROUND_FLOOR)
    more = (
        f"; may be lower still, {len(answer.reading.not_known)} not known" if answer.reading.not_known else ""
    )
    return f"stop at {at}: {notice_words(limit.reason, first=first)}{more}"


def _several(notices: Iterable[Notice], first: str) -> str:
    return "; ".join(notice_words(one, first=first) for one in notices)


def centre_words(answer: LiftAnswer) -> list[str]:
    """Centre of gravity with its patch, in the frame of the whole and in the attitude."""
    centre = answer.centre
    if centre is None:
        return [answer.no_centre or "centre of gravity not given"]
    half = [
        max(high - at, at - low) * 1000
        for at, low, high in zip(centre.at, centre.low, centre.high, strict=True)
    ]
    spread = ", ".join(f"±{figure(max(0.0, v), 1 if v < 9.95 else 0)}" for v in half)
    lines = [
        f"centre of gravity {place_words(centre.at)} ({spread} mm by the doubt of the masses)",
        f"  {answer.frame}",
        f"  {answer.attitude_name}: {place_words(centre.room)} with z up",
    ]
    return lines + [f"  {notice_words(one)}" for one in centre.says]


def piece_words(piece: Piece, *, first: str = "kg") -> str:
    """One piece with how many and what they weigh."""
    many = "" if piece.pieces == 1 else f"{piece.pieces:g} x "
    if piece.fluid:
        return f"{many}{piece.name}: fluid"
    assumed = f" [{piece.assumed}]" if piece.assumed else ""
    return f"{many}{piece.name}: {load_words(piece.load, first=first)}{assumed}"


def addition_words(addition: MassLine, *, first: str = "kg") -> str:
    """Fluid, packing or gear with its mass."""
    return both_units(f"{addition.name}: {load_words(addition.load, first=first)}")


def tie_words(tie: TieFigure) -> str:
    """One line of the tie list, to be ticked by hand or by the job."""
    box = "[ ]" if tie.open else "[x]" if tie.out else "[-]"
    many = f"{tie.count} x " if tie.count and tie.count[0].isdigit() else ""
    facts = [tie.size, tie.head, tie.tool, f"side: {tie.side}" if tie.side else ""]
    if tie.under:
        facts.append(f"hidden, under {tie.under}")
    elif tie.hidden == "yes":
        facts.append("hidden")
    if tie.travel_m is not None:
        facts.append(f"{tie.travel_m * 1000:g} mm to travel")
    if tie.out_by:
        facts.append(f"out {tie.out_by}")
    facts += [f"listed in {'; '.join(tie.listed_in)}"] if tie.listed_in else []
    facts += [f"after {', '.join(tie.after)}"] if tie.after else []
    facts += [f"sticks: {tie.sticks}"] if tie.sticks else []
    told = "; ".join(fact for fact in facts if fact)
    return both_units(
        f"{box} {many}{tie.what}: {tie.state.upper() if tie.open else tie.state}"
        + (f" ({told})" if told else "")
    )


def joint_lines(joint: JointFigure) -> list[str]:
    """A joint with its ties, what is open first."""
    lines = [f"{joint.name} ({joint.id}), between {joint.between[0]} and {joint.between[1]}"]
    lines += [f"  {notice_words(one)}" for one in joint.says]
    ordered = [*(t for t in joint.ties if t.nobody_looked), *(t for t in joint.ties if not t.nobody_looked)]
    lines += [f"  {tie_words(tie)}" for tie in sorted(ordered, key=lambda tie: not tie.open)]
    lines.append("  [ ] other: ______________________________")
    aids = "; ".join(joint.parting_aids) or joint.parting_words
    lines.append(f"  parting aids: {aids}")
    return lines


def share_words(leg: LegFigure) -> str:
    """Share of the load, with its range where the doubt of the centre makes one."""
    if leg.slack and leg.share is not None:
        level = leg.level_share is not None and leg.level_share < 0.0
        return f"slack (held level it would have to push, {leg.level_share:.1%})" if level else "slack"
    if leg.share is None:
        if leg.share_low is None or leg.share_high is None:
            return "cannot hold"
        stiff = "" if leg.stiff_share is None else f"; {leg.stiff_share:.1%} if all stretch alike"
        return f"{leg.share_low:.1%} to {leg.share_high:.1%}{stiff}"
    if leg.share_low is not None and leg.share_high is not None and leg.share_high - leg.share_low > 0.001:
        return f"{leg.share:.1%} ({leg.share_low:.1%} to {leg.share_high:.1%})"
    return f"{leg.share:.1%}"


def tension_words(leg: LegFigure, *, first: str = "kg") -> str:
    """Highest pull in the leg, as a cell in it would show."""
    if leg.tension_high_kg is None:
        return NOT_GIVEN
    return whole(leg.tension_high_kg, first=first, rounding=ROUND_CEILING)  # "up to": never under it


def point_words(point: PointFigure) -> str:
    """A pick point: rating, what carries it, what is in the way. Never a proposal without a rating."""
    used = "used" if point.used else "not used"
    told = f"{point.rated_words}; {point.through_words}; {point.blocked_words}"
    engaged = ""
    if point.engagement_m is not None and point.thread:
        engaged = f"; {point.thread} engaged by {point.engagement_m * 1000:.0f} mm"
    elif point.thread:
        engaged = f"; {point.thread}, how far it is engaged: nobody looked"
    return both_units(f"{point.name} ({point.id}), {used}: {told}{engaged}")


def leg_lines(answer: LiftAnswer, *, first: str = "kg") -> list[str]:
    """The leg table, the pose it comes to rest in, and the rules of thumb by name."""
    legs = answer.legs
    if legs is None:
        return [f"legs: {answer.no_legs or NOT_GIVEN}"]
    lines = []
    for leg in legs.legs:
        angle = f"{leg.from_horizontal:.0f}° from the horizontal"
        taken = "length not recorded, taken as " if leg.taken and len(legs.legs) > 1 else ""
        lines.append(
            f"{leg.name}: {share_words(leg)}, {taken}{_mm_near(leg)}, {angle}, up to "
            f"{tension_words(leg, first=first)}"
        )
    if legs.rest is not None and (not legs.balanced or legs.rest.tilt >= 0.1):
        low = f", low on the {legs.rest.low_words} side" if legs.rest.low_words else ""
        slack = f"; slack: {', '.join(legs.rest.slack)}" if legs.rest.slack else ""
        lines.append(f"left to itself it comes to rest tilted by {legs.rest.tilt:.1f}°{low}{slack}")
    lines += [notice_words(one, first=first) for one in legs.says]
    lines += stability_lines(legs)
    return lines + rule_lines(legs, first=first)


def rule_lines(legs: LegsFigure, *, first: str = "kg") -> list[str]:
    """The published rules of thumb, those with one figure and one remark together; each with its source."""
    most = max((leg.tension_high_kg or 0.0 for leg in legs.legs), default=0.0)
    alike: dict[str, list[RuleOfThumb]] = {}
    for rule in legs.rules:
        asks, less = "gives no figure", ""
        if rule.single_leg_rating_kg is not None:
            kg = rule.single_leg_rating_kg
            asks = f"asks a single leg of {whole(kg, first=first, rounding=ROUND_CEILING)}"
            short = whole(most - kg, first=first, rounding=ROUND_CEILING)
            less = f", LESS than the statics above by {short}" if rule.below_statics else ""
        alike.setdefault(f"{asks}{less}; {notice_words(rule.says, first=first)}", []).append(rule)
    return [
        both_units(
            f"rule of thumb, {'; '.join(rule.rule for rule in rules)}: {told} "
            f"[{' / '.join(f'{rule.source}; {rule.verified}' for rule in rules)}]"
        )
        for told, rules in alike.items()
    ]


def stability_lines(legs: LegsFigure) -> list[str]:
    """How far it is from turning over, as figures."""
    found = legs.stability
    if found is None:
        return []
    points = " and ".join(found.then_carry)
    about = f"the line of {points} is" if len(found.then_carry) > 1 else f"{points} is"
    least = f" ({_over(found.height_least_m)} at least, by the doubt)"
    if found.shift_m is None:
        return [f"{about} {_over(found.height_m)} the centre of gravity{least}"]
    return [
        f"a leg slackens once the centre is {_mm_down(found.shift_m)} further to the side, or at a "
        f"tilt of {found.shift_deg:.1f}°; then {about} {_over(found.height_m)} the centre of gravity{least}"
    ]


def _over(height_m: float) -> str:
    """``200 mm over``, ``176 mm under``: on the side that turns over sooner."""
    return f"{_mm_down(abs(height_m))} over" if height_m >= 0.0 else f"{_mm_down(height_m)[1:]} under"


def _mm_near(leg: LegFigure) -> str:
    """A length as it is; one that was taken rounded up, like the shortest that is named elsewhere."""
    return f"{math.ceil(leg.length_m * 1000 - 1e-6) if leg.taken else round(leg.length_m * 1000)} mm"


def _mm_down(metres: float) -> str:
    """Rounded down: a margin is never shown larger than it is."""
    return f"{math.floor(metres * 1000 + 1e-6)} mm"


def headroom_words(answer: LiftAnswer) -> str:
    """Room left under the hook at its highest, or what is not known."""
    room = answer.headroom
    if room.left_m is None:
        return _several(room.says, "kg")
    return f"headroom: {room.left_m * 1000:.0f} mm left under the hook at its highest"


def mover_words(answer: LiftAnswer, *, first: str = "kg") -> str:
    """Everything on the hook as a part of the rating, as a figure."""
    mover = answer.mover
    if mover is None:
        return "hoist or crane: none is recorded for this lift"
    if mover.rating_kg is None or mover.part is None:
        return both_units(f"{mover.name}: {notice_words(mover.rating_words, first=first)}")
    least = "at least " if mover.gross is not None and not mover.gross.complete else ""
    return both_units(
        f"{mover.name}: {least}{math.ceil(mover.part * 100)} % of "
        f"{whole(mover.rating_kg, first=first, rounding=ROUND_FLOOR)} "
        f"({notice_words(mover.rating_words, first=first)}); the plate governs"
        + (f"; {_several(mover.says, first)}" if mover.dynamic_factor is not None else "")
    )


def set_down_words(answer: LiftAnswer, *, first: str = "kg") -> str:
    """Where it goes, and what it takes to tip there on a level floor."""
    down = answer.set_down
    text = f"set down on {down.on}; face: {down.face or 'nobody looked'} ({down.may_rest})"
    if down.on == down.may_rest == "nobody looked":
        text = "set down: nobody looked where, nor on which face"
    if down.weakest is not None and down.centre_height_m is not None:
        text += (
            f"; centre {down.centre_height_m * 1000:.0f} mm up, tips at {math.floor(down.weakest.tips_at)}° "
            f"towards {down.weakest.towards}"
            f"{f' ({down.weakest.body})' if down.weakest.body else ''}"
        )
    if down.outside_m is not None:
        text += f"; the centre {'is' if down.surely else 'may be'} {down.outside_m * 1000:.0f} mm outside it"
    if down.not_known and down.may_rest != "nobody looked":
        text += f"; {notice_words(down.not_known, first=first).rstrip('.')}"
    if down.must_not:
        text += f"; must not rest on {', '.join(down.must_not)}"
    place = answer.landing
    rated = place.rating_words
    if place.rating_kg is not None:
        rated = f"rated {whole(place.rating_kg, first=first, rounding=ROUND_FLOOR)} ({place.rating_words})"
    return both_units(f"{text}; the place: {rated}")


MOMENTS = (
    "does not stand",
    "may not stand",
    "must not rest",
    "stands",
    "standing not known",
    "lands low side first",
    "hook off plumb",
    "hook plumb",
    "swing not known",
    "hold before the last tie",
    "nothing to hold before the last tie",
)


def moments(answer: LiftAnswer, *, first: str = "kg") -> list[str]:
    """What is said of the two moments where it may go wrong at once: breaking loose and landing."""
    return [notice_words(one, first=first) for one in answer.first if one.kind in MOMENTS]


def source_words(answer: LiftAnswer) -> str:
    """What the figures rest on, once a kind: ``weighed on a scale: floor scale, bench scale``."""
    kinds: dict[str, list[str]] = {}
    for source in answer.sources:
        kind, _, name = source.partition(": ")
        kinds.setdefault(kind, []).append(name)
    return "; ".join(f"{kind}: {', '.join(n for n in names if n)}" for kind, names in kinds.items())


def note_words(note: NoteFigure) -> str:
    """One note with what it is about, its kind and its standing."""
    stale = ", due for a look" if note.stale else ""
    return both_units(f"{note.about} ({note.kind}; {note.status}{stale}): {note.text}")


def edge_words(answer: LiftAnswer) -> str:
    """What runs over an edge and how it is protected; none, by whom; or that nobody looked."""
    how = {
        "edge protected": "protected by {by}",
        "edge not protected": "NOT PROTECTED",
        "edge protection nobody looked": "whether it is protected: nobody looked",
    }
    told = [said("{what}: " + how[edge.kind], edge.facts) for edge in answer.edges]
    return f"over an edge: {'; '.join(told) or answer.edges_words}"


def tag_line_words(answer: LiftAnswer) -> str:
    """Tag lines as recorded; none, by whom; or that nobody looked."""
    return f"tag lines: {'; '.join(answer.tag_lines) or answer.tag_lines_words}"


ON_PAPER = ("temporary tie", "tie", "stick", "order", "pick point")
"""Kinds of note that a sheet names one by one; stored energy stands there in full."""

TODAY = (
    "gear looked over",
    "wind, weather",
    "people and signaller",
    "area clear",
    "springs, pressure, twist let down",
    "trial lift 50 to 100 mm: seen",
    "last tie out, hook held",
    "stood with legs slack",
)
"""What is only true today: blanks on paper, never stored."""


def lift_lines(answer: LiftAnswer, *, first: str = "kg") -> list[str]:
    """The whole answer as lines, in the one order; the reasons below."""
    lines = [text for _, text in first_lines(answer.first, first=first)]
    lines += ["", title_words(answer)]
    lines.append(f"  build: {build_words(answer)}; {answer.attitude_name}")
    lines += [f"  {both_units(answer.remark)}"] if answer.remark else []
    lines += ["", "Why, in the same order", *(f"  {text}" for text in reasons(answer.first, first=first))]
    expected = load_words(answer.reading.expected, first=first)
    lines += ["", f"Expected hook reading {expected}", f"  {look_again_words(answer, first=first)}"]
    lines.append(f"  {stop_words(answer, first=first)}")
    lines += [
        f"    otherwise {whole(max(0.0, limit.at_kg), first=first, rounding=ROUND_FLOOR)}: "
        f"{notice_words(limit.reason, first=first)}"
        for limit in answer.reading.stops[1:3]
    ]
    lines += ["", f"IN: {load_words(answer.group, first=first)} without fluid"]
    lines += [f"  {piece_words(piece, first=first)}" for piece in answer.inside]
    lines += [f"  + {addition_words(addition, first=first)}" for addition in answer.additions]
    lines += ["NOT IN"]
    lines += [f"  {piece_words(piece, first=first)}; {piece.why}" for piece in answer.outside]
    lines += ["", *centre_words(answer), "", "Legs", *(f"  {t}" for t in leg_lines(answer, first=first))]
    lines += ["From the hook down: who carries what, and what it may carry"]
    lines += [f"  {text}" for text in line_lines(answer.ratings, first=first)]
    lines += ["Pick points", *(f"  {point_words(point)}" for point in answer.points)]
    lines += ["  none is recorded: nobody looked"] if not answer.points else []
    lines += [edge_words(answer), tag_line_words(answer)]
    lines += ["", *(line for joint in answer.joints for line in joint_lines(joint))]
    lines += ["no joint is parted or crossed, as recorded"] if not answer.joints else []
    lines += [
        "",
        mover_words(answer, first=first),
        headroom_words(answer),
        set_down_words(answer, first=first),
    ]
    lines += [f"{case.case}: {notice_words(case.says, first=first)}" for case in answer.sudden]
    if answer.notes:
        lines += ["", "Notes that touch this lift", *(f"  {note_words(note)}" for note in answer.notes)]
    if answer.weigh:
        lines.append(f"Weigh while it hangs: {', '.join(thing.name for thing in answer.weigh)}")
    lines += [f"Stop and ask: {both_units(text)}" for text in answer.stop_and_ask]
    lines.append(f"Only true today, look and write it on the sheet: {'; '.join(TODAY)}")
    return [*lines, "", *answer.cautions]


def joint_answer_lines(answer: JointAnswer, *, first: str = "kg") -> list[str]:
    """What still holds one joint, in the one order; the reasons below."""
    lines = [text for _, text in first_lines(answer.first, first=first)]
    lines += ["", *joint_lines(answer.joint)]
    lines += [f"  {both_units(answer.joint.remark)}"] if answer.joint.remark else []
    lines += ["", "Why, in the same order", *(f"  {text}" for text in reasons(answer.first, first=first))]
    if answer.notes:
        lines += ["", "Notes that touch this joint", *(f"  {note_words(note)}" for note in answer.notes)]
    return [*lines, "", *answer.cautions]


def reading_lines(answer: ReadingAnswer, *, first: str = "kg") -> list[str]:
    """A seen reading beside the expected one; what is not known comes first."""
    lift = answer.lift
    lines = [*(text for _, text in first_lines(lift.first, first=first)), ""]
    expected = load_words(lift.reading.expected, first=first)
    lines.append(f"Seen {whole(answer.seen_kg, first=first)}, expected {expected}")
    lines += [f"  {notice_words(one, first=first)}" for one in answer.says]
    lines += [f"  {look_again_words(lift, first=first)}", f"  {stop_words(lift, first=first)}"]
    if answer.ties:
        lines += ["Open ties that could hold the difference", *(f"  {tie_words(tie)}" for tie in answer.ties)]
    if answer.parts:
        lines.append("What would fit it, by mass alone")
        lines += [f"  {notice_words(one, first=first)}" for one in answer.parts]
    return [*lines, "", *answer.cautions]


def legs_answer_lines(answer: LiftAnswer, *, first: str = "kg") -> list[str]:
    """The legs of a lift alone, as lines."""
    lines = [text for _, text in first_lines(answer.first, first=first)]
    lines += ["", f"on the legs: {load_words(answer.lift, first=first)}", *centre_words(answer), ""]
    lines += leg_lines(answer, first=first)
    lines += ["From the hook down: who carries what, and what it may carry"]
    lines += [f"  {text}" for text in line_lines(answer.ratings, first=first)]
    lines += [point_words(point) for point in answer.points]
    lines += ["", "Why, in the same order", *(f"  {text}" for text in reasons(answer.first, first=first))]
    return [*lines, "", *answer.cautions]
