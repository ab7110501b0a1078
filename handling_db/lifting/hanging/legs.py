"""Legs of a recorded lift: what each carries in the pose in which the load comes to rest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from handling_db.lifting.figures import LegFigure, LegsFigure, RestFigure
from handling_db.lifting.hanging.hang import (
    TILT_ALLOWED,
    HangCase,
    LegPlace,
    hang,
    worse_of,
)
from handling_db.lifting.hanging.lengths_taken import Taken, lengths_taken
from handling_db.lifting.ratings import LegPull, PlannedLeg
from handling_db.mechanics.body import Body
from handling_db.mechanics.centre_patch import Patch
from handling_db.mechanics.hang.hanging import HangingLeg, Rest
from handling_db.mechanics.vectors import Matrix, Vector, apply, distance, length, subtract, transpose
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.quantities.notice import Notice
from handling_db.rigging.factors import Factors
from handling_db.rigging.leg_rules import FLATTEST, RuleOfThumb, by_rules, plan_angles, uneven
from handling_db.rigging.legs import LegCase, carry, level_hook

# Of legs whose lengths nobody recorded: what the shortest of them rests on.
SHORTEST = "ASME B30.9 by way of OSHA sling guidance, read in a restatement: no leg under 30°"
# Legs under 30 degrees are worked out and refused in the same line: figures, not permission.
SHOWN = "nobody: shown with the refusal"
# A lean nearer than this to the end of a line of a tag is not told from it. [deg]
LEAN_READ = 0.02


@dataclass(frozen=True, slots=True)
class Worked:
    """The legs, and what each asks of the gear in it."""

    legs: LegsFigure
    pulls: Mapping[str, LegPull]
    picks_room: tuple[tuple[str, Vector], ...]
    hook_room: Vector


def work_out(
    legs: Sequence[PlannedLeg],
    patch: Patch,
    turn: Matrix,
    load: Amount,
    body: Body,
    *,
    factors: Factors | None,
    towards: dict[int, tuple[str, str]],
    tilt_allowed: float = TILT_ALLOWED,
) -> Worked:
    """What each leg carries where the load comes to rest, and at most over all that is not exactly known.

    Parameters
    ----------
    legs : sequence of PlannedLeg
    patch : Patch
        Centre of gravity in the room. [m]
    turn : Matrix
        From the root's frame to the room.
    load : Amount
        What the legs carry, complete. [kg]
    body : Body
        Its pieces with their limits, in the room. [kg, m]
    factors : Factors, optional
        Published rules of thumb.
    towards : mapping of axis to (word, opposite word)
        Names of the directions of the root's frame.
    tilt_allowed : float
        Above it the tilt of the resting pose stands first. [deg]

    Raises
    ------
    StaticsError
        A point without a place, a leg without a length or too short, or points that cannot carry.
    """
    picks = {leg.name: place_of(leg, turn) for leg in legs}
    if len(picks) < len(legs):
        raise StaticsError("two legs go to one pick point: they count as one.")
    known = {leg.name: _length(leg) for leg in legs if leg.length_m is not None}
    high = load.upper("legs")
    # Lengths of a sling can be shortened to hang it level; a length written at its pick is as it is.
    level_too = any(not leg.as_it_is for leg in legs)
    choices = lengths_taken(picks, known, patch.at, level=level_too)
    lengths = choices[0].lengths
    found = [_placed(legs, picks, choice.lengths) for choice in choices]
    places = found[0]
    hanging = worse_of(_hangs(found, choices, patch.at, body, tilt_allowed))
    rest, worst = hanging.rest, hanging.worst
    says: list[Notice] = []
    level: LegCase | None = None
    try:
        hook = level_hook(picks, lengths, patch.at)
        level = carry(picks, hook, patch.at, high, flat_angle_stated_by=SHOWN)
    except StaticsError as error:
        says.append(Notice("not held level", {"why": str(error)}))
    else:
        says.extend(level.says)
        over = {name: lengths[name] - distance(place, hook) for name, place in picks.items()}
        says += [
            Notice("longer than level", {"leg": name, "longer_m": longer})
            for name, longer in over.items()
            if longer > 0.005 * lengths[name]
        ]
    if level is None or level.balanced:
        says.extend(rest.cautions)
    notices = (*_lengths_notices(legs, known, lengths), *hanging.notices)
    says.extend(_doubt_words(legs, places, body))
    pulls: dict[str, LegPull] = {}
    # Legs of one sling are of one kind: only then is anything known of how they stretch.
    alike = len({leg.sling.id if leg.sling else leg.name for leg in legs}) == 1
    figures = []
    flat = []
    for i, (leg, resting) in enumerate(zip(legs, rest.legs, strict=True)):
        kg = float(worst.tension_kg[i])
        best = resting.pull_high * load.best
        if level_too and level is not None and level.balanced:
            best = max(best, (level.legs[i].tension_kg or 0.0) * load.best / high)
        pull = _pull(resting, kg, high, subtract(rest.hook, picks[leg.name]), rest, turn)
        # A tag's line ends at an angle: the most that the leg may lean decides which line counts.
        most = math.degrees(float(worst.lean[i])) - LEAN_READ
        pulls[leg.name] = replace(pull, lean=max(pull.lean, most))
        slack = resting.slack and kg <= 1e-9 * high
        one = resting.share_high - resting.share_low <= 1e-9
        flattest = min(resting.from_horizontal, math.pi / 2 - float(worst.lean[i]) + math.radians(LEAN_READ))
        if leg.name in known and not resting.slack and flattest < FLATTEST - 1e-9:
            flat.append(leg.name)
        figures.append(
            LegFigure(
                point=leg.name,
                name=leg.found.point.name,
                length_m=lengths[leg.name],
                share=resting.share_high if one else None,
                share_low=min(float(worst.share_low[i]), resting.share_low),
                share_high=max(float(worst.share_high[i]), resting.share_high),
                from_horizontal=math.degrees(resting.from_horizontal),
                tension_kg=best,
                tension_high_kg=kg,
                slack=slack,
                blocked="",
                links=(),
                level_share=None if level is None else level.legs[i].solved_share,
                spread_m=places[i].spread,
                stiff_share=hanging.stiff[i] if hanging.stiff is not None and alike else None,
                taken=leg.name not in known,
            )
        )
    may_slacken = tuple(
        leg.name
        for leg, resting, low in zip(legs, rest.legs, worst.share_low, strict=True)
        if not resting.slack and low <= 0.0
    )
    return Worked(
        LegsFigure(
            legs=tuple(figures),
            hook_over_points_m=worst.hook_over,
            balanced=level is not None and level.balanced,
            slack=rest.slack,
            may_go_slack=may_slacken,
            rest=_rest(rest, turn, towards),
            rules=_rules(factors, rest, pulls, high, float(worst.tension_kg.max())),
            says=tuple(dict.fromkeys(says)),
            stability=hanging.stability,
            notices=(*notices, *_flat(flat, figures)),
        ),
        pulls,
        tuple(picks.items()),
        rest.hook,
    )


def _pull(resting: HangingLeg, most_kg: float, high: float, way: Vector, rest: Rest, turn: Matrix) -> LegPull:
    """What one leg asks of its gear at most, with its direction in the pose it comes to rest in."""
    seen = apply(rest.turn, way)  # with z up as it hangs
    level = math.hypot(seen[0], seen[1])
    lean = math.atan2(level, seen[2])
    return LegPull(
        tension_kg=most_kg,
        share=most_kg / high * math.cos(lean),
        lean=math.degrees(lean),
        direction=apply(transpose(turn), way),  # the root's frame: what points are recorded in
        heading=None if level <= 1e-9 * length(seen) else math.atan2(seen[1], seen[0]),
        slack=resting.slack,
    )


def _placed(
    legs: Sequence[PlannedLeg], picks: Mapping[str, Vector], lengths: Mapping[str, float]
) -> list[LegPlace]:
    return [
        LegPlace(leg.name, picks[leg.name], lengths[leg.name], spread_of(leg, lengths[leg.name]))
        for leg in legs
    ]


def _hangs(
    found: Sequence[Sequence[LegPlace]],
    choices: Sequence[Taken],
    centre: Vector,
    body: Body,
    tilt_allowed: float,
) -> list[HangCase]:
    """How it hangs with each choice of lengths; one that cannot hang it is left out while another can.

    Raises
    ------
    StaticsError
        None can.
    """
    hung, trouble = [], ""
    for places, choice in zip(found, choices, strict=True):
        level = None if choice.level is None else [choice.level[place.name] for place in places]
        try:
            hung.append(hang(places, centre, body, level=level, tilt_allowed=tilt_allowed))
        except StaticsError as error:
            trouble = trouble or str(error)
            if not hung:
                raise  # the first choice is the one that is shown
    return hung


def _lengths_notices(
    legs: Sequence[PlannedLeg], known: Mapping[str, float], lengths: Mapping[str, float]
) -> list[Notice]:
    """That lengths were taken because nobody recorded them, and how."""
    bare = tuple(leg.name for leg in legs if leg.name not in known)
    if not bare:
        return []
    if known:
        return [Notice("leg lengths fitted", {"legs": bare, "longest_m": max(known.values())})]
    if len(legs) == 1:
        return []  # one leg hangs plumb and carries everything, however long
    return [Notice("equal legs", {"length_m": max(lengths.values())}, SHORTEST)]


def place_of(leg: PlannedLeg, turn: Matrix) -> Vector:
    """Where the point of a leg is, z up. [m]

    Raises
    ------
    StaticsError
        Nobody recorded it.
    """
    if leg.found.at is None:
        raise StaticsError(f"the place of pick point {leg.name} in the whole is not known; write 'at'.")
    return apply(turn, leg.found.at)


def _length(leg: PlannedLeg) -> float:
    if leg.length_m is None or leg.length_m <= 0.0:
        raise StaticsError(f"the leg at {leg.name} has no length; write it at the pick, or at its sling.")
    return leg.length_m


def spread_of(leg: PlannedLeg, length: float) -> float:
    """How far a leg may be off its length: as recorded, else by what its kind of sling is made to. [m]

    References
    ----------
    .. [1] EN 818-4:1996, Table 2: legs of one chain sling differ by at most 10 mm up to 2 m, 5 mm per m above
       (read in a copy); half of it either way here. Every other leg: 1 %, at least 5 mm; common practice, no
       source.
    """
    if leg.spread_m is not None:
        return leg.spread_m
    if _one_chain(leg):
        return max(0.005, 0.0025 * length)
    return max(0.005, 0.01 * length)


def _one_chain(leg: PlannedLeg) -> bool:
    """Whether it is a leg of a chain sling with several."""
    sling = leg.sling
    several = sling is not None and sling.legs is not None and (sling.legs.number or 0) > 1
    return several and sling is not None and sling.kind == "chain sling"


def _doubt_words(legs: Sequence[PlannedLeg], places: Sequence[LegPlace], body: Body) -> list[Notice]:
    """What of lengths and places was not recorded and how it was taken; once each."""
    said = []
    taken = [(leg, place) for leg, place in zip(legs, places, strict=True) if leg.spread_m is None]
    for one, source in (
        (True, "EN 818-4:1996, Table 2, read in a copy: legs of one chain sling"),
        (False, "common practice, no source"),
    ):
        spreads = [place.spread for leg, place in taken if _one_chain(leg) is one]
        if spreads:
            said.append(Notice("leg lengths within", {"spread_m": max(spreads), "by": source}))
    if body.exact_places:
        said.append(Notice("places exact"))
    return said


def _flat(names: Sequence[str], figures: Sequence[LegFigure]) -> tuple[Notice, ...]:
    """Legs under 30 degrees: their pull by 1/sin, and the rule that refuses them."""
    found = {figure.point: figure for figure in figures}
    return tuple(
        Notice(
            "flat leg",
            {
                "point": name,
                "angle_deg": found[name].from_horizontal,
                "tension_kg": found[name].tension_high_kg,
            },
            "ASME B30.9 by way of OSHA sling guidance, read in a restatement",
        )
        for name in names
    )


def _rest(rest: Rest, turn: Matrix, towards: dict[int, tuple[str, str]]) -> RestFigure:
    low = rest.low_side
    own = None
    words = ""
    if low is not None:
        back = tuple(sum(turn[row][axis] * low[row] for row in range(3)) for axis in range(3))
        own = (back[0], back[1], back[2])
        words = direction_words(own, towards)
    return RestFigure(
        tilt=math.degrees(rest.tilt),
        low_side=own,
        low_words=words,
        slack=rest.slack,
        shares=tuple((leg.point, leg.share_low, leg.share_high) for leg in rest.legs),
        turn=rest.turn,
    )


def direction_words(vector: Vector, towards: dict[int, tuple[str, str]]) -> str:
    """The nearest axis of the root's frame in its own words: ``left``."""
    axis = max(range(3), key=lambda i: abs(vector[i]))
    return towards[axis][0 if vector[axis] > 0 else 1]


def _rules(
    factors: Factors | None, rest: Rest, pulls: Mapping[str, LegPull], high: float, most_kg: float
) -> tuple[RuleOfThumb, ...]:
    if factors is None or len(rest.legs) < 2:
        return ()
    leans = [math.radians(pull.lean) for pull in pulls.values()]
    apart = uneven(leans, plan_angles([pull.heading for pull in pulls.values()]))
    lean = max(math.pi / 2 - leg.from_horizontal for leg in rest.legs)
    rules = by_rules(factors.leg_rules, len(rest.legs), lean, high, uneven_because=apart)
    return tuple(
        replace(rule, below_statics=(rule.single_leg_rating_kg or most_kg) < most_kg) for rule in rules
    )
