"""Leg lengths that hang a load as wanted, and the best that shortening in whole links can do."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np

from handling_db.mechanics.hang.columns import Floats
from handling_db.mechanics.hang.poses import angles, rest_poses

# How many heights within one link are tried: links of several legs fit together better at some of them.
_HEIGHTS = 24
# Links tried to either side of the length that fits, per leg; for many legs only the nearest two.
_ASIDE = 1
# Choices for four legs and more whose tilts are this near to each other count as alike. [rad]
_NEAR_LEVEL = math.radians(0.5)


@dataclass(frozen=True, slots=True)
class LevelLeg:
    """One leg of a load that is to hang as wanted. [m]

    Parameters
    ----------
    fits : float
        Length that hangs it as wanted.
    links : int or None
        By how many whole links to shorten it from its full length; None without a pitch.
    length : float
        Length then.
    """

    point: str
    full: float
    fits: float
    links: int | None
    length: float


@dataclass(frozen=True, slots=True)
class LevelChoice:
    """The lengths, and how it hangs with them.

    Parameters
    ----------
    hook_over_centre : float
        [m]
    tilt : float
        That remains: in whole links, or because the centre lies outside what these points can hold. [rad]
    low_side : tuple of float or None
        Level direction, in the frame of the points, that ends up low.
    pulls : mapping of str to float
        Tension over weight.
    """

    legs: tuple[LevelLeg, ...]
    hook_over_centre: float
    tilt: float
    low_side: tuple[float, float, float] | None
    pulls: Mapping[str, float]


def highest_hook(points: Floats, full: Floats, centre: Floats, up: Floats) -> float:
    """How high the hook can be over the centre, plumb, before a leg is too short. [m]

    Parameters
    ----------
    points : array (legs, 3)
        [m]
    full : array (legs,)
        Full lengths. [m]
    centre, up : array (3,)

    Returns
    -------
    float
        Not-a-number where a leg does not reach over the centre at all.
    """
    rise = (points - centre) @ up
    aside2 = np.maximum(0.0, ((points - centre) ** 2).sum(axis=1) - rise**2)
    with np.errstate(invalid="ignore"):
        return float((np.sqrt(full**2 - aside2) + rise).min())


def level_lengths(
    points: Mapping[str, tuple[float, float, float]],
    full: Mapping[str, float],
    centre: tuple[float, float, float],
    *,
    up: tuple[float, float, float] = (0.0, 0.0, 1.0),
    pitch: Mapping[str, float | None] | None = None,
    hook_over_centre: float | None = None,
) -> LevelChoice:
    """Lengths of the legs with which a load hangs in the attitude asked about.

    Parameters
    ----------
    points : mapping of str to Vector
        Pick points. [m]
    full : mapping of str to float
        Full length of each leg; none can be made longer. Infinity for one that is still to be chosen, which
        only goes with a height of the hook. [m]
    centre : Vector
        [m]
    up : Vector
    pitch : mapping of str to float or None, optional
        Length by which one link shortens a leg; None where it can be had at any length. [m]
    hook_over_centre : float, optional
        As high as the legs let it be where left out. [m]

    Returns
    -------
    LevelChoice
        Of all whole numbers of links near the lengths that fit, those with the least tilt, then with the
        fewest links; of four legs and more those that leave no leg idle, within half a degree of that tilt.

    Raises
    ------
    ValueError
        A leg is too short for that height, or for any.
    """
    names = list(points)
    places = np.array([points[name] for name in names])
    wholes = np.array([full[name] for name in names])
    middle, plumb = np.array(centre), np.array(up) / math.hypot(*up)
    highest = highest_hook(places, wholes, middle, plumb)
    if not highest > 0.0 or (hook_over_centre is None and math.isinf(highest)):
        raise ValueError("the legs are too short to meet over the centre of gravity: use longer ones.")
    asked = highest if hook_over_centre is None else hook_over_centre
    if not 0.0 < asked <= highest + 1e-9:
        raise ValueError(
            f"with these legs the hook can be at most {highest * 1000:.0f} mm over the centre of gravity, "
            f"not {asked * 1000:.0f} mm: use longer legs or a lower hook."
        )
    steps = [None if pitch is None else pitch.get(name) for name in names]
    fits = np.linalg.norm(middle + asked * plumb - places, axis=1)
    links: list[int | None] = [None] * len(names)
    lengths = fits
    if any(step for step in steps):
        tried = [
            max(asked - share * max(step or 0.0 for step in steps), 0.1 * asked)
            for share in np.linspace(0.0, 1.0, _HEIGHTS)
        ]
        links, lengths = _whole_links(places, wholes, steps, middle, plumb, tried)
    pose = rest_poses(places, lengths[None, :], middle[None, :], plumb)
    tilt = float(pose.tilt[0])
    line = pose.hook[0] - middle
    aside = -(line - (line @ plumb) * plumb)
    size = float(np.linalg.norm(aside))
    low = None if size <= 1e-9 * float(np.linalg.norm(line)) else aside / size
    return LevelChoice(
        tuple(
            LevelLeg(name, float(wholes[i]), float(fits[i]), links[i], float(lengths[i]))
            for i, name in enumerate(names)
        ),
        float(line @ plumb),
        tilt,
        None if low is None else (float(low[0]), float(low[1]), float(low[2])),
        {name: float(pose.pulls[0, i]) for i, name in enumerate(names)},
    )


def _whole_links(
    points: Floats,
    full: Floats,
    steps: list[float | None],
    centre: Floats,
    up: Floats,
    heights: list[float],
) -> tuple[list[int | None], Floats]:
    """Whole links per leg with the least tilt, among equals the fewest.

    Four legs and more are never all tight: of the choices within half a degree of the least tilt the one that
    leaves the slackest leg the least slack, so that no leg hangs idle for a tenth of a degree.
    """
    aside = _ASIDE if len(points) <= 4 else 0
    tried: dict[tuple[int, ...], Floats] = {}
    for height in heights:
        fits = np.linalg.norm(centre + height * up - points, axis=1)
        ranges = []
        for i, step in enumerate(steps):
            if not step:
                ranges.append([-1])
                continue
            near = (full[i] - fits[i]) / step
            first, last = math.floor(near) - aside, math.ceil(near) + aside
            ranges.append([n for n in range(first, last + 1) if 0 <= n * step < full[i]] or [0])
        for chosen in product(*ranges):
            own = np.array(
                [
                    fits[i] if step is None or not step else full[i] - chosen[i] * step
                    for i, step in enumerate(steps)
                ]
            )
            tried.setdefault(chosen, own)
    keys = list(tried)
    poses = rest_poses(
        points, np.array([tried[key] for key in keys]), np.repeat(centre[None, :], len(keys), 0), up
    )
    tilt = np.where(np.isfinite(poses.hook[:, 0]), angles(poses.hook - centre, up), np.inf)
    slack = np.zeros(len(keys))
    if len(points) > 3:
        reach = np.array([tried[key] for key in keys])
        slack = (reach - np.linalg.norm(poses.hook[:, None, :] - points[None, :, :], axis=2)).max(axis=1)
        slack = np.where(tilt <= float(tilt.min()) + _NEAR_LEVEL, slack, np.inf)
    best = min(
        range(len(keys)),
        # Tenths of a millimetre: legs alike to less are alike.
        key=lambda row: (
            round(float(slack[row]), 4) if math.isfinite(slack[row]) else math.inf,
            round(float(tilt[row]), 9),
            sum(keys[row]),
            keys[row],
        ),
    )
    if not math.isfinite(float(tilt[best])):
        raise ValueError("no whole number of links lets these legs meet.")
    return [number if step else None for number, step in zip(keys[best], steps, strict=True)], tried[
        keys[best]
    ]
