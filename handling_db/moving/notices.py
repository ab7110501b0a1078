"""What is said about a move, a fixture or a shop: each kind with its words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from handling_db.carrying.words import CLAUSES as CARRYING_CLAUSES
from handling_db.carrying.words import KINDS as CARRYING
from handling_db.lifting.said.notices import notice_words as lift_words
from handling_db.quantities.notice import Notice, facts_told
from handling_db.quantities.sentence import both_units, said

KINDS: Mapping[str, str] = {
    **CARRYING,
    # What stands first.
    "gross complete": "Heaviest believable figure, everything on the forks counted.",
    "gross at least": "AT LEAST: no mass for {names:and}. There is no upper figure; weigh it.",
    "shop beside it": "Every figure beside what is recorded of the shop; the plates and tags govern.",
    "shop at least": "AT LEAST: a mass is missing, so there is no upper figure. Weigh before anything is "
    "planned.",
    # What is not known: masses, places, what nobody recorded or gave.
    "inspection over": "{name}: inspection was due on {due}.",
    "other serial": "Serial {serial} is outside of what is recorded for {name} ({ranges}): these figures may "
    "be of another machine.",
    "too steep": "The way rises by {rise_deg:1}, more than the {book} that the book of {name} states: "
    "another "
    "truck or way.",
    "not weighed": "No mass: {name}.",
    "no job named": "No job is named: build and what is off are as recorded for any unit. Open here: "
    "{jobs:and}.",
    "no pallet": "No pallet is named: figures are for the piece on its face.",
    "no packing": "No packing is recorded for it: ties, marks, size and how the load is spread are not "
    "known.",
    "place on pallet": "Where it sits on the pallet is not recorded: taken at the middle.",
    "turn on pallet": "Which way round it sits on the pallet is not recorded: taken as not turned.",
    "no slope": "No slope is recorded for the way: tip angles are for a level floor.",
    "no fork height": "The highest fork height of this move was not given.",
    "no shop": "No shop is named: every truck in the records is shown, and no floor, door or way.",
    "marks": "Nobody looked, for the marks: {marks:and}.",
    "no allowance": "{name} records no break-loose allowance: none is added.",
    "no scale": "No scale is recorded for {name}.",
    # Cautions that close an answer.
    "static only": "Static figures: braking, bumps, soft ground and oil that runs come on top and are not in "
    "them.",
    "truck not in the load per area": "The truck that carries it stands on the same floor: the load per area "
    "does not count it; its own mass and its wheels are set beside the limits that are recorded.",
    # A scale beside the paper.
    "ask: net or gross": "Is what stood on the scale net or gross: pallet, straps and chocks on it or not?",
    "ask: fluid": "Is the fluid the same: dry, drained, filled?",
    "ask: the same things": "Is everything on it that the paper counts, and nothing else?",
    "ask: the scale": "When was the scale last checked, and was it read at rest, with no edge touching?",
    "never averaged": "Nothing is averaged: the larger upper figure is planned with until it is settled.",
    # Trucks.
    "slope of the truck": "Which slope it may go on is not recorded.",
    "runs away": "The steepest slope for this truck is not recorded: on a slope a hand truck runs away.",
    "no load centre": "The centre of gravity or the footprint is not known: no load centre to look up.",
    "where on the forks": "The centre of gravity or the footprint is not known: where it sits on the forks "
    "is not.",
    "reach not recorded": "How far out {name} carries is not recorded: read its own plate row.",
    "axles not recorded": "What its axles carry is not known: {missing:and} not recorded.",
    "axles without upper figure": "What its axles carry is not known: the load has no upper figure.",
    "lean not known": "How far it may lean sideways on the forks is not known: spread, centre or deck is "
    "missing.",
    "leans": "On forks {spread_m} apart it goes over sideways at a lean of {lean_deg:down}, slope not taken "
    "off.",
    "truck not weighed": "What {name} weighs is not recorded: with its load it is not compared here.",
    "wheel not known": "What a wheel of {name} carries is not known, so no wheel is compared here.",
    # How it stands, on what, and what that takes.
    "must not rest": "It must not rest on {face}: recorded.",
    "may rest nobody wrote": "Whether it may rest on {face} is not recorded.",
    "one body if tied": "As one body only if the piece is tied to its pallet; untied it goes over on its own "
    "face first.",
    "no feet": "What touches the floor is not recorded: no load per foot.",
    "feet without centre": "The centre of gravity is not known: no load per foot.",
    "heaviest foot": "The heaviest foot beside the limit per point: {word}.",
    "looked, no rating": "Somebody looked: {name} has no rating ({by}).",
    "no footprint": "The footprint is not known: no load per area.",
    "no limit": "No limit is recorded for {name}.",
    # Fixtures.
    "never offered": "Gear without a rating is listed as seen in use; it is never the answer to which "
    "fixture to take.",
    "no fixture": "No fixture is recorded for {name}: nobody looked, which is not the same as needing none.",
    "fixture at least": "AT LEAST: no mass for {names:and}.",
    "mass and rating only": "What is compared is a mass with a rated load; not face, overhang, floor or "
    "condition.",
    "ratings and masses only": "Only ratings and masses are compared: not reach, height, angle, floor or "
    "condition.",
    # By hand.
    "under 3 kg": "Under 3 kg: ISO 11228-1 does not speak of it; often repeated it is still work for the "
    "hands.",
    "no index": "No index: {name} has no upper figure; weigh it.",
    "no index of the job": "No index of the job: {names:and} has no upper figure; weigh it.",
}

# What stands inside a sentence.
CLAUSES: Mapping[str, str] = {
    **CARRYING_CLAUSES,
    # Why a figure of the paper and a scale lie apart.
    "parts heavier": "the known parts alone are heavier",
    "paper heavier": "the paper is heavier",
    "scale heavier": "the scale is heavier",
    "left to weigh": "{names:and} would together have to weigh {low_kg:1} to {high_kg:1}",
    # What is asked of a hook, and of a floor.
    "piece alone": "piece alone",
    "piece with": "piece with {more:and}",
    "by a printed figure": "{told}",
    "figure of a source": "{printed} in {source}, {state}",
    "rigging": "rigging {rigging_kg:1}",
    "rigging not counted": "rigging not counted",
    "fluid not counted": "fluid not counted",
    "speaks of the whole": "it speaks of the whole {name}, not of what hangs here",
    "verdict of the figure": "the figure {verdict}",
    "wheels of an axle": "two wheels an axle; one wheel behind takes all of its axle, {axle_kg}",
    # Why there are no figures for how it stands.
    "no deck height": "the height of the deck of {name} is not recorded",
    "no size of it": "the size of {name} is not recorded",
    # What a fixture puts on the floor.
    "fixture feet not recorded": "what it puts on the floor is not recorded",
    "fixture feet without mass": "{told}; load per foot not known: a mass is missing",
    "fixture feet open": "{told}; {why}",
    "fixture foot": "{told}; one foot gets up to {most_kg:up} with the load {where}",
    # What a shop plans with, and what it lacks.
    "no planning": "no planning threshold is recorded",
    "planning without rating": "the shop plans up to {share} of a rating; none is recorded here",
    "planning": "the shop plans up to {share} of the rating, {limit_kg}: {where}",
    "lacks gear": "{wanted}: {words}",
    "lacks fixture": "{name}: needed for {act}, not recorded here",
    "lacks a rated one": "{word}: {shop} had {name} ({there}); none with a rating is recorded here",
    "rated for less": "{word}: {here} here, {there} at {shop}",
    "had a fixture": "{name}: {shop} had one ({standing}); not recorded here",
    "had a cell": "load cell on the hook: {shop} had one; none is recorded here, so no reading to stop at",
    "lacks a weight": "a weight: part of it has no mass, so no rating can be said to be enough",
}


def notice_words(notice: Notice, *, first: str = "kg") -> str:
    """The sentence of one notice, or its part of one; what a lift says, in the words of the lift."""
    if notice.kind not in KINDS and notice.kind not in CLAUSES:
        return lift_words(notice, first=first)
    facts = facts_told(notice, lambda one: notice_words(one, first=first))
    text = said(KINDS.get(notice.kind) or CLAUSES[notice.kind], facts, first=first)
    text = both_units(text, first=first)  # limits of a standard stand in its words
    return text if notice.kind in CLAUSES else f"{text[0].upper()}{text[1:]}"


def told(notices: Iterable[Notice], first: str = "kg") -> list[str]:
    """What several say, a sentence each."""
    return [notice_words(notice, first=first) for notice in notices]
