"""What a planned job has to say about its steps: one table of kinds, with order, words, remedy."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from handling_db.lifting.said.notices import Rank, notice_words
from handling_db.quantities.notice import Notice, facts_told
from handling_db.quantities.sentence import said


class StepSaying(NamedTuple):
    """Where a kind stands, its words, and what to do about it."""

    rank: Rank
    words: str
    remedy: str = ""


_HOLD_IT = (
    "Hook it on or set it on something in a step before, take it off in this step, or record the tie "
    "that holds it (a piece that rests by its own weight: a tie 'weight' with 'lets go')."
)

# Of a kind its words, or those and what to do about it.
_SAID: Mapping[Rank, Mapping[str, str | tuple[str, str]]] = {
    Rank.TURNS_OVER: {
        "held by nothing": ("with this step {pieces:and}, {best_kg:1}, is held by nothing.", _HOLD_IT),
        "held by nothing, not weighed": ("with this step {pieces:and} is held by nothing.", _HOLD_IT),
        "perhaps held by nothing": (
            "perhaps {pieces:and} is held by nothing from here on: nobody looked at {ties:and}.",
            "Look at it before this step and record it.",
        ),
        "does not stand": (
            "{body} does not stand on {on}: its centre is {outside_m:up} outside.",
            "Hold it by the hook or steady it before this step, set it on another face or stand, or take it "
            "apart in another order.",
        ),
        "may not stand": (
            "{body} may not stand on {on}: within what is known of it its centre may be {outside_m:up} "
            "outside.",
            "Hold it by the hook or steady it before this step, or weigh what is not known.",
        ),
        "narrow": (
            "{body} then tips at {tips_deg:down} towards {towards}; before it was {before_deg:down}. Narrow "
            "is below {least_deg} ({whose}).",
            "Steady it at the step before.",
        ),
        "perhaps narrow": (
            "{body} perhaps tips at {tips_deg:down}: it depends on ties that nobody looked at, {ties:and}. "
            "Narrow is below {least_deg} ({whose}).",
            "Look at them, or steady it at the step before.",
        ),
        "steady first": "steady {body} before step {step}.",
        "goes over by itself": (
            "goes over by itself from {first_deg:down} on, and nothing is recorded to hold it back.",
            "Record 'hold back' in the turn of the lift group, or write 'steadied by' into the step.",
        ),
        "goes over, held back": "goes over by itself from {first_deg:down} on; held back by {by}, which is "
        "not worked out.",
        "goes over, held by line": "goes over by itself from {first_deg:down} on; held back by {line}: have "
        "it taut before.",
        "turn without figures": "no figures for the turn: {why}",
        "leg goes slack": (
            "with this lift the legs at {points:and} go slack.",
            "Use other points, or take off what is in the way.",
        ),
        "turns over on the hook": (
            "{lift}: it will turn over on the hook.",
            "Use other points, or something that keeps it upright.",
        ),
        "may turn over on the hook": (
            "{lift}: within what is known of it, it may turn over on the hook.",
            "Use other points, or something that keeps it upright.",
        ),
        "truck tips forward": (
            "{name} tips forward with it: its rear axle leaves the floor.",
            "Use another truck.",
        ),
        "goes over on the way": (
            "{body} goes over by itself on {way}, which slopes by {slope_deg}.",
            "Go another way, or tie it down.",
        ),
        "narrow on the way": (
            "{body} tips at {tips_deg:down} more on the slope of the way, {slope_deg}. Narrow is below "
            "{least_deg} ({whose}).",
            "Steady it.",
        ),
    },
    Rank.TIES: {
        "tie still across": (
            "{what} is to part with {ties:and} still across; it stays one body.",
            "Take them out in a step before.",
        ),
        "perhaps still across": (
            "at {joint} nobody looked at {ties:and}: perhaps still across.",
            "Look before the hook takes the load.",
        ),
        "out before its first": (
            "out before its turn: {tie}; first comes {first}.",
            "Change the order of the steps, or correct 'after' in the joint.",
        ),
        "perhaps out before its first": (
            "perhaps out before its turn: {tie}; nobody looked at {first}, which comes first.",
            "Look at it.",
        ),
        "temporary tie left in": (
            "{tie} is still in at the end, across {joint}.",
            "Add a step that takes it out, and count them.",
        ),
        "temporary tie not in": ("temporary tie {tie} is not in here.", "Correct the order of the steps."),
        "on temporary ties alone": "{ties:and} alone carry {body}, at most {most_kg:up}: a person judges "
        "whether they do.",
        "bolts pull in the turn": "in the turn one bolt of the joint is pulled with up to {most_n}; grade "
        "and fit are for a person.",
        "tie out already": ("{tie} of {joint} is out already.", "Leave it out of this step."),
        "tie in already": ("{tie} of {joint} is in already.", "Leave it out of this step."),
        "ties not in again": (
            "at the end these are not in again: {ties:and}.",
            "Add the steps that put them in.",
        ),
        "not closed again": ("at the end {joint} is not closed again.", "Add the step that closes it."),
        "not on again": (
            "at the end these are not on again: {pieces:and}.",
            "Add the steps that put them on.",
        ),
        "parted already": ("{joint} is parted already.", "Leave this step out, or correct the order."),
        "off already": ("{pieces:and} is off already.", "Leave it out of this step, or correct the order."),
        "on already": ("{pieces:and} is on already.", "Leave it out of this step, or correct the order."),
        "not so many on": (
            "{asked} of {pieces:and} come off here, and {left} are on.",
            "Correct the quantity or the order.",
        ),
        "not so many off": (
            "{asked} of {pieces:and} go on here, and {left} are off.",
            "Correct the quantity or the order.",
        ),
        "hook on already": ("the hook holds {lift} already.", "Leave this step out."),
        "hook not on": ("no hook holds {lift}.", "Add 'do: hook on' before, or name another lift."),
        "set down what": (
            "what is set down is not told: {hooks} hooks hold something.",
            "Write 'of': the way to the piece.",
        ),
        "cannot be done": ("this step cannot be followed: {why}", "Correct the step."),
        "no turn recorded": ("{lift} records no turn.", "Write 'turn' into the lift group."),
    },
    Rank.GEAR: {
        "over its rating": (
            "{name} is asked {asked_kg:up} and rated {rated_kg:down}.",
            "Take something off first, or use another.",
        ),
        "over once it has to break loose": (
            "{name} reads up to {reading_kg:up}, and {loose_kg:up} where it breaks loose ({part_share} "
            "more); it is rated {rated_kg:down}.",
            "Take something off first (see what comes off first), or use another hoist.",
        ),
        "over its plate": (
            "{name}, forks from {side}: {asked_kg:up} beside {rated_kg:down} ({basis}), and no side is "
            "better.",
            "Take something off first, or use another truck; its plate governs.",
        ),
        "over from some sides": "{name} is over its plate with the forks from {sides:and}; least is asked "
        "from {best}.",
        "truck without upper figure": (
            "{name}: no upper figure for what it carries without {missing:and}.",
            "Weigh it, or give a range.",
        ),
        "slope too steep": (
            "{way} rises {slope_deg}, and {name} is recorded for at most {most_deg}.",
            "Go another way, or use another mover.",
        ),
        "does not go through": (
            "{way}: it does not go through {openings:and}.",
            "Go another way, turn it, or set it lower.",
        ),
        "no such way": ("{shop} records no way {way}.", "Name a way of this shop, or add it to its record."),
        "inspection was due": "{name}: its inspection was due on {due}.",
        "turn over the hoist": (
            "in the turn the hook reads up to {most_kg:up} at {at_deg}; the hoist is rated {rated_kg:down}.",
            "Take something off first, or use another hoist.",
        ),
        "no headroom": (
            "{lift}: {short_m:up} too little height under the hook.",
            "Shorter legs, a lower stand, another hoist.",
        ),
        "pick point covered": (
            "{point} is covered: {words}.",
            "Take off what covers it first, or use other points.",
        ),
        "must not rest": ("{pieces:and} must not rest on {face}: recorded.", "Set it on another face."),
        "no such face": (
            "no face {face} is recorded on {pieces:and}.",
            "Correct the face, or record it on the component.",
        ),
        "face is not down": (
            "{face} does not look down in the attitude of this step.",
            "Correct the face or the attitude.",
        ),
        "used twice": ("{name} is used for two things at a time.", "Clear it first, or use another."),
        "not in this shop": (
            "{name} is not recorded at {shop}.",
            "Use what the shop has, borrow it, or add it to the shop's record.",
        ),
        "comes along": (
            "{lift} is worked out without {pieces:and}, which comes along here.",
            "Take it off in a step before, or name a lift that takes it.",
        ),
        "stays behind": (
            "{lift} takes {pieces:and}, which stays behind here.",
            "Correct the lift group or the steps.",
        ),
        "lift cannot be worked out": ("{lift} cannot be worked out: {why}", "Correct it."),
        "other hoist": "{lift} is recorded on a hoist that this shop does not have; compared with {name}.",
        "lacks gear": "{wanted}: {words}",
    },
    Rank.FIGURE: {
        "no upper figure": (
            "{lift}: at least {at_least_kg:down}; no upper figure without {missing:and}.",
            "Weigh it, or give a range.",
        ),
    },
    Rank.NOT_KNOWN: {
        "not gone through": (
            "more than {most} pieces of {body} hang on ties that nobody looked at, {ties:and}: how it "
            "stands without some of them is not worked out.",
            "Look at the ties, or steady it at the step before.",
        ),
        "how it stands": ("how {pieces:and} stands at the start.", "Write 'starts'."),
        "where it rests": ("what {pieces:and} rests on afterwards.", "Write 'rests'."),
        "which way up": ("which way up {pieces:and} is.", "Write 'attitude', or the face that is down."),
        "where it goes": ("where {pieces:and} is set down.", "Write 'rests'."),
        "by hands or hook": ("whether {pieces:and} comes off by hand or on the hook.", "Write 'by'."),
        "which side keeps it": (
            "in which side of {joint} {pieces:and} stays: counted in neither.",
            "Write 'stays with' at the tie.",
        ),
        "no fluid recorded": ("what fluid is in {pieces:and}.", "Record its fluid, or write 'oil left'."),
        "no hoist recorded": ("on which hoist {lift} hangs.", "Write 'mover' into the lift group."),
        "no rating recorded": ("what {name} is rated for.", "Read its plate and record it."),
        "ratings not compared": (
            "what these are rated for in {lift}: {names:and}.",
            "Read their tags and record them.",
        ),
        "some of several stand": (
            "how the {pieces:and} taken off here stand: some of several count as put aside.",
            "Look at them.",
        ),
        "which way it goes": (
            "on which way {mover} carries it: floors, doors and slope are not compared.",
            "Write 'route'.",
        ),
        "move not worked out": ("what {mover} carries is not worked out: {why}", "Record what is missing."),
        "no floor limit": ("what {floor} takes.", "Read its sign and record it."),
        "openings not compared": (
            "how large it is as it travels, or how high: {openings:and} on {way} are not compared.",
            "Measure before it moves.",
        ),
        "no slope recorded": ("how steep {way} is.", "Measure it and record 'slope'."),
        "no slope of the truck": ("how steep a slope {name} may take.", "Read its plate and record 'slope'."),
        "standing not known": ("how {body} stands: {why}", "Record the face it stands on, with its outline."),
    },
    Rank.REASON: {
        "does not reverse": "{what}",
    },
}
KINDS: Mapping[str, StepSaying] = {
    kind: StepSaying(rank, words) if isinstance(words, str) else StepSaying(rank, *words)
    for rank, kinds in _SAID.items()
    for kind, words in kinds.items()
}


def sentence(notice: Notice, *, first: str = "kg") -> str:
    """What is said, as a sentence."""
    facts = facts_told(notice, lambda one: notice_words(one, first=first))
    text = said(KINDS[notice.kind].words, facts, first=first)
    return f"{text[:1].upper()}{text[1:]}"


def remedy(notice: Notice) -> str:
    """What to do about it; empty where there is nothing to be done."""
    return KINDS[notice.kind].remedy


def in_order(notices: Iterable[Notice]) -> list[Notice]:
    """In the one order of what stands first; among equals as they came."""
    return sorted(notices, key=lambda notice: KINDS[notice.kind].rank)
