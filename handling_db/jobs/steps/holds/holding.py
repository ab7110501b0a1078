"""How a tie holds two sides together: fast, as a fit that lets go one way, by sticking, or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from handling_db.mechanics.vectors import Vector, dot
from handling_db.records.kinds.joint import Tie
from handling_db.records.parts.pick_point import vector_of


class Hold(StrEnum):
    """What a tie does for the two sides. Common practice, no source."""

    FAST = "fast"  # holds whichever way the weight pulls
    FIT = "fit"  # holds while the weight does not pull the way it lets go
    STICKS = "sticks"  # may hold; nobody counts on it
    NOTHING = "holds no body"  # a hose or a wire: it blocks a parting and carries nothing


_FITS = ("dowels", "spline", "sleeve", "tight fit", "weight")
_STICKS = ("seal", "sealant", "paint", "rust")
_SLACK = ("pipes", "hoses", "wires")
# Fast or a fit, as the record says: with the way it lets go, or how far it slides, it is a fit.
_EITHER = ("pins", "shaft")

LEVEL = 1e-9  # a cosine below this is level: the weight pulls across, neither way


@dataclass(frozen=True, slots=True)
class Holding:
    """One recorded tie as the bodies see it.

    Parameters
    ----------
    tie : str
        Its key in the joint.
    what : str
    hold : Hold
    lets_go : Vector or None
        Of a fit: which way the second side leaves the first, in the frame of the joint's assembly; None where
        nobody recorded it, or for a press fit.
    both_ways : bool
        A press fit.
    sure : bool
        Somebody says that it is there; False: nobody looked.
    blocks : bool
        It has to be out before the joint parts; the others come free in the parting.
    """

    tie: str
    what: str
    hold: Hold
    lets_go: Vector | None
    both_ways: bool
    sure: bool
    blocks: bool


def holding_of(tie: Tie, joint: str) -> Holding | None:
    """What a recorded tie does; None where it is known not to be there."""
    if tie.there == "none":
        return None
    either_fit = tie.kind in _EITHER and (tie.lets_go not in (None, "no") or tie.travel is not None)
    if tie.kind in _FITS or either_fit:
        hold, blocks = Hold.FIT, False
    elif tie.kind in _STICKS:
        hold, blocks = Hold.STICKS, False
    elif tie.kind in _SLACK:
        hold, blocks = Hold.NOTHING, True
    else:
        hold, blocks = Hold.FAST, True
    # A tight fit is pressed in unless its record says which way it slides.
    pressed = tie.lets_go == "no" or (tie.lets_go is None and tie.kind == "tight fit")
    away = None if tie.lets_go in (None, "no") else vector_of(tie.lets_go)
    return Holding(tie.key(joint), tie.what, hold, away, pressed, tie.there == "yes", blocks)


class FarSidePull(StrEnum):
    """What the weight of the far side does to a fit."""

    PRESSES = "presses"
    ACROSS = "across"
    LETS_GO = "lets go"
    NOT_KNOWN = "not known"


def pull_on(lets_go: Vector | None, up: Vector | None, *, second_hangs: bool) -> FarSidePull:
    """What the weight of one side does to a fit whose other side is carried.

    Parameters
    ----------
    lets_go : Vector or None
        Which way the second side leaves the first, in the frame of the unit.
    up : Vector or None
        Up, in the frame of the unit; None where the attitude is not known.
    second_hangs : bool
        Whether it is the second side that the fit has to hold, or the first.
    """
    if lets_go is None or up is None:
        return FarSidePull.NOT_KNOWN
    # The far side wants to go down; seen from the second side, the first leaves the other way.
    along = -dot(up, lets_go) if second_hangs else dot(up, lets_go)
    if along > LEVEL:
        return FarSidePull.LETS_GO
    return FarSidePull.PRESSES if along < -LEVEL else FarSidePull.ACROSS
