"""How a hanging load may hang and pull at most, over all that is not exactly known of it.

Masses, places of centres and lengths of legs are chosen together, each choice once for all figures of one
pose, and the worst choice is searched for every figure by itself: through the corners, then uphill from the
best of them, then between the corners. What comes out is possible; that nothing worse is, is what the
independent searches of `tests/oracles` try to refute.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from handling_db.mechanics.body import MOST_CORNERS, Body
from handling_db.mechanics.hang.columns import Floats, Rows, columns, dots, less, over, sizes
from handling_db.mechanics.hang.poses import Poses, rest_poses
from handling_db.mechanics.hang.stability import margins
from handling_db.mechanics.hang.tight_legs import tight_legs

_ROUNDS = 6
_STEP = 1e-6  # of the size of the load: small enough for a slope, large enough for float64
_GRID = (0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0)
# More corners of masses than these are not gone through with every corner of places.
_MANY = 300
# All corners of masses, places and lengths together are gone through where they are no more than these; every
# two changed at once, where there are no more pairs than these.
_TOGETHER = 3000
_PAIRS = 80
# All corners of the lengths for so many legs; above, every choice of up to three short or long ones.
_ALL_LENGTHS = 6


@dataclass(frozen=True, slots=True)
class Hang:
    """What is known of a load on legs under one hook. One frame, one order of legs.

    Parameters
    ----------
    points : array (legs, 3)
        [m]
    lengths, spread : array (legs,)
        Length of each leg and how far it may be off. [m]
    body : Body
    up : array (3,)
        Unit vector against gravity in the attitude asked about.
    level : bool
        The legs are made to hang it in that attitude, no longer than `lengths`; else they are as they are.
    """

    points: Floats
    lengths: Floats
    spread: Floats
    body: Body
    up: Floats
    level: bool = False

    @property
    def give(self) -> Floats:
        """How much a leg may have to spare and still take over at once. array (legs,) [m]

        Four legs whose lengths differ by their whole doubt leave one of them up to so much loose: it takes
        over after a small roll and still holds the load upright.
        """
        return np.full(len(self.points), 4.0 * float(self.spread.max(initial=0.0)) + 1e-6)


@dataclass(frozen=True, slots=True)
class HangDoubt:
    """The worst of each figure. Arrays have an entry per leg.

    Parameters
    ----------
    tension_kg : array (legs,)
        Highest pull, as a cell in the leg would show it. [kg]
    share_low, share_high : array (legs,)
        Vertical part of the load.
    lean : array (legs,)
        Most of a leg that carries, from the vertical; 0 for one that never does. [rad]
    tilt : float
        Most, from the attitude asked about. [rad]
    hook_over : float
        Most height of the hook over the level of the highest pick point, reckoned at the point that hangs
        lowest. [m]
    margin, height, shift, shift_tilt : float
        As in `stability.Margins`, in the pose with the least margin. [m, rad]
    pair : tuple of int
        The legs that carry there once the first slackens.
    may_not_meet : bool
        Within the doubt the legs may be too short to meet.
    """

    tension_kg: Floats
    share_low: Floats
    share_high: Floats
    lean: Floats
    tilt: float
    hook_over: float
    margin: float
    height: float
    shift: float
    shift_tilt: float
    pair: tuple[int, ...]
    may_not_meet: bool

    def or_worse(self, other: HangDoubt) -> HangDoubt:
        """The worse of two, figure by figure; of the margins those of the lesser one."""
        least = min(self, other, key=lambda one: one.margin)
        return HangDoubt(
            np.maximum(self.tension_kg, other.tension_kg),
            np.minimum(self.share_low, other.share_low),
            np.maximum(self.share_high, other.share_high),
            np.maximum(self.lean, other.lean),
            max(self.tilt, other.tilt),
            max(self.hook_over, other.hook_over),
            least.margin,
            least.height,
            least.shift,
            least.shift_tilt,
            least.pair,
            self.may_not_meet or other.may_not_meet,
        )


@dataclass(slots=True)
class _States:
    """One choice per figure, the worst found so far for it."""

    part: Floats
    push: Floats
    stretch: Floats
    value: Floats
    changed: Rows  # how often another choice was taken for each figure

    def rows(self, states: Rows) -> tuple[Floats, Floats, Floats]:
        return self.part[states].copy(), self.push[states].copy(), self.stretch[states].copy()


def hang_doubt(hang: Hang) -> HangDoubt:
    """The worst of every figure of a hanging load over the body of doubt.

    Raises
    ------
    ValueError
        In no choice can the legs meet.
    """
    search = _Search(hang)
    states = search.start()
    for _ in range(_ROUNDS):
        before = states.value.copy()
        search.lengths(states)
        search.slopes(states)
        search.flips(states)
        if not (states.value > before + 1e-12 * np.abs(before)).any():
            search.pairs(states)
        if not (states.value > before + 1e-12 * np.abs(before)).any():
            break
    for _ in range(2):
        search.between(states)
    return search.result(states)


class _Search:
    """The figures of choices, and the ways to make one worse."""

    def __init__(self, hang: Hang) -> None:
        self.hang = hang
        self.legs = len(hang.points)
        self.size = float(np.linalg.norm(hang.points - hang.points.mean(axis=0), axis=1).max()) or 1.0
        self.patterns = _patterns(self.legs)
        self.broken = False
        self.give = hang.give
        self.choices = tight_legs(hang.points, hang.up)
        self.tried: dict[object, Rows] = {}

    def due(self, states: _States, move: object) -> Rows:
        """The figures whose choice is another one than when this move was last tried from it.

        From the same choice the same move leads to the same figures, none of which was worse.
        """
        tried = self.tried.setdefault(move, np.full(len(states.value), -1))
        found = np.flatnonzero(tried != states.changed)
        tried[found] = states.changed[found]
        return found

    def reach(self, centres: Floats, stretch: Floats) -> Floats:
        """Lengths of the legs for loads with these centres. [m]"""
        hang = self.hang
        if not hang.level:
            return np.asarray(hang.lengths + stretch * hang.spread)
        rise = centres[:, None, :] - hang.points
        up = rise @ hang.up
        aside2 = np.maximum(0.0, (rise**2).sum(axis=2) - up**2)
        with np.errstate(invalid="ignore"):
            # The shortest reach over the centre decides; the other legs are made shorter.
            heights = np.sqrt(hang.lengths**2 - aside2) - up
        height = heights.min(axis=1)
        height = np.where(height > 0.0, height, np.nan)
        hook = centres + height[:, None] * hang.up
        return np.asarray(np.linalg.norm(hook[:, None, :] - hang.points, axis=2) + stretch * hang.spread)

    def figures(self, total: Floats, centres: Floats, stretch: Floats, owner: Rows | None = None) -> Floats:
        """Every figure, larger is worse: pulls, shares up and down, leans, tilt, hook, margin downward.

        Of choices that were made for one figure each, `owner`, the margin is worked out for its own only.
        """
        hang = self.hang
        reach = self.reach(centres, stretch)
        poses = rest_poses(hang.points, reach, centres, hang.up, self.choices)
        good = np.isfinite(poses.tilt) & np.isfinite(total)
        if not good.all() and np.isfinite(centres).all():
            self.broken = True
        share = poses.pulls * poses.steep
        hook, middle = columns(poses.hook), columns(centres)
        plumb = less(hook, middle)
        plumb = over(plumb, sizes(plumb))
        level = hang.points @ hang.up
        below, spare = np.empty_like(reach), np.empty_like(reach)
        for leg, point in enumerate(hang.points):
            way = less(hook, point)
            below[:, leg] = dots(way, plumb)
            spare[:, leg] = sizes(way) - reach[:, leg]
        highest = (below - (level.max() - level)).max(axis=1)
        rows = np.arange(len(total)) if owner is None else np.flatnonzero(owner == 4 * self.legs + 2)
        margin = np.zeros(len(total))
        if len(rows):
            there = Poses(poses.hook[rows], poses.pulls[rows], poses.steep[rows], poses.tilt[rows])
            margin[rows] = margins(hang.points, reach[rows], centres[rows], hang.up, there, self.give).margin
        # A slack leg counts by how far it is from being tight, so that the search has a slope to climb.
        loose = poses.pulls <= 0.0
        slack = np.minimum(spare, 0.0)
        found = np.column_stack(
            [
                np.where(loose, slack, total[:, None] * poses.pulls),
                np.where(loose, slack, share),
                -share,
                np.where(loose, 0.0, np.arccos(np.clip(poses.steep, -1.0, 1.0))),
                poses.tilt,
                highest,
                -margin,
            ]
        )
        return np.where(good[:, None], np.nan_to_num(found, nan=-np.inf), -np.inf)

    def ask(self, part: Floats, push: Floats, stretch: Floats, owner: Rows | None = None) -> Floats:
        """The figures of choices, or those that they were made for. array (n, figures)"""
        body = self.hang.body
        held = body.held(part) if body.sums else np.ones(len(part), dtype=bool)
        # What breaks a limit of several pieces together is no choice.
        found = np.full((len(part), 4 * self.legs + 3), -np.inf)
        if held.any():
            total, centres = body.load(part[held], push[held])
            mine = None if owner is None else owner[held]
            found[held] = self.figures(total, centres, stretch[held], mine)
        return found

    def start(self) -> _States:
        """The best corner of masses and places for each figure, at the lengths as recorded.

        Where that is not too many, of the lengths too: which legs carry, and so the worst of everything,
        changes with all of them at once.
        """
        body = self.hang.body
        corners, pushes = np.vstack([body.corners(), body.best_part()]), body.pushes()
        if len(corners) > _MANY:
            # Places follow by slope: every corner of both together would take seconds.
            pushes = np.zeros((1, 3))
        stretches = np.zeros((1, self.legs))
        if self.hang.spread.any() and len(corners) * len(pushes) * len(self.patterns) <= _TOGETHER:
            stretches = np.vstack([stretches, self.patterns])
        # Most directions lead to a corner that another led to before: each is gone through once.
        each = dict.fromkeys(corner.tobytes() for corner in corners)
        corners = np.frombuffer(b"".join(each)).reshape(len(each), -1)
        part = np.repeat(corners, len(pushes), axis=0)
        push = np.tile(pushes, (len(corners), 1))
        stretch = np.repeat(stretches, len(part), axis=0)
        part, push = (np.tile(one, (len(stretches), 1)) for one in (part, push))
        found = self.ask(part, push, stretch)
        rows = found.argmax(axis=0)
        value = found[rows, np.arange(found.shape[1])]
        if not np.isfinite(value).any():
            raise ValueError("in no choice can the legs meet")
        if len(stretches) > 1:
            self.tried["lengths"] = np.zeros(len(value), dtype=np.intp)  # every pattern was among them
        return _States(part[rows], push[rows], stretch[rows], value, np.zeros(len(value), dtype=np.intp))

    def offer(self, states: _States, owner: Rows, part: Floats, push: Floats, stretch: Floats) -> None:
        """Take over each choice that is worse for the figure it was made for."""
        if not len(owner):
            return
        found = self.ask(part, push, stretch, owner)[np.arange(len(owner)), owner]
        for row in np.argsort(found, kind="stable"):
            mine = owner[row]
            if found[row] > states.value[mine]:
                states.part[mine], states.push[mine] = part[row], push[row]
                states.stretch[mine], states.value[mine] = stretch[row], found[row]
                states.changed[mine] += 1

    def lengths(self, states: _States) -> None:
        """Every pattern of short and long legs."""
        if not self.hang.spread.any():
            return
        due = self.due(states, "lengths")
        owner = np.repeat(due, len(self.patterns))
        part, push, _ = states.rows(owner)
        self.offer(states, owner, part, push, np.tile(self.patterns, (len(due), 1)))

    def slopes(self, states: _States) -> None:
        """The corner that each figure's slope points to; a corner of all pieces at once."""
        body = self.hang.body
        if not len(body.loose) and body.exact_places:
            return
        for size in (_STEP, 0.05):
            number = self.due(states, ("slopes", size))
            if not len(number):
                continue
            part, push, stretch = states.rows(number)
            total, centres = body.load(part, push)
            step = size * self.size
            # All steps of all figures in one go: both ways along each axis.
            moves = step * np.vstack([np.eye(3), -np.eye(3)])
            found = self.figures(
                np.tile(total, 6),
                np.concatenate([centres + move for move in moves]),
                np.tile(stretch, (6, 1)),
                np.tile(number, 6),
            )
            values = found.reshape(6, len(number), -1)[
                :, np.arange(len(number)), number
            ].T  # (figures, steps)
            base = states.value[number]
            values = np.where(np.isfinite(values), values, base[:, None])
            slope = (values[:, :3] - values[:, 3:]) / (2.0 * step)
            slope = np.where(np.isfinite(slope), slope, 0.0)
            # Only the pulls grow with the mass itself.
            growing = (number < self.legs) & (base > 0.0)
            grow = np.where(growing, base / total, 0.0)
            arm = body.at[None, :, :] - centres[:, None, :]
            gain = grow[:, None] + np.einsum("nkj,nj->nk", arm, slope) / total[:, None]
            self.offer(states, number, body.chosen(gain), np.sign(slope), stretch)

    def flips(self, states: _States) -> None:
        """Every single piece, place axis and leg to its other end."""
        ends = self.ends()
        due = self.due(states, "flips")
        if not ends or not len(due):
            return
        owner = np.repeat(due, len(ends))
        part, push, stretch = states.rows(owner)
        for number, end in enumerate(ends):
            _to_other_end(part, push, stretch, slice(number, None, len(ends)), end)
        self.offer(states, owner, part, push, stretch)

    def ends(self) -> list[tuple[str, int]]:
        """Whatever has two ends: a piece, an axis of places, a leg; what is exact has none."""
        ends = [("part", int(piece)) for piece in self.hang.body.loose]
        ends += [("push", axis) for axis in range(3) if self.hang.body.half[:, axis].any()]
        return ends + [("stretch", leg) for leg in range(self.legs) if self.hang.spread[leg] > 0.0]

    def pairs(self, states: _States) -> None:
        """Every two of them at once, where they are few: one alone may be no worse before the other is."""
        both = list(combinations(self.ends(), 2))
        if not both or len(both) > _PAIRS:
            return
        due = self.due(states, "pairs")
        owner = np.repeat(due, len(both))
        part, push, stretch = states.rows(owner)
        for number, two in enumerate(both):
            for end in two:
                _to_other_end(part, push, stretch, slice(number, None, len(both)), end)
        self.offer(states, owner, part, push, stretch)

    def between(self, states: _States) -> None:
        """Along each axis between the ends: the worst need not be at a corner where the slack legs change."""
        body = self.hang.body
        many = len(body.loose) > MOST_CORNERS
        grid = np.array(_GRID)
        for kind, axis in self.ends():
            if many and kind == "part":
                continue
            due = self.due(states, (kind, axis))
            part, push, stretch = states.rows(np.repeat(due, len(_GRID)))
            along = np.tile(grid, len(due))
            if kind == "part":
                part[:, axis] = along
            elif kind == "push":
                push[:, axis] = 2.0 * along - 1.0
            else:
                stretch[:, axis] = 2.0 * along - 1.0
            self.offer(states, np.repeat(due, len(_GRID)), part, push, stretch)
        # And on the straight way back to the best figures, all pieces together.
        due = self.due(states, "back")
        owner = np.repeat(due, len(_GRID))
        part, push, stretch = states.rows(owner)
        back = np.tile(grid, len(due))[:, None]
        self.offer(states, owner, part + back * (body.best_part() - part), push, stretch)

    def result(self, states: _States) -> HangDoubt:
        """The figures by name."""
        legs, hang = self.legs, self.hang
        value = states.value
        _, centres = hang.body.load(states.part[-1:], states.push[-1:])
        reach = self.reach(centres, states.stretch[-1:])
        poses = rest_poses(hang.points, reach, centres, hang.up)
        least = margins(hang.points, reach, centres, hang.up, poses, self.give)
        return HangDoubt(
            tension_kg=np.maximum(0.0, value[:legs]),
            share_low=-value[2 * legs : 3 * legs],
            share_high=np.maximum(0.0, value[legs : 2 * legs]),
            lean=np.maximum(0.0, value[3 * legs : 4 * legs]),
            tilt=float(value[4 * legs]),
            hook_over=float(value[4 * legs + 1]),
            margin=float(least.margin[0]),
            height=float(least.height[0]),
            shift=float(least.shift[0]),
            shift_tilt=float(least.shift_tilt[0]),
            pair=tuple(int(leg) for leg in least.pair[0] if leg >= 0),
            may_not_meet=self.broken,
        )


def _to_other_end(part: Floats, push: Floats, stretch: Floats, rows: slice, end: tuple[str, int]) -> None:
    """Change one mass, place axis or leg of some choices to its other end."""
    kind, axis = end
    if kind == "part":
        part[rows, axis] = np.where(part[rows, axis] > 0.5, 0.0, 1.0)
    elif kind == "push":
        push[rows, axis] = np.where(push[rows, axis] > 0.0, -1.0, 1.0)
    else:
        stretch[rows, axis] = np.where(stretch[rows, axis] > 0.0, -1.0, 1.0)


def _patterns(legs: int) -> Floats:
    """Which legs are short (-1) and which long (1): array (n, legs)."""
    if legs <= _ALL_LENGTHS:
        return np.array(list(product((-1.0, 1.0), repeat=legs)))
    rows = [np.full(legs, -1.0), np.full(legs, 1.0)]
    for count in (1, 2, 3):
        for chosen in combinations(range(legs), count):
            for sign in (-1.0, 1.0):
                row = np.full(legs, -sign)
                row[list(chosen)] = sign
                rows.append(row)
    return np.array(rows)
