"""Leg lengths that hang a recorded lift in its attitude, in whole links where the chain has a pitch."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Case, LiftQuestion, planned_legs, side_words, work
from handling_db.lifting.figures import CAUTIONS, LiftAnswer
from handling_db.lifting.hanging.legs import place_of
from handling_db.lifting.ratings import PlannedLeg
from handling_db.mechanics.hang.level import LevelChoice, level_lengths
from handling_db.quantities.amount import StaticsError
from handling_db.records.collection import Collection


@dataclass(frozen=True, slots=True)
class LevelLegFigure:
    """One leg: its full length, the length that fits, and what to make of it.

    Parameters
    ----------
    full_m : float or None
        As recorded; None where nobody did. [m]
    fits_m, length_m : float
        As it would hang level, and as it then is. [m]
    links : int or None
        By how many whole links to shorten it; None where no pitch is recorded: then the length as it fits.
    pitch_m : float or None
        By how much one link shortens it. [m]
    tension_kg : float or None
        With the heaviest load and the best centre. [kg]
    """

    point: str
    name: str
    full_m: float | None
    fits_m: float
    length_m: float
    links: int | None
    pitch_m: float | None
    tension_kg: float | None


@dataclass(frozen=True, slots=True)
class LevelAnswer:
    """Leg lengths for a lift to hang as wanted.

    Parameters
    ----------
    hook_over_centre_m : float or None
        With these lengths. [m]
    tilt : float or None
        That remains in whole links, with the best centre. [deg]
    low_words : str
        Which side is then low.
    tilt_most : float or None
        With the lengths as they are now, over all doubt: for comparison. [deg]
    no_figures : str
        Why there are none; empty where there are.
    """

    lift: LiftAnswer
    legs: tuple[LevelLegFigure, ...]
    hook_over_centre_m: float | None
    tilt: float | None
    low_words: str
    tilt_most: float | None
    no_figures: str
    cautions: tuple[str, ...]


def level_answer(
    collection: Collection,
    name: str,
    question: LiftQuestion | None = None,
    hook_over_centre: float | None = None,
) -> LevelAnswer:
    """The leg lengths that hang a lift group in its recorded attitude.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the lift group.
    question : LiftQuestion, optional
    hook_over_centre : float, optional
        Height of the hook over the centre of gravity; as high as the legs let it be where left out. [m]

    Raises
    ------
    UnknownNameError, WayError, BuildError, StaticsError
        As `work`.
    """
    asked = question or LiftQuestion()
    case = work(collection, name, asked)
    lift = answer_of(case)
    try:
        legs, choice = _choose(case, hook_over_centre)
    except (StaticsError, ValueError) as error:
        return LevelAnswer(lift, (), None, None, "", None, str(error), CAUTIONS)
    high = lift.lift.high if lift.lift is not None else None
    stability = lift.legs.stability if lift.legs else None
    return LevelAnswer(
        lift=lift,
        legs=tuple(
            LevelLegFigure(
                point=leg.name,
                name=leg.found.point.name,
                full_m=one.full if math.isfinite(one.full) else None,
                fits_m=one.fits,
                length_m=one.length,
                links=one.links,
                pitch_m=pitch_of(leg),
                tension_kg=None if high is None or len(legs) > 3 else choice.pulls[leg.name] * high,
            )
            for leg, one in zip(legs, choice.legs, strict=True)
        ),
        hook_over_centre_m=choice.hook_over_centre,
        tilt=math.degrees(choice.tilt),
        low_words=side_words(case, choice.low_side),
        tilt_most=None if stability is None else stability.tilt_most,
        no_figures="",
        cautions=CAUTIONS,
    )


def _choose(case: Case, hook_over_centre: float | None) -> tuple[list[PlannedLeg], LevelChoice]:
    if case.attitude is None or case.room is None:
        raise StaticsError(case.no_centre or "nobody looked which way up it hangs.")
    legs = legs_of(case, bare=hook_over_centre is not None)
    return legs, level_lengths(
        {leg.name: place_of(leg, case.turn) for leg in legs},
        # A leg of any length reaches as high a hook as is asked for.
        {leg.name: leg.length_m or math.inf for leg in legs},
        case.room.at,
        pitch={leg.name: pitch_of(leg) if leg.length_m else None for leg in legs},
        hook_over_centre=hook_over_centre,
    )


def legs_of(case: Case, *, bare: bool = False) -> list[PlannedLeg]:
    """The legs of a lift, each with a length; with `bare` also those that nobody recorded one for.

    Raises
    ------
    StaticsError
        None is recorded, two go to one point, or one has no length.
    """
    legs = planned_legs(case.collection, case.group, case.question, case.mass)
    if not legs:
        raise StaticsError("nobody looked which pick points are used.")
    if len({leg.name for leg in legs}) < len(legs):
        raise StaticsError("two legs go to one pick point: they count as one.")
    for leg in legs:
        if leg.length_m is None and not bare:
            raise StaticsError(
                f"the leg at {leg.name} has no length; write it at the pick or at its sling, or say how high "
                "the hook is to be over the centre."
            )
    return legs


def pitch_of(leg: PlannedLeg) -> float | None:
    """By how much one link shortens a leg; None where nobody recorded a pitch. [m]"""
    return None if leg.sling is None or leg.sling.pitch is None else float(leg.sling.pitch.base)
