"""What stands first on every answer about a lift, turn, joint or reading: one order, one table of kinds.

To say something new: return a `Notice` of a new kind from the calculation and give the kind a row in `KINDS`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import IntEnum
from typing import NamedTuple

from handling_db.lifting.said.clauses import CLAUSES
from handling_db.quantities.notice import Fact, Notice, facts_told, once
from handling_db.quantities.sentence import clause, said


class Rank(IntEnum):
    """The order of what stands first; `REASON` is for what only stands among the reasons below."""

    TURNS_OVER = 1  # it will turn over, or nothing holds it
    TIES = 2  # temporary ties in, ties open
    ENERGY = 3  # stored energy
    GEAR = 4  # gear beyond its rating, or not compared
    FIGURE = 5  # the figure with its state and what it rests on
    NOT_KNOWN = 6
    REASON = 7


class Saying(NamedTuple):
    """Where a kind stands, and its words: short on the first lines, long among the reasons.

    An empty short form: it stands among the reasons only. An empty long form: the short one says it all.
    """

    rank: Rank
    short: str
    long: str = ""


# Of a kind: its words among the reasons, or the short ones and those, or the short ones that say it all.
_Words = Mapping[str, str | tuple[str, ...]]

# It will turn over, or nothing holds it.
_TURNS_OVER: _Words = {
    "turns over": (
        "IT WILL TURN OVER",
        "It will turn over about {about}, {under} its centre of gravity: other points, or something that "
        "keeps it from turning.",
    ),
    "may turn over": (
        "IT MAY TURN OVER",
        "Within what is known of it it may turn over: {about} may be {under} its centre of gravity.",
    ),
    "turns over once slack": (
        "turns over once a leg slackens",
        "Held upright by taut legs only: a centre {shift_m:down} further to the side, or a tilt of "
        "{shift_deg:1}, slackens a leg, and it turns over about {about}, {under} its centre of gravity.",
    ),
    "cannot meet": (
        "THE LEGS CANNOT MEET AT ONE HOOK as their lengths are recorded",
        "It cannot hang so: {why}",
    ),
    "may not meet": (
        "the legs may not meet",
        "Within the doubt of lengths and places the legs may be too short to meet at one hook: measure them.",
    ),
    "may hang tilted": (
        "it may hang tilted by {tilt_deg:up}",
        "Within the doubt of masses, places and lengths it may hang tilted by up to {tilt_deg:up}.",
    ),
    "nothing-holds-back": (
        "GOES OVER BY ITSELF, AND NOTHING IS RECORDED TO HOLD IT BACK, from {first_deg:down} on",
        "Goes over by itself, and nothing is recorded to hold it back: from {first_deg:down} at the earliest "
        "it needs up to {hold_kg:up} at the place of the hook, pulled back square to the way from the edge. "
        "Record 'hold back': where the line is made fast, and its anchor.",
    ),
    "line-cannot-hold": (
        "THE HOLDING-BACK LINE CANNOT HOLD IT from {turned_deg:down} on",
        "The holding-back line cannot hold it from {turned_deg:down}: from its anchor it does not pull "
        "against the way it goes over. Anchor it elsewhere.",
    ),
    "not-known-whether-held": (
        "whether it goes over by itself is not known; nothing recorded holds it back",
        "Whether it goes over by itself is not known, and nothing is recorded to hold it back.",
    ),
    "goes-over-at-once": (
        "it may go over as soon as it is lifted",
        "Within the doubt of the centre it may go over as soon as it is lifted: hold it back before the hook "
        "pulls.",
    ),
    "comes-off-end": (
        "comes off one end of the edge at {turned_deg:down}",
        "At {turned_deg:down} it comes off the {end} recorded end of the edge: the hook pulls off the centre "
        "plane. Figures end there.",
    ),
    "may-come-off-end": (
        "may come off one end of the edge at {turned_deg:down}",
        "At {turned_deg:down} it may come off the {end} recorded end of the edge: the hook pulls off the "
        "centre plane. Figures end there.",
    ),
    "comes-off-edge": (
        "comes off its edge at {turned_deg:down} and swings",
        "At {turned_deg:down} it comes off its edge: the hook then stands nearer to the edge than the "
        "centre, and the load hangs free and swings. Figures end there.",
    ),
    "may-come-off-edge": (
        "may come off its edge at {turned_deg:down} and swing",
        "At {turned_deg:down} it may come off its edge: the hook then stands nearer to the edge than the "
        "centre, and the load hangs free and swings. Figures end there.",
    ),
    "line-slack-before": "Take the line taut before {first_deg:down}: from there hook and line change over, "
    "and a slack line is a drop.",
    "line-pulls-sideways": "The holding-back line pulls the edge sideways with up to {part_share} of what "
    "presses on it: block it against sliding (it slides where friction is less than that).",
    "goes slack": ("slack: {legs:and}", "Slack: {legs:and}; the other legs carry everything."),
    "may go slack": (
        "may go slack: {legs:and}",
        "Within the doubt of the centre these legs may go slack: {legs:and}.",
    ),
    "cannot hold": (
        "these legs do not hold it as asked",
        "Hook plumb over the centre, these legs do not hold it in the attitude that was asked for.",
    ),
    "hangs tilted": (
        "it will hang tilted by {tilt_deg:up}",
        "Left to itself it comes to rest tilted by {tilt_deg:up}{low}.",
    ),
    "does not stand": (
        "it does not stand where it is set down",
        "Set down on {face} it does not stand: the centre is {outside_m} outside the face. When the legs go "
        "slack it goes over. Nothing is unhooked until something else holds it.",
    ),
    "may not stand": (
        "it may not stand where it is set down",
        "Set down on {face} it may not stand: the centre may be {outside_m} outside the face, within what is "
        "known of it. Nothing is unhooked until it is seen to stand with the legs slack.",
    ),
    "must not rest": ("it must not rest on {face}", "It must not rest on {face}: so the record says."),
}
# Temporary ties in, and ties open.
_TIES: _Words = {
    "temporary ties in": (
        "job {job}: still in {brief}",
        "Job {job}, serial {serial}: still in for the time being: {ties}. Counted here as in.",
    ),
    "temporary ties in, not applied": (
        "job {job}: still in {brief}; not said to be this unit",
        "Job {job}, serial {serial}: still in for the time being: {ties}. Nobody said that this is that "
        "unit: if it is, ask with that job, and what it has out and off counts too.",
    ),
    "ties open": ("{count} not out", "Not out, as far as anybody wrote down: {ties}."),
    "ties nobody looked for": ("nobody looked: {ties}", "Nobody looked for: {ties}."),
    "nobody looked what holds": ("nobody looked what holds {joint}",),
    "not all ties listed": "Nobody says that all ties of {joint} are listed: look for others.",
    "tie out before its turn": "{tie} is out, but {first}, which comes first, is not.",
    "joint not listed": (
        "joint {joint} crossed and not listed",
        "Joint {joint} is crossed by this lift and not listed under 'parts joints'.",
    ),
    "joint not recorded": (
        "joint {joint} not recorded",
        "Joint {joint} is not recorded: what holds there nobody knows.",
    ),
    "no job": "No job is given: nothing counts as out, tick the ties by hand.",
}
# Stored energy.
_ENERGY: _Words = {
    "stored energy in": ("stored energy: {names:and}",),
    "stored energy": "Stored energy in {about} ({status}): {text}",
}
# Gear beyond its rating, or not compared.
_GEAR: _Words = {
    "line-over-rating": (
        "holding-back line: {most_kg:up} on {rated_kg:down}",
        "The holding-back line gets up to {most_kg:up}, above its rating of {rated_kg:down}.",
    ),
    "line-no-rating": (
        "holding-back line: no rating",
        "No rating is recorded for the holding-back line, which gets up to {most_kg:up}.",
    ),
    "flat leg": (
        "leg at {point} under 30°",
        "The leg at {point} lies at {angle_deg:1} from the horizontal and pulls up to {tension_kg:up} "
        "(1/sin); under 30° slings are not used unless the sling maker or a qualified person says so: longer "
        "legs, or a spreader.",
    ),
    "over its rating": (
        "{name}: {demand_kg:up} on {rating_kg:down}",
        "{name}: gets {demand_kg:up}, which is more than the {rating_kg:down} it is rated for ({basis}).",
    ),
    "not compared": (
        "{count} not compared with what they get",
        "Not compared with what it gets: {names:and}; the reasons stand in the table from the hook down.",
    ),
    "rating over date": ("{name}: {why}", "{name}: {why}."),
    "over the hoist": (
        "more than {name} is rated for",
        "Everything on the hook, {gross_kg:up}, is more than the rating of {name} ({rating}).",
    ),
    "over the hoist by a factor": (
        "more than {name} is rated for, a dynamic factor counted",
        "Everything on the hook times {factor}, {gross_kg:up}, is more than the rating of {name} ({rating}).",
    ),
    "over the planning share": "Everything on the hook is more than {planning_share} of the rating of "
    "{name}: the shop plans such a lift in writing.",
    "hoist not rated": ("{name}: no rating", "{name}: {why}."),
    "load reaches a limit": (
        "the load alone reaches a limit",
        "The load alone, {load_kg:up}, reaches this limit of {limit_kg:down}: {why}.",
    ),
    "point blocked": ("{point} blocked", "{point} is used and {why}."),
    "nobody looked what blocks": "Nobody looked whether anything covers {points:and}.",
    "edge not protected": (
        "over an edge, not protected: {what}",
        "Runs over an edge without protection: {what}.",
    ),
    "edges nobody looked": "Nobody looked whether a sling or chain runs over an edge, or with what it is "
    "protected there.",
    "edge protection nobody looked": "Runs over an edge, and nobody looked whether it is protected there: "
    "{what}.",
    "landing place over": (
        "{place}: {load_kg:up} on {rating_kg:down}",
        "Landing place {place}: gets {load_kg:up}, which is more than the {rating_kg:down} it is rated for "
        "({by}).",
    ),
    "landing place not rated": "Landing place {place}: {why}.",
    "thread too short": (
        "{point}: thread engaged {engaged_m} for {size_m}",
        "{point}: {thread} is engaged by {engaged_m}, {times} times its size; the figure to compare with is "
        "1.5 times.",
    ),
    "thread nobody looked": "Nobody looked how far the thread is engaged at {points:and}; to compare with: "
    "1.5 times its size.",
    "landing not compared": "Landing place {place}: rated {rating_kg:down} ({by}), and the load has no upper "
    "figure to compare.",
    "headroom": "{missing_m} of height are missing.",
}
# The figure with its state and what it rests on.
_FIGURE: _Words = {
    "serial outside": (
        "serial {serial} is outside of what is recorded for {names:and}",
        "Serial {serial} is outside of what is recorded for {names:and} ({ranges}): these figures may be of "
        "another machine.",
    ),
    "expected": ("hook should read {best_kg:doubt}, {state}", "What the hook should read rests on {rests}."),
    "figures disagree": (
        "figures disagree: {figures}",
        "These figures cannot all be true: {figures}. Until somebody weighs again or chooses, the heaviest "
        "that one of them allows counts.",
    ),
    "more figures disagree": (
        "figures disagree: {figures}; and {more} more",
        "These figures cannot all be true: {figures}; and {more} more. Until somebody weighs again or "
        "chooses, the heaviest that one of them allows counts.",
    ),
    "many disagree": (
        "{count} more sets of figures disagree",
        "{count} more sets of figures cannot all be true. Look the figures up, and weigh again.",
    ),
    "many disagree about": (
        "{count} more sets of figures disagree, all about {figures}",
        "{count} more sets of figures cannot all be true. In every one of them stands, among others, "
        "{figures}: look that up first.",
    ),
    "missing somewhere": (
        "{gap_kg:up} are missing somewhere in {where}: if here, up to {most_kg:up}",
        "{gap_kg:up} are missing somewhere in {where}: if they are in what is lifted here, it weighs up to "
        "{most_kg:up} without fluid.",
    ),
    "no limit while they disagree": (
        "if what is missing in {where} is here, no upper figure",
        "Figures in {where} disagree: if what is missing there is in what is lifted here, it has no upper "
        "figure.",
    ),
    "zeroed with gear": (
        "cell zeroed with the gear on",
        "The cell is zeroed with the gear on: it shows the piece alone, and {gear_kg:1} of gear hang on the "
        "hoist besides.",
    ),
    "zeroing nobody said": "Nobody said whether the cell was zeroed with the gear on: these readings are for "
    "a cell zeroed empty. Zeroed with the gear on it shows {gear_kg:1} less at every one of them.",
    "zeroed with gear, gear not weighed": (
        "cell zeroed with the gear on",
        "The cell is zeroed with the gear on: it shows the piece alone, and the gear, which nobody weighed, "
        "hangs on the hoist besides.",
    ),
    "zeroing nobody said, gear not weighed": "Nobody said whether the cell was zeroed with the gear on: "
    "these readings are for a cell zeroed empty. Zeroed with the gear on it shows less at every one of them, "
    "by what the gear weighs.",
    "look again": ("look again above {above_kg:up} or below {below_kg:down}",),
    "look again below": ("look again below {below_kg:down}",),
    "stop": ("stop at {at_kg:down}",),
}
# What is not known.
_NOT_KNOWN: _Words = {
    "no mass": (
        "no mass for {names:and}",
        "No mass for {names:and}: every figure is 'at least', or refused.",
    ),
    "range given": (
        "range given for this question: {name}",
        "{name} taken as {low_kg} to {high_kg} for this question: nobody weighed it.",
    ),
    "range inferred": ("{name} {rests_on}", "Nobody weighed {name}: {low_kg} to {high_kg}, {rests_on}."),
    "equal legs": (
        "no leg length is recorded: counted with equal legs of {length_m:up} and longer",
        "Nobody recorded a leg length. The figures are the largest of equal legs of {length_m:up}, with "
        "which no leg lies flatter than 30°, of longer ones, and of legs that hang it level with none "
        "flatter; shorter legs pull harder, and legs of different lengths share differently. Measure and "
        "write them.",
    ),
    "leg lengths fitted": (
        "no length is recorded for {legs:and}",
        "Nobody recorded how long the legs at {legs:and} are. They are counted as long as it takes to hang "
        "level, and with {longest_m:up} like the longest that is recorded; the larger figure stands.",
    ),
    "plan lifted": (
        "{name} planned with {high_kg:up}, {without_kg:up} without {says}",
        "{name} is planned with {high_kg:up} each, {without_kg:up} without {says}. It counts for what "
        "carries the load, and not for what the hook should read.",
    ),
    "scatter not known": (
        "scatter of {name} not known",
        "{name}: {weighed} were weighed together, {here} are counted here, and how far one may be off their "
        "mean is not recorded: the doubt is that of the mean. Weigh it alone, or record 'scatter'.",
    ),
    "other half at least": ("{name} is only 'at least'", "{name} is 'at least': no mass for {names:and}."),
    "nobody looked": ("nobody looked: {what}", "Nobody looked: {what}."),
    "not known": "{why}",
    "cell error not known": "The error of the cell is not known: no reading can be named at which to look "
    "again.",
    "not known for the stop": (
        "stop may be lower: {count} not known",
        "Not known for the stop figure, which may be lower still: {what}.",
    ),
    "no gap recorded": (
        "nothing recorded as unknown",
        "Nothing here is recorded as unknown; that does not show that nothing is.",
    ),
    "standing not known": "Whether it stands when the legs go slack cannot be said: {why} Nothing is "
    "unhooked until it is seen to stand.",
    "nothing to hold before the last tie": "What the hook should hold before the last tie comes out cannot "
    "be named: the load has no upper figure.",
    "swing not known": "How it swings when it lets go cannot be said: {why}",
}
# Only among the reasons: what a reading means, landing, breaking loose.
_REASON: _Words = {
    "edge protected": "Runs over an edge, protected by {by}: {what}.",
    "stop reached": "Stop: {seen_kg} reaches {at_kg:down} ({why}).",
    "reads too low": "It reads {least_kg:down} or more under what the load should weigh, at most "
    "{most_kg:up}: part of it is carried by something else, or a piece stayed behind, or the cell does not "
    "read everything below it.",
    "reads too low, at least": "It reads {least_kg:down} or more under what the load should weigh, how much "
    "more nobody knows: part of it is carried by something else, or a piece stayed behind, or the cell does "
    "not read everything below it.",
    "something else still carries": "May still carry part of it: {what}.",
    "reads too high": "It reads {least_kg:down} to {most_kg:up} ({least_n} to {most_n}) over what the load "
    "should weigh.",
    "could hold that": "Still open and able to hold that: {ties}.",
    "or nobody listed it": "Or something nobody listed: fastened, stuck, or lifted along with it.",
    "excess not told": "An excess cannot be told from the missing mass of {names:and}.",
    "still open": "Still open: {ties}.",
    "inside what it may weigh": "Inside what the load may weigh; that does not show that everything is "
    "loose, nor that nothing else carries.",
    "may have stayed behind": "{name} may not be on the hook.",
    "may have run out": "{name}: may have run out.",
    "may be zeroed away": "{name}: the cell may have been zeroed with it on, or it hangs above the cell.",
    "may still be on": "{name} ({why}) may still be on.",
    "nothing holds": "Nothing holds {joint}, says {by}.",
    "job closed": "Job {job} was closed on {on}.",
    "stands": "Landing: set down on {face} it stands as the legs go slack, and goes over at {tips_deg:down} "
    "towards {towards}. Slacken, look that it stands, then unhook.",
    "lands low side first": "It hangs tilted by {tilt_deg:up}: the {side} side touches first, and it turns "
    "down about that edge.",
    "hook off plumb": "Breaking loose: drawn up while the load is still held, the hook stands {off_m:up} "
    "{towards} of plumb over the centre (up to {off_high_m:up} by the doubt of centre and leg lengths). When "
    "it lets go the half swings that way: {off_m:up} at its centre, up to twice that before it comes back, "
    "and it turns by {tilt_deg:up}{joint}.",
    "hook plumb": "Breaking loose: the hook stands plumb over the centre; by the doubt of centre and leg "
    "lengths it may be up to {off_high_m:up} off, and the half may swing by that much when it lets "
    "go{joint}.",
    "hold before the last tie": "Before the last tie comes out the hook should hold {low_kg:down} to "
    "{high_kg:up}, steady: with less it drops, with more it jumps.",
}
KINDS: Mapping[str, Saying] = {
    kind: Saying(rank, "", words) if isinstance(words, str) else Saying(rank, *words)
    for rank, kinds in zip(
        Rank, (_TURNS_OVER, _TIES, _ENERGY, _GEAR, _FIGURE, _NOT_KNOWN, _REASON), strict=True
    )
    for kind, words in kinds.items()
}


def rank_of(notice: Notice) -> Rank:
    """Where a notice stands."""
    return KINDS[notice.kind].rank


def ordered(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """Every notice once, in the one order; in each place what is beyond a limit first, else as they came.

    Raises
    ------
    KeyError
        A kind that has no row in `KINDS`.
    """
    return tuple(sorted(once(notices), key=lambda one: (rank_of(one), one.kind not in FOREMOST)))


# First of their rank: it goes over with nothing slackened or doubted, or carries more than it is rated for.
FOREMOST = (
    "turns over",
    "nothing-holds-back",
    "cannot meet",
    "over its rating",
    "line-over-rating",
    "over the hoist",
    "over the hoist by a factor",
    "load reaches a limit",
    "landing place over",
    "edge not protected",
)
MOST_SHORT = 3  # short forms in one first line; the rest stands among the reasons


def first_lines(notices: Sequence[Notice], *, first: str = "kg") -> list[tuple[Rank, str]]:
    """One short line for each place in the order that has something to say.

    Parameters
    ----------
    notices : sequence of Notice
        Ordered.
    first : str
        kg or lb.
    """
    lines = []
    for rank in Rank:
        shorts = [
            short_words(one, first=first) for one in notices if rank_of(one) is rank and KINDS[one.kind].short
        ]
        if not shorts:
            continue
        more = len(shorts) - MOST_SHORT
        text = "; ".join(shorts[:MOST_SHORT]) + (f"; and {more} more below" if more > 0 else "")
        lines.append((rank, f"{text[0].upper()}{text[1:]}."))
    return lines


def short_words(notice: Notice, *, first: str = "kg") -> str:
    """What stands of one notice in a first line; empty where it only stands among the reasons."""
    saying = KINDS.get(notice.kind)
    return said(saying.short, _facts(notice, first), first=first) if saying else ""


def _facts(notice: Notice, first: str) -> Mapping[str, Fact]:
    return facts_told(notice, lambda one: notice_words(one, first=first))


def reasons(notices: Sequence[Notice], *, first: str = "kg", below: Rank = Rank.TURNS_OVER) -> list[str]:
    """Every notice with its whole sentence and its source, in the one order.

    Parameters
    ----------
    notices : sequence of Notice
        Ordered.
    first : str
        kg or lb.
    below : Rank
        From this place in the order on.
    """
    return list(
        dict.fromkeys(
            notice_words(one, first=first)
            for one in notices
            if rank_of(one) >= below and KINDS[one.kind].long
        )
    )


# What a sheet prints in boxes of its own.
IN_BOXES = ("expected", "look again", "look again below", "stop")


def beside_the_figure(notices: Iterable[Notice]) -> list[Notice]:
    """What belongs to the figure itself besides the boxes of a sheet: another serial, figures at odds."""
    return [one for one in notices if rank_of(one) is Rank.FIGURE and one.kind not in IN_BOXES]


def notice_words(notice: Notice, *, first: str = "kg") -> str:
    """The whole sentence of one notice, with who says so; what only stands in or beside others, as it is."""
    if notice.kind in CLAUSES:
        return clause(CLAUSES, notice, first=first)
    saying = KINDS[notice.kind]
    text = said(saying.long or saying.short, _facts(notice, first), first=first)
    text = f"{text[0].upper()}{text[1:]}"
    return f"{text} [{notice.source}]" if notice.source else text
