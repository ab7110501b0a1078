"""How the rest of a body lies: how far its centre moved, how it hangs, on which faces it stands."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from handling_db.jobs.lighten.asked import LightenQuestion
from handling_db.jobs.lighten.burden import Burden, without
from handling_db.lifting.case import LiftQuestion, case_of
from handling_db.lifting.figures import LegsFigure, SetDownFigure, Vector
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.set_down import faces_of, on_face, set_down_figure
from handling_db.mechanics.centre_patch import centre_patch
from handling_db.mechanics.vectors import subtract
from handling_db.quantities.amount import StaticsError
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.sides import SideNames

STILL = 5e-4  # a centre that moves less is said not to move [m]


@dataclass(frozen=True, slots=True)
class Lying:
    """A rest in its place: its centre, how it hangs and how it stands; reasons where there is none."""

    centre: Vector | None
    no_centre: str
    legs: LegsFigure | None
    no_legs: str
    stands: tuple[SetDownFigure, ...]


def lying(
    burden: Burden, question: LightenQuestion, off: dict[int, Fraction], *, hangs: bool = True
) -> Lying:
    """The body with some pieces off, set on its recorded faces and hung by its recorded pick points."""
    group = without(burden.mass, burden.group, off)
    mass = burden.left(off)
    if mass is None:
        return Lying(None, "nothing is left", None, "nothing is left", ())
    centre, no_centre = _centre(mass)
    legs, no_legs = _legs(burden, question, group, mass) if hangs else (None, "not asked")
    return Lying(centre, no_centre, legs, no_legs, _stands(burden, group, mass))


def _centre(mass: GroupMass) -> tuple[Vector | None, str]:
    try:
        pieces, sums = mass.by_parts()
        return centre_patch(pieces, sums=sums).at, ""
    except StaticsError as error:
        return None, str(error)


# Why there are no figures is told in the words of a refusal.
NO_LIFT = StaticsError("nobody asked about a lift: how it hangs goes with a lift group's pick points.")


def _legs(
    burden: Burden, question: LightenQuestion, group: LiftGroup, mass: GroupMass
) -> tuple[LegsFigure | None, str]:
    if burden.kind == "component":
        return None, str(NO_LIFT)
    there = {carried.id for carried in mass.carried}
    ranges = {name: span for name, span in (question.assumed or {}).items() if name in there}
    try:
        case = case_of(
            burden.collection,
            group,
            LiftQuestion(job=burden.job, as_of=question.as_of, assumed=ranges or None),
        )
    except StaticsError as error:
        return None, str(error)
    return (case.worked.legs, "") if case.worked is not None else (None, case.no_legs)


def _stands(burden: Burden, group: LiftGroup, mass: GroupMass) -> tuple[SetDownFigure, ...]:
    if group.set_down is not None and group.set_down.face is not None:
        return (set_down_figure(burden.collection, group, mass),)
    faces = [placed.face.id for placed in faces_of(burden.collection, mass) if placed.face.may_rest == "yes"]
    found = [on_face(burden.collection, mass, face, on="nobody looked") for face in dict.fromkeys(faces)]
    # Of faces that nobody chose, only those are of use on which something can be said.
    return tuple(figure for figure in found if figure.weakest is not None or figure.outside_m is not None)


def tips_at(figure: SetDownFigure) -> float | None:
    """The tilt at which it goes over; 0 where it does not stand, None where that is not known. [deg]"""
    if figure.outside_m is not None:
        return 0.0
    return None if figure.weakest is None else figure.weakest.tips_at


def shift(burden: Burden, before: Lying, after: Lying) -> tuple[Vector | None, str]:
    """How far the centre moves, in the frame of the root, and towards which side. [m]"""
    if before.centre is None or after.centre is None:
        return None, after.no_centre or before.no_centre
    moved = subtract(after.centre, before.centre)
    if sum(value * value for value in moved) ** 0.5 < STILL:
        return moved, ""
    names = SideNames(burden.collection.components[burden.group.root])
    return moved, names.towards(moved, upright=True)
