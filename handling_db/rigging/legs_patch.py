"""What the doubt of the centre of gravity does to the legs of a bridle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.mechanics.pulls import PUSHES
from handling_db.mechanics.vectors import UP, Vector, add, angle_between, subtract
from handling_db.quantities.amount import StaticsError
from handling_db.rigging.legs import carry


@dataclass(frozen=True, slots=True)
class PatchCase:
    """What the doubt of the centre of gravity does to the legs."""

    shares: dict[str, tuple[float, float]]  # vertical share, least and most; negative where a leg would push
    may_go_slack: tuple[str, ...]
    tilt: float  # most by which the load tilts with the hook plumb over the best centre [rad]


def over_patch(
    picks: Mapping[str, Vector],
    hook: Vector,
    centre: Vector,
    patch: Vector,
    *,
    up: Vector = UP,
    flat_angle_stated_by: str | None = None,
) -> PatchCase:
    """Shares of the legs over the patch within which the centre of gravity is known to lie.

    At every corner of the patch the hook is moved plumb over it, as riggers do by trial. With level pick
    points the shares are linear in the place of the centre, so the corners bound them; with points at
    different heights this is near but not exact.

    Parameters
    ----------
    picks, hook, centre, up
        As in `carry`, the hook plumb over the best centre.
    patch : Vector
        Half-widths of the doubt of the centre, along the axes of the frame. [m]
    flat_angle_stated_by : str, optional
        As in `carry`.

    Raises
    ------
    StaticsError
        As `carry`; and where the legs cannot hold the load with its centre in some corner.
    """
    cases = [carry(picks, hook, centre, up=up, flat_angle_stated_by=flat_angle_stated_by)]
    tilt = 0.0
    for sign_x in (-1.0, 1.0):
        for sign_y in (-1.0, 1.0):
            for sign_z in (-1.0, 1.0):
                move = (sign_x * patch[0], sign_y * patch[1], sign_z * patch[2])
                there = add(centre, move)
                tilt = max(tilt, angle_between(subtract(hook, there), up))
                cases.append(
                    carry(picks, add(hook, move), there, up=up, flat_angle_stated_by=flat_angle_stated_by)
                )
    shares: dict[str, tuple[float, float]] = {}
    for i, name in enumerate(picks):
        found: list[float] = []
        for case in cases:
            leg = case.legs[i]
            if leg.solved_share is not None:
                found.append(leg.solved_share)
            elif leg.share_low is not None and leg.share_high is not None:
                found.extend((leg.share_low, leg.share_high))
            else:
                raise StaticsError(
                    "within what is known of the centre of gravity these legs may not hold the load in this "
                    "pose: "
                    "weigh or measure the centre, or use other points."
                )
        shares[name] = (min(found), max(found))
    slack = tuple(name for name, (low, _) in shares.items() if low < -PUSHES)
    return PatchCase(shares, slack, tilt)
