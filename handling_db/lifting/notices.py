"""What stands first on every answer about a lift, turn, joint or reading: one order, one table of kinds.

To say something new: return a `Notice` of a new kind from the calculation and give the kind a row in `KINDS`.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum
from typing import NamedTuple

from handling_db.quantities.notice import Notice, once


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


T, I, E, G, F, N, R = Rank  # noqa: E741

KINDS: dict[str, Saying] = {
    # 1. It will turn over, or nothing holds it.
    "turns over": Saying(
        T,
        "IT WILL TURN OVER",
        "It will turn over about {about}, {under} its centre of gravity: other points, or something "
        "that keeps it from turning.",
    ),
    "may turn over": Saying(
        T,
        "IT MAY TURN OVER",
        "Within what is known of it it may turn over: {about} may be {under} its centre of gravity.",
    ),
    "turns over once slack": Saying(
        T,
        "turns over once a leg slackens",
        "Held upright by taut legs only: a centre {shift_m:down} further to the side, or a tilt of "
        "{shift_deg:1}, slackens a leg, and it turns over about {about}, {under} its centre of gravity.",
    ),
    "may hang tilted": Saying(
        T,
        "it may hang tilted by {tilt_deg:up}",
        "Within the doubt of masses, places and lengths it may hang tilted by up to {tilt_deg:up}.",
    ),
    "goes slack": Saying(
        T,
        "slack: {legs:and}",
        "Slack: {legs:and}; the other legs carry everything.",
    ),
    "may go slack": Saying(
        T,
        "may go slack: {legs:and}",
        "Within the doubt of the centre these legs may go slack: {legs:and}.",
    ),
    "cannot hold": Saying(
        T,
        "these legs do not hold it as asked",
        "Hook plumb over the centre, these legs do not hold it in the attitude that was asked for.",
    ),
    "hangs tilted": Saying(
        T,
        "it will hang tilted by {tilt_deg:up}",
        "Left to itself it comes to rest tilted by {tilt_deg:up}{low}.",
    ),
    "does not stand": Saying(
        T,
        "it does not stand where it is set down",
        "Set down on {face} it does not stand: the centre is {outside_m} outside the face. "
        "When the legs go slack it goes over. Nothing is unhooked until something else holds "
        "it.",
    ),
    "may not stand": Saying(
        T,
        "it may not stand where it is set down",
        "Set down on {face} it may not stand: the centre may be {outside_m} outside the face,"
        " within what is known of it. Nothing is unhooked until it is seen to stand with the "
        "legs slack.",
    ),
    "must not rest": Saying(
        T,
        "it must not rest on {face}",
        "It must not rest on {face}: so the record says.",
    ),
    # 2. Temporary ties in, and ties open.
    "temporary ties in": Saying(
        I,
        "job {job}: temporary, still in: {ties}",
        "Job {job}, serial {serial}: still in for the time being: {ties}. Counted here as in.",
    ),
    "temporary ties in, not applied": Saying(
        I,
        "job {job}: temporary, still in: {ties}",
        "Job {job}, serial {serial}: still in for the time being: {ties}. Nobody said that "
        "this is that unit: if it is, ask with that job, and what it has out and off counts "
        "too.",
    ),
    "ties open": Saying(
        I,
        "{count} ties not out",
        "Not out, as far as anybody wrote down: {ties}.",
    ),
    "ties nobody looked for": Saying(
        I,
        "nobody looked: {ties}",
        "Nobody looked for: {ties}.",
    ),
    "nobody looked what holds": Saying(
        I,
        "nobody looked what holds {joint}",
    ),
    "not all ties listed": Saying(
        I,
        "",
        "Nobody says that all ties of {joint} are listed: look for others.",
    ),
    "tie out before its turn": Saying(
        I,
        "",
        "{tie} is out, but {first}, which comes first, is not.",
    ),
    "joint not listed": Saying(
        I,
        "joint {joint} crossed and not listed",
        "Joint {joint} is crossed by this lift and not listed under 'parts joints'.",
    ),
    "joint not recorded": Saying(
        I,
        "joint {joint} not recorded",
        "Joint {joint} is not recorded: what holds there nobody knows.",
    ),
    "no job": Saying(
        I,
        "",
        "No job is given: nothing counts as out, tick the ties by hand.",
    ),
    # 3. Stored energy.
    "stored energy": Saying(
        E,
        "stored energy: {what}",
        "Stored energy in {about} ({status}): {text}",
    ),
    # 4. Gear beyond its rating, or not compared.
    "flat leg": Saying(
        G,
        "leg at {point} under 30°",
        "The leg at {point} lies at {angle_deg:1} from the horizontal and pulls up to "
        "{tension_kg:up} (1/sin); under 30° slings are not used unless the sling maker or a qualified person "
        "says so: longer legs, or a spreader.",
    ),
    "over its rating": Saying(
        G,
        "{name}: {demand_kg:up} on {rating_kg:down}",
        "{name}: gets {demand_kg:up}, which is more than the {rating_kg:down} it is rated for ({basis}).",
    ),
    "not compared": Saying(
        G,
        "no rating to compare: {names:and}",
        "No rating to compare with: {names:and}.",
    ),
    "rating over date": Saying(
        G,
        "{name}: {why}",
        "{name}: {why}.",
    ),
    "over the hoist": Saying(
        G,
        "more than {name} is rated for",
        "Everything on the hook, {gross_kg:up}, is more than the rating of {name} ({rating}).",
    ),
    "over the planning share": Saying(
        G,
        "",
        "Everything on the hook is more than {planning_share} of the rating of {name}: the "
        "shop plans such a lift in writing.",
    ),
    "hoist not rated": Saying(
        G,
        "{name}: no rating",
        "{name}: {why}.",
    ),
    "load reaches a limit": Saying(
        G,
        "the load alone reaches a limit",
        "The load alone, {load_kg:up}, reaches this limit of {limit_kg:down}: {why}.",
    ),
    "point blocked": Saying(
        G,
        "{point} blocked",
        "{point} is used and {why}.",
    ),
    "nobody looked what blocks": Saying(
        G,
        "",
        "Nobody looked whether anything covers {points:and}.",
    ),
    "edge not protected": Saying(
        G,
        "over an edge, not protected: {what}",
        "Runs over an edge without protection: {what}.",
    ),
    "edges nobody looked": Saying(
        G,
        "",
        "Nobody looked whether a sling or chain runs over an edge, or with what it is protected there.",
    ),
    "edge protection nobody looked": Saying(
        G,
        "",
        "Runs over an edge, and nobody looked whether it is protected there: {what}.",
    ),
    "landing place over": Saying(
        G,
        "{place}: {load_kg:up} on {rating_kg:down}",
        "Landing place {place}: gets {load_kg:up}, which is more than the {rating_kg:down} it"
        " is rated for ({by}).",
    ),
    "landing place not rated": Saying(
        G,
        "",
        "Landing place {place}: {why}.",
    ),
    "thread too short": Saying(
        G,
        "{point}: thread engaged {engaged_m} for {size_m}",
        "{point}: {thread} is engaged by {engaged_m}, {times} times its size; the figure to "
        "compare with is 1.5 times.",
    ),
    "thread nobody looked": Saying(
        G,
        "",
        "Nobody looked how far the thread is engaged at {points:and}; to compare with: 1.5 times its size.",
    ),
    "landing not compared": Saying(
        G,
        "",
        "Landing place {place}: rated {rating_kg:down} ({by}), and the load has no upper figure to compare.",
    ),
    "headroom": Saying(
        G,
        "",
        "{why}",
    ),
    # 5. The figure with its state and what it rests on.
    "expected": Saying(
        F,
        "hook should read {best_kg:doubt}, {state}",
        "What the hook should read rests on {rests}.",
    ),
    "look again": Saying(
        F,
        "look again above {above_kg:up} or below {below_kg:down}",
    ),
    "look again below": Saying(
        F,
        "look again below {below_kg:down}",
    ),
    "stop": Saying(
        F,
        "stop at {at_kg:down}",
    ),
    # 6. What is not known.
    "no mass": Saying(
        N,
        "no mass for {names:and}",
        "No mass for {names:and}: every figure is 'at least', or refused.",
    ),
    "range given": Saying(
        N,
        "range given for this question: {name}",
        "{name} taken as {low_kg} to {high_kg} for this question: nobody weighed it.",
    ),
    "other half at least": Saying(
        N,
        "",
        "{name} is 'at least': no mass for {names:and}.",
    ),
    "nobody looked": Saying(
        N,
        "nobody looked: {what}",
        "Nobody looked: {what}.",
    ),
    "not known": Saying(
        N,
        "",
        "{why}",
    ),
    "not known for the stop": Saying(
        N,
        "",
        "For the stop figure: {what}.",
    ),
    "no gap recorded": Saying(
        N,
        "nothing recorded as unknown",
        "Nothing here is recorded as unknown; that does not show that nothing is.",
    ),
    "standing not known": Saying(
        N,
        "",
        "Whether it stands when the legs go slack cannot be said: {why} Nothing is unhooked "
        "until it is seen to stand.",
    ),
    "nothing to hold before the last tie": Saying(
        N,
        "",
        "What the hook should hold before the last tie comes out cannot be named: the load "
        "has no upper figure.",
    ),
    "swing not known": Saying(
        N,
        "",
        "How it swings when it lets go cannot be said: {why}",
    ),
    # Only among the reasons: landing, breaking loose.
    "nothing holds": Saying(
        R,
        "",
        "Nothing holds {joint}, says {by}.",
    ),
    "job closed": Saying(
        R,
        "",
        "Job {job} was closed on {on}.",
    ),
    "stands": Saying(
        R,
        "",
        "Landing: set down on {face} it stands as the legs go slack, and goes over at "
        "{tips_deg:down} towards {towards}. Slacken, look, shake by hand, then unhook.",
    ),
    "lands low side first": Saying(
        R,
        "",
        "It hangs tilted by {tilt_deg:up}: the {side} side touches first, and it turns down about that edge.",
    ),
    "hook off plumb": Saying(
        R,
        "",
        "Breaking loose: with all tight legs straight and the load still held as it is, the "
        "hook stands {off_m:up} {towards} of plumb over the centre (up to {off_high_m:up} by "
        "the doubt of the centre). When it lets go the half swings that way: {off_m:up} at "
        "its centre, up to twice that before it comes back, and it turns by "
        "{tilt_deg:up}{joint}.",
    ),
    "hook plumb": Saying(
        R,
        "",
        "Breaking loose: the hook stands plumb over the centre; by the doubt of the centre it"
        " may be up to {off_high_m:up} off, and the half may swing by that much when it lets "
        "go{joint}.",
    ),
    "hold before the last tie": Saying(
        R,
        "",
        "Before the last tie comes out the hook should hold {low_kg:down} to {high_kg:up}, "
        "steady. With less it drops onto what is left, with more it jumps: each kilogram over"
        " is a push upwards that nothing holds.",
    ),
}


def rank_of(notice: Notice) -> Rank:
    """Where a notice stands."""
    return KINDS[notice.kind].rank


def ordered(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """Every notice once, in the one order; among equals as they came.

    Raises
    ------
    KeyError
        A kind that has no row in `KINDS`.
    """
    return tuple(sorted(once(notices), key=rank_of))
