"""The moment a lift breaks loose: where the hook stands till then, how it swings, what to hold before."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import product

from handling_db.families.build import BuildError, worked_measure
from handling_db.lifting.case import Case, side_words
from handling_db.lifting.figures import BreakingFigure
from handling_db.mechanics.hang.breaking_loose import highest_hook, highest_hooks, jump, way_of
from handling_db.mechanics.hang.hanging import settle
from handling_db.mechanics.vectors import Vector, apply
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Notice, refused
from handling_db.records.kinds.joint import Joint


def breaking_figure(case: Case, joints: Sequence[str]) -> BreakingFigure:
    """How it breaks loose, as far as places and lengths are recorded.

    Parameters
    ----------
    case : Case
    joints : sequence of str
        Ids of the joints that are parted or crossed.
    """
    load = case.expected.load
    low, high = (None, None) if load.high is None else (load.low, load.high)
    bare = BreakingFigure(None, None, "", None, (), low, high)
    if case.room is None or case.worked is None:
        why = Notice("not worked out", {"why": case.no_centre or case.no_legs})
        return replace(bare, no_figures=why)
    if not case.worked.legs.lengths_known:
        return replace(bare, no_figures=Notice("hook without leg lengths"))
    lengths = {leg.point: leg.length_m for leg in case.worked.legs.legs}
    picks = dict(case.worked.picks_room)
    try:
        held = highest_hook(picks, lengths)
        swing = jump(held, case.room.at, patch=case.room.half_widths)
        most = _most(case, picks, lengths)
        rest = settle(picks, lengths, case.room.at)
    except (StaticsError, ZeroDivisionError, ValueError) as error:
        why = refused(error) if isinstance(error, StaticsError) else Notice("no pose of rest")
        return replace(bare, no_figures=why)
    ways = []
    for name in joints:
        joint = case.collection.joints.get(name)
        if joint is not None and (middle := _middle(case, joint)) is not None:
            moved = way_of(middle, held, rest.hook, rest.turn)
            ways.append((joint.name, math.hypot(moved[0], moved[1])))
    return replace(
        bare,
        off_m=swing.off_m,
        off_high_m=max(swing.off_high_m, most),
        towards=side_words(case, swing.towards),
        tilt=math.degrees(rest.tilt),
        joint_way_m=tuple(ways),
    )


MOST_CORNERS = 6  # legs: 64 corners of their lengths


def _most(case: Case, picks: Mapping[str, Vector], lengths: Mapping[str, float]) -> float:
    """The farthest the hook may stand off plumb, leg lengths and centre as far off as they may be. [m]"""
    assert case.worked is not None
    assert case.room is not None
    spread = {leg.point: leg.spread_m for leg in case.worked.legs.legs}
    names = list(lengths)
    if len(names) <= MOST_CORNERS:
        signs: Iterable[tuple[float, ...]] = product((-1.0, 1.0), repeat=len(names))
    else:  # each leg by itself against all others: which way two far apart legs pull the hook the most
        signs = [
            tuple(s if i == k else -s for i in range(len(names)))
            for k in range(len(names))
            for s in (-1.0, 1.0)
        ]
    corners = [
        {name: lengths[name] + s * spread.get(name, 0.0) for name, s in zip(names, sign, strict=True)}
        for sign in signs
    ]
    most = 0.0
    for held in highest_hooks(picks, corners):
        if held is not None:  # legs that cannot meet at this corner: no such hook
            most = max(most, jump(held, case.room.at, patch=case.room.half_widths).off_high_m)
    return most


def _middle(case: Case, joint: Joint) -> Vector | None:
    """The middle of a joint's face in the room; None where that is not recorded. [m]"""
    if joint.plane is None:
        return None
    ways = case.mass.ways
    for index in ways.of_component(joint.within):
        occurrence = ways.found[index]
        code, build = ways.tree.nodes[occurrence.node]
        parameters = case.collection.components[code].parameters
        try:
            x, y, z = (float(worked_measure(value, build, parameters)) for value in joint.plane.at)
        except BuildError:
            return None
        if len(occurrence.frames) == 1:
            return apply(case.turn, occurrence.frames[0].to_parent((x, y, z)))
    return None
