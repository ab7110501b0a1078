"""What the tilt seen at a trial lift says: where the centre is, what that contradicts, what to shorten."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Case, LiftQuestion, lift_group_named, work
from handling_db.lifting.figures import CAUTIONS, LiftAnswer
from handling_db.lifting.hanging.legs import place_of, spread_of
from handling_db.lifting.levelling.lengths import legs_of, pitch_of
from handling_db.lifting.ratings import PlannedLeg
from handling_db.lifting.set_down import axis_words
from handling_db.mechanics.body import Body
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.hang.level import level_lengths
from handling_db.mechanics.hang.trial_lift import (
    CentreLine,
    SeenTilt,
    centre_line,
    contradictions,
)
from handling_db.mechanics.vectors import (
    IDENTITY,
    Vector,
    add,
    apply,
    around,
    corners_of,
    dot,
    scale,
    subtract,
    transpose,
    unit,
)
from handling_db.quantities.amount import StaticsError
from handling_db.records.collection import Collection
from handling_db.weights.centre import rotation

# How well a tilt is read off with a level or a plumb line: common practice, no source. [rad]
READ_WITHIN = math.radians(0.5)
_MOST = 6  # pieces named as a single explanation


@dataclass(frozen=True, slots=True)
class TiltExplanation:
    """One piece that alone, otherwise than recorded, would put the centre on the line seen.

    Parameters
    ----------
    mass_off_kg : float or None
        More or less of its mass; None where no mass of it does it. [kg]
    place_off_m : Vector
        Or a move of its place, in the root's frame. [m]
    within_doubt : bool
        Whether that mass is inside its recorded doubt: then it explains the tilt without any contradiction.
    """

    name: str
    mass_off_kg: float | None
    place_off_m: Vector
    within_doubt: bool


@dataclass(frozen=True, slots=True)
class Shorten:
    """One leg to shorten so that it hangs level with the centre as it was seen. [m]"""

    point: str
    name: str
    by_m: float
    links: int | None


@dataclass(frozen=True, slots=True)
class SeenTiltAnswer:
    """A tilt seen beside the records.

    Parameters
    ----------
    seen, seen_within : float
        [deg]
    low : str
        The side or point that hung low, as asked.
    at, at_low, at_high : Vector or None
        Where the plumb line under the hook passes the height of the centre, in the root's frame, with its
        limits. [m]
    down : Vector or None
        Its direction in the root's frame.
    off_m : float or None
        How far the recorded centre is beside that line. [m]
    fits : bool or None
        Whether the recorded centre with its doubt reaches the line with its own; None where the records have
        no centre.
    explanations : tuple of TiltExplanation
    shorten : tuple of Shorten
    tilt_left : float or None
        That remains after shortening in whole links. [deg]
    no_figures : str
        Why there are none; empty where there are.
    """

    lift: LiftAnswer
    seen: float
    seen_within: float
    low: str
    at: Vector | None
    at_low: Vector | None
    at_high: Vector | None
    down: Vector | None
    off_m: float | None
    fits: bool | None
    explanations: tuple[TiltExplanation, ...]
    shorten: tuple[Shorten, ...]
    tilt_left: float | None
    no_figures: str
    cautions: tuple[str, ...]


def seen_tilt_answer(
    collection: Collection,
    name: str,
    low: str,
    question: LiftQuestion | None = None,
    *,
    tilt: float | None = None,
    drop: float | None = None,
    within: float = READ_WITHIN,
) -> SeenTiltAnswer:
    """What a tilt seen at a trial lift says about the centre of gravity.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the lift group; the legs have the lengths recorded or asked about.
    low : str
        The side that hung low in the words of the datum (left), or a pick point.
    question : LiftQuestion, optional
    tilt : float, optional
        Angle seen. [rad]
    drop : float, optional
        Instead: how much lower that side's outermost pick point hung than the one farthest from it. [m]
    within : float
        How well it was seen. [rad]

    Raises
    ------
    StaticsError
        A side that is none, neither an angle nor a drop; or as `work`.
    """
    case = work(collection, name, question or LiftQuestion())
    lift = answer_of(case)
    if (tilt is None) == (drop is None):
        raise StaticsError("say how far it tilted: an angle, or how much lower one side was; one of them.")
    try:
        legs = legs_of(case)
        places = [place_of(leg, case.turn) for leg in legs]
        side = _side(case, low, legs, places)
        seen = SeenTilt(_angle(places, side, drop) if tilt is None else tilt, within, side)
        line, guess = _line(case, legs, places, seen)
    except (StaticsError, ValueError) as error:
        angle = math.degrees(tilt or 0.0)
        return SeenTiltAnswer(
            lift, angle, math.degrees(within), low, *(None,) * 6, (), (), None, str(error), CAUTIONS
        )
    shorten, left = _shorten(legs, places, line)
    off, fits, explained = _beside(case, line, guess)
    back = transpose(case.turn)
    at_low, at_high = around(apply(back, corner) for corner in corners_of((line.low, line.high)))
    return SeenTiltAnswer(
        lift=lift,
        seen=math.degrees(seen.tilt),
        seen_within=math.degrees(within),
        low=low,
        at=apply(back, line.at),
        at_low=at_low,
        at_high=at_high,
        down=apply(back, line.down),
        off_m=off,
        fits=fits,
        explanations=explained,
        shorten=shorten,
        tilt_left=left,
        no_figures="",
        cautions=CAUTIONS,
    )


UPRIGHT = 0.9  # part of an axis along the vertical: it then points up or down and is no side


def sides_of(collection: Collection, name: str) -> tuple[str, ...]:
    """Words for the level directions of a lift group as it hangs, for whoever says which side was low."""
    group = lift_group_named(collection, name)
    root = collection.components[group.root]
    turn = next((rotation(one.turned) for one in root.attitudes if one.id == group.attitude), IDENTITY)
    words = axis_words(root, turn)
    return tuple(word for axis, pair in words.items() if abs(turn[2][axis]) < UPRIGHT for word in pair)


def _side(case: Case, low: str, legs: Sequence[PlannedLeg], places: Sequence[Vector]) -> Vector:
    """The level direction of the low side, z up."""
    named = {leg.name: place for leg, place in zip(legs, places, strict=True)}
    if low in named:
        middle = scale(add(*places), 1.0 / len(places))
        way = subtract(named[low], middle)
    else:
        words = axis_words(case.collection.components[case.group.root], case.turn)
        axes = {
            word: (axis, sign)
            for axis, pair in words.items()
            for word, sign in zip(pair, (1.0, -1.0), strict=True)
        }
        if low not in axes:
            sides = [word for word, (axis, _) in axes.items() if abs(case.turn[2][axis]) < UPRIGHT]
            known = ", ".join([*sides, *named])
            raise StaticsError(f"{low!r} is no side and no pick point of this lift; there are: {known}.")
        axis, sign = axes[low]
        own = (float(axis == 0) * sign, float(axis == 1) * sign, float(axis == 2) * sign)
        way = apply(case.turn, own)
    level = (way[0], way[1], 0.0)
    if math.hypot(*level) < 1e-6:
        raise StaticsError(f"{low!r} is no level direction as it hangs: name the side or point that was low.")
    return unit(level)


def _angle(places: Sequence[Vector], side: Vector, drop: float | None) -> float:
    """The tilt by how much lower one side hung: the drop over the way between the outermost points. [rad]"""
    along = [dot(place, side) for place in places]
    span = max(along) - min(along)
    if drop is None or not 0.0 <= drop < span:
        raise StaticsError(
            f"a side hangs lower by 0 to {span * 1000:.0f} mm, the way between the outermost points."
        )
    return math.asin(drop / span)


def _line(
    case: Case, legs: Sequence[PlannedLeg], places: Sequence[Vector], seen: SeenTilt
) -> tuple[CentreLine, Vector | None]:
    """The plumb line through the load, z up; and the centre by the records, if there is one."""
    lengths = [leg.length_m or 0.0 for leg in legs]
    guess = case.room.at if case.room is not None else None
    middle = scale(add(*places), 1.0 / len(places))
    line = centre_line(
        np.array(places),
        np.array(lengths),
        np.array([spread_of(leg, length) for leg, length in zip(legs, lengths, strict=True)]),
        seen,
        middle if guess is None else guess,
        (0.0, 0.0, 1.0),
    )
    return line, guess


def _shorten(
    legs: Sequence[PlannedLeg], places: Sequence[Vector], line: CentreLine
) -> tuple[tuple[Shorten, ...], float | None]:
    """What to shorten, counted from the lengths as they were, for the centre as it was seen."""
    try:
        choice = level_lengths(
            {leg.name: place for leg, place in zip(legs, places, strict=True)},
            {leg.name: leg.length_m or 0.0 for leg in legs},
            line.at,
            pitch={leg.name: pitch_of(leg) for leg in legs},
        )
    except ValueError:
        return (), None
    found = [
        Shorten(leg.name, leg.found.point.name, one.full - one.length, one.links)
        for leg, one in zip(legs, choice.legs, strict=True)
        if (one.links or 0) > 0 or (one.links is None and one.full - one.fits > 5e-4)
    ]
    return tuple(found), math.degrees(choice.tilt)


def _beside(
    case: Case, line: CentreLine, guess: Vector | None
) -> tuple[float | None, bool | None, tuple[TiltExplanation, ...]]:
    """How far the recorded centre is beside the line, whether it may be on it, and what would explain it."""
    if guess is None or case.room is None:
        return None, None, ()
    off = math.hypot(guess[0] - line.at[0], guess[1] - line.at[1])
    fits = all(
        case.room.low[axis] <= line.high[axis] and line.low[axis] <= case.room.high[axis] for axis in (0, 1)
    )
    pieces = case.mass.weighted()
    body = Body.of_pieces(pieces, case.turn)
    give = max(0.001, math.dist(line.low, line.high) / 2.0)
    back = transpose(case.turn)
    explained: list[TiltExplanation] = []
    reach = _reach(pieces)
    for one in contradictions(body, line, give):
        if one.mass_off_kg is None and math.hypot(*one.place_off) > reach:
            continue  # no piece lies as far off as that: it would be outside of the whole
        if len(explained) == _MOST:
            break
        mass = one.mass_off_kg
        new = float(body.best[one.piece]) + (mass or 0.0)
        inside = mass is not None and float(body.low[one.piece]) <= new <= float(body.high[one.piece])
        explained.append(TiltExplanation(pieces[one.piece].name, mass, apply(back, one.place_off), inside))
    return off, fits, tuple(explained)


def _reach(pieces: Sequence[Weighted]) -> float:
    """How far two places of the whole lie apart at most, by the box around them; infinite for one. [m]"""
    spots = [spot for one in pieces for spot in (one.at, *(one.within or ())) if spot is not None]
    if len(spots) < 2:
        return math.inf
    low, high = np.min(spots, axis=0), np.max(spots, axis=0)
    return float(np.linalg.norm(high - low)) or math.inf
