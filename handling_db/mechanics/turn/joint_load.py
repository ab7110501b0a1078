"""What each bolt of a joint takes when the joint opens about one edge, as figures for a person."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError


@dataclass(frozen=True, slots=True)
class BoltShare:
    """What one bolt takes, as figures for a person to judge."""

    bolt: str
    pull_n: float
    shear_n: float


def bolt_shares(
    bolts: Mapping[str, float], moment_nm: float, shear_n: float, axial_n: float = 0.0
) -> tuple[BoltShare, ...]:
    """Pull on each bolt of a joint that tilts about the edge of its flange, pulls growing with the lever.

    T = M d / sum(d2), plus an even part of an axial pull and of the shear. Friction, preload, prying, fit and
    grade are left out. Common practice, no source.

    Parameters
    ----------
    bolts : dict of str to float
        Distance of each bolt from the edge that the flange tilts about. [m]
    moment_nm : float
        Moment that opens the joint away from that edge. [N m]
    shear_n : float
        Shear over all bolts. [N]
    axial_n : float
        Pull over all bolts; a push (negative) is not counted as help. [N]

    Raises
    ------
    StaticsError
        No bolts, one beyond the edge, or a moment that closes the joint there.
    """
    if not bolts:
        raise StaticsError("no bolts are listed at the joint: what holds it is not known.")
    if min(bolts.values()) < 0.0 or max(bolts.values()) == 0.0:
        raise StaticsError("every bolt must lie on the opening side of the edge that the flange tilts about.")
    if moment_nm < 0.0:
        raise StaticsError("this moment closes the joint at that side: take the opposite edge.")
    squares = math.fsum(d * d for d in bolts.values())
    even = max(0.0, axial_n) / len(bolts)
    return tuple(
        BoltShare(name, moment_nm * d / squares + even, abs(shear_n) / len(bolts))
        for name, d in bolts.items()
    )
