"""Turning over an edge in space: hook, both ends of the edge and a holding-back line at every angle.

The edge's own frame: x across (level, from the edge towards the side that is lifted), y along the edge from
its first end, z up; the origin is the first end. Everything is given as the load lies at the start; `turned`
is the angle by which the lifted side has come up. The load touches the floor at the edge alone, hooks pull
plumb, and everything moves slowly: these are figures without snatch.

At one angle every force is a sum of mass times a factor of its place alone, so its limits over the doubt of
all masses and places together are found by taking each mass and each place where its term is largest.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from handling_db.mechanics.turn.settled import settled
from handling_db.mechanics.vectors import Vector, subtract
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError

Limits = tuple[float, float, float]  # lowest, best and highest
Factor = Callable[[Vector], float]  # force for each kilogram at a place of the load

FINE = math.radians(0.25)
TOUCHING = 1e-9  # part of the weight: an end that carries less than minus this has come off
# The joint of a turn, and a plan beside the same one changed, ask again for the angles of the turn itself.
_settled = functools.lru_cache(maxsize=2048)(settled)


@dataclass(frozen=True, slots=True)
class TurnedPiece:
    """A piece of what turns, in the edge's frame as it lies at the start.

    Parameters
    ----------
    amount : Amount
        With an upper limit. [kg]
    at : Vector or None
        Best place of its centre; None: as if at the centre of the others. [m]
    corners : tuple of Vector
        Of the box that its centre surely lies in; empty where the place is taken as exact. The eight corners
        of a box count in binary: first edge, second edge, third edge. [m]
    litres : float or None
        Of a liquid that runs to the lowest side of the box of `corners`; its best place then follows. [L]
    beyond : bool or None
        Whether it lies on the side of the joint asked about that is away from the edge; None: all of it,
        part of it or nothing may.
    """

    name: str
    amount: Amount
    at: Vector | None
    corners: tuple[Vector, ...] = ()
    litres: float | None = None
    beyond: bool | None = False


@dataclass(frozen=True, slots=True)
class BackLine:
    """A line that holds the load back once it goes over.

    Parameters
    ----------
    at : Vector
        Where it is made fast on the load, as it lies at the start. [m]
    anchor : Vector or None
        Where it runs to in the room; None: a second hook that follows plumb over `at`. [m]
    """

    at: Vector
    anchor: Vector | None = None


@dataclass(frozen=True, slots=True)
class EdgeStep:
    """One angle of a turn over an edge: lowest, best and highest over the doubt. [rad, kg]

    Parameters
    ----------
    hook : Limits
        As a cell reads it; nothing once the load has gone over.
    ends : tuple of two Limits, or None
        What each end of the edge carries; less than nothing: that end would have to be held down. None past
        the balance where no line holds it.
    over : Limits
        Least pull at the place of the hook, square to the way from the edge to it, that keeps it from going
        over.
    line : Limits or None
        Pull in the holding-back line; None where there is no line, or it cannot hold from there.
    sideways : float or None
        Most sideways pull of the line on the edge as a part of the least that presses on it.
    """

    turned: float
    hook: Limits
    ends: tuple[Limits, Limits] | None
    over: Limits
    line: Limits | None
    sideways: float | None


@dataclass(frozen=True, slots=True)
class EdgeTurn:
    """A turn over an edge with one plumb hook. Angles in rad, None where it does not happen in this turn.

    Parameters
    ----------
    steps : tuple of EdgeStep
        Up to the end of the turn, or to `ends_at`.
    goes_over, goes_over_first, goes_over_last : float or None
        Best, earliest and latest angle from which it goes over by itself.
    comes_off : (angle, end, certain) or None
        First angle at which an end (0 or 1; 2: both) may come off the floor.
    surely_off : (angle, end) or None
        First angle at which it has come off for certain: figures end there.
    line_fails : float or None
        First angle past the balance at which the line may have to hold and cannot from where it runs to.
    ends_at : float
        Last angle with figures.
    worst, worst_line : EdgeStep
        With the largest hook load and the largest pull of the line, found by fine stepping.
    """

    steps: tuple[EdgeStep, ...]
    goes_over: float | None
    goes_over_first: float | None
    goes_over_last: float | None
    comes_off: tuple[float, int, bool] | None
    surely_off: tuple[float, int] | None
    line_fails: float | None
    ends_at: float
    worst: EdgeStep
    worst_line: EdgeStep | None


def turned_point(point: Vector, turned: float) -> Vector:
    """A point of the load after the turn, in the edge's frame. [m, rad]"""
    c, s = math.cos(turned), math.sin(turned)
    return (point[0] * c - point[2] * s, point[1], point[0] * s + point[2] * c)


class Turning:
    """What turns over which edge, with what. Pure geometry and masses; asks nothing of a record.

    Parameters
    ----------
    pieces : sequence of TurnedPiece
    hook : Vector
        Where the hook pulls, as the load lies at the start. [m]
    edge_m : float
        Length of the edge, from its first end to its second. [m]
    line : BackLine or None

    Raises
    ------
    UnknownMassError
        A piece without an upper limit.
    StaticsError
        No mass, no edge, the load not on the lifted side, or the hook not.
    """

    def __init__(
        self, pieces: Sequence[TurnedPiece], hook: Vector, edge_m: float, line: BackLine | None = None
    ) -> None:
        unknown = [piece.name for piece in pieces if piece.amount.high is None]
        if unknown:
            raise UnknownMassError(
                f"centre of gravity not given: no mass for {', '.join(unknown)}, which could move it without "
                "bound. Weigh it, or give it a range."
            )
        if edge_m <= 0.0:
            raise StaticsError("the turning edge needs two different points.")
        self.pieces = tuple(piece for piece in pieces if piece.amount.high)
        self.hook = hook
        self.edge_m = edge_m
        self.line = line
        placed = [piece for piece in self.pieces if piece.at is not None]
        mass = math.fsum(piece.amount.best for piece in placed)
        if mass <= 0.0:
            raise StaticsError("no figures for the turn: there is no mass with a place.")
        self._places: tuple[float, tuple[Vector, ...]] | None = None
        self._middle: Vector = (
            math.fsum(p.amount.best * p.at[0] for p in placed if p.at) / mass,
            math.fsum(p.amount.best * p.at[1] for p in placed if p.at) / mass,
            math.fsum(p.amount.best * p.at[2] for p in placed if p.at) / mass,
        )
        if hook[0] <= 0.0:
            raise StaticsError("the pick point must lie on the lifted side of the edge.")
        if self.moment(0.0)[1] <= 0.0:
            raise StaticsError(
                "the centre of gravity is beyond the edge already: the load would go over before it is "
                "lifted."
            )

    def best_places(self, turned: float) -> tuple[Vector, ...]:
        """Where the best figures take every piece, as the load lies at the start; a liquid runs. [m]"""
        if self._places is None or self._places[0] != turned:
            # The room's "up", seen from the load: the load has turned one way, so up turns the other.
            up = (math.sin(turned), 0.0, math.cos(turned))
            places = []
            for piece in self.pieces:
                if piece.litres is not None and len(piece.corners) == 8:
                    places.append(_settled(piece.corners, piece.litres / 1000.0, up))
                else:
                    places.append(self._middle if piece.at is None else piece.at)
            self._places = (turned, tuple(places))
        return self._places[1]

    def limits(self, factor: Factor, turned: float, beyond: Factor | None = None) -> Limits:
        """Lowest, best and highest sum of mass times factor over all masses and places in doubt.

        Exact as long as the factors are linear in the place: then they are largest in a corner of the box.

        Parameters
        ----------
        factor : Factor
            For every piece.
        turned : float
            [rad]
        beyond : Factor, optional
            Added for the pieces beyond the joint.
        """
        low = best = high = 0.0
        for piece, place in zip(self.pieces, self.best_places(turned), strict=True):
            at = factor(place)
            reach = [factor(corner) for corner in piece.corners] or [at]
            if beyond is not None and piece.beyond is not False:
                also = [
                    f + beyond(corner) for f, corner in zip(reach, piece.corners or (place,), strict=True)
                ]
                # Nobody knows on which side it lies: both count for the limits, the best has it on this side.
                reach = also if piece.beyond else reach + also
                at += beyond(place) if piece.beyond else 0.0
            least, most = min(reach), max(reach)
            light, heavy = piece.amount.low, piece.amount.high or 0.0
            low += least * (light if least > 0.0 else heavy)
            best += piece.amount.best * at
            high += most * (heavy if most > 0.0 else light)
        # A liquid's best place lies in its box, so this only mends the last digit.
        return min(low, best), best, max(high, best)

    def mass(self) -> Limits:
        """All of it. [kg]"""
        return self.limits(lambda _: 1.0, 0.0)

    def moment(self, turned: float) -> Limits:
        """Moment that turns the load back onto the lifted side; less than nothing: it goes over. [kg m]"""
        c, s = math.cos(turned), math.sin(turned)
        return self.limits(lambda p: p[0] * c - p[2] * s, turned)

    def hook_factor(self, turned: float) -> Factor:
        """Pull of the plumb hook for each kilogram at a place: moments about the edge."""
        c, s = math.cos(turned), math.sin(turned)
        lever = turned_point(self.hook, turned)[0]
        return lambda p: (p[0] * c - p[2] * s) / lever

    def line_pull(self, turned: float) -> tuple[Factor, Vector] | None:
        """Pull of the line for each kilogram at a place, and its direction; None where it cannot hold."""
        if self.line is None:
            return None
        at = turned_point(self.line.at, turned)
        if self.line.anchor is None:
            to: Vector = (0.0, 0.0, 1.0)
        else:
            way = subtract(self.line.anchor, at)
            size = math.hypot(*way)
            if size < 1e-9:
                return None
            to = (way[0] / size, way[1] / size, way[2] / size)
        lever = at[2] * to[0] - at[0] * to[2]
        if lever <= 1e-9:
            return None
        c, s = math.cos(turned), math.sin(turned)
        return (lambda p: -(p[0] * c - p[2] * s) / lever), to

    def end_factors(self, turned: float, *, by_line: bool) -> tuple[Factor, Factor] | None:
        """What each end of the edge carries for each kilogram at a place; held by the line, or by the hook.

        Upright forces, and moments about the axis across through the first end.
        """
        if by_line:
            pull = self.line_pull(turned)
            if pull is None or self.line is None:
                return None
            factor, to = pull
            at = turned_point(self.line.at, turned)
            upright, about = to[2], at[1] * to[2] - at[2] * to[1]
        else:
            if turned_point(self.hook, turned)[0] <= 1e-9:
                return None
            factor, upright, about = self.hook_factor(turned), 1.0, self.hook[1]
        edge = self.edge_m

        def second(p: Vector) -> float:
            return (p[1] - factor(p) * about) / edge

        def first(p: Vector) -> float:
            return 1.0 - factor(p) * upright - second(p)

        return first, second

    def step(self, turned: float) -> EdgeStep:
        """Everything at one angle."""
        moment = self.moment(turned)
        lever = turned_point(self.hook, turned)[0]
        reach = math.hypot(self.hook[0], self.hook[2])
        over = _most_first(tuple(max(0.0, -value / reach) for value in moment))
        hook = (0.0, 0.0, 0.0)
        if lever > 1e-9:
            hook = _most_first(tuple(max(0.0, value / lever) for value in moment))
        pull = self.line_pull(turned)
        line = None
        if pull is not None:
            line = _most_first(tuple(max(0.0, v) for v in self.limits(pull[0], turned)))
        ends, sideways = self._ends(turned, moment, pull)
        return EdgeStep(turned, hook, ends, over, line, sideways)

    def _ends(
        self, turned: float, moment: Limits, pull: tuple[Factor, Vector] | None
    ) -> tuple[tuple[Limits, Limits] | None, float | None]:
        found: list[tuple[Limits, Limits]] = []
        best: tuple[Limits, Limits] | None = None
        sideways: float | None = None
        if moment[2] >= 0.0:
            factors = self.end_factors(turned, by_line=False)
            if factors is not None:
                found.append((self.limits(factors[0], turned), self.limits(factors[1], turned)))
                best = found[-1] if moment[1] >= 0.0 else None
        if moment[0] < 0.0:
            factors = self.end_factors(turned, by_line=True)
            if factors is not None and pull is not None:
                found.append((self.limits(factors[0], turned), self.limits(factors[1], turned)))
                best = found[-1] if moment[1] < 0.0 else best
                to = pull[1]
                most = max(0.0, self.limits(pull[0], turned)[2])
                pressing = self.limits(lambda p: 1.0 - pull[0](p) * to[2], turned)[0]
                sideways = most * math.hypot(to[0], to[1]) / pressing if pressing > 0.0 else math.inf
        if best is None:
            return None, sideways
        first, second = (
            (min(one[i][0] for one in found), best[i][1], max(one[i][2] for one in found)) for i in (0, 1)
        )
        return (first, second), sideways


def _most_first(values: Iterable[float]) -> Limits:
    """Three values as lowest, best, highest: a minus sign turns the order round, the best stays."""
    first, best, last = values
    return min(first, best, last), best, max(first, best, last)


def over_edge(
    turning: Turning, *, to_angle: float = math.pi / 2, step: float = math.radians(1.0)
) -> EdgeTurn:
    """Hook load, ends of the edge and holding-back line while a load is turned over an edge.

    Parameters
    ----------
    turning : Turning
    to_angle : float
        End of the turn. [rad]
    step : float
        Angle between the listed steps; worst and events are searched with a finer one. [rad]

    Raises
    ------
    StaticsError
        An angle that no turn has, or the load comes off an end of the edge as soon as the hook pulls.

    References
    ----------
    .. [1] Equilibrium of a rigid body in space (any statics text). Stepping fine enough to find the worst:
       0027/ND Rev 11 (2016), 6.2.5.
    """
    if not 0.0 < to_angle <= math.pi or step <= 0.0:
        raise StaticsError("a turn goes from 0° to at most 180°, in steps of more than 0°.")
    fine = _angles(to_angle, min(step, FINE))
    weight = turning.mass()[1]
    found: list[EdgeStep] = []
    comes_off: tuple[float, int, bool] | None = None
    surely_off: tuple[float, int] | None = None
    line_fails: float | None = None
    ends_at = to_angle
    moments: list[Limits] = []
    for turned in fine:
        moment = turning.moment(turned)
        moments.append(moment)
        if moment[2] > 0.0 and turned_point(turning.hook, turned)[0] <= 1e-9:
            # The hook has come plumb over the edge within one step: before that it carried all of it.
            comes_off, surely_off, ends_at = comes_off or (turned, 2, True), (turned, 2), turned
            break
        here = turning.step(turned)
        if moment[0] < 0.0 and turning.line is not None and here.line is None and line_fails is None:
            line_fails = turned
        off = _off(here, weight)
        if off is not None and comes_off is None:
            comes_off = (turned, *off)
        if off is not None and off[1]:
            if turned == 0.0:
                raise StaticsError(_off_at_once(off[0]))
            surely_off, ends_at = (turned, off[0]), turned
            break
        found.append(here)
    first, over, last = (_crossing(turning, which, fine, moments) for which in (0, 1, 2))
    listed = [s for s in found if _listed(s.turned, step, found[-1].turned)]
    held = [s for s in found if s.line is not None and s.line[2] > 0.0]
    return EdgeTurn(
        steps=tuple(listed),
        goes_over=over,
        goes_over_first=first,
        goes_over_last=last,
        comes_off=comes_off,
        surely_off=surely_off,
        line_fails=line_fails,
        ends_at=ends_at,
        worst=max(found, key=lambda s: s.hook[2]),
        worst_line=max(held, key=lambda s: s.line[2] if s.line else 0.0) if held else None,
    )


def _angles(to_angle: float, step: float) -> list[float]:
    count = math.floor(to_angle / step + 1e-9)
    angles = [i * step for i in range(count + 1)]
    if to_angle - angles[-1] > 1e-9:
        angles.append(to_angle)
    return angles


def _listed(turned: float, step: float, last: float) -> bool:
    part = turned / step
    return abs(part - round(part)) < 1e-6 or turned == last


def _off(step: EdgeStep, weight: float) -> tuple[int, bool] | None:
    """Which end may have come off at a step, and whether it certainly has."""
    if step.ends is None:
        return None
    low = [end for end in (0, 1) if step.ends[end][0] < -TOUCHING * weight]
    sure = [end for end in (0, 1) if step.ends[end][2] < -TOUCHING * weight]
    # Together less than nothing: the hook carries more than all of it, so it leaves the edge as a whole.
    chosen = sure or low
    if not chosen:
        return None
    return (2 if len(chosen) == 2 else chosen[0]), bool(sure)


def _off_at_once(end: int) -> str:
    if end == 2:
        return (
            "the hook stands nearer to the edge than the centre of gravity: the load hangs free at once "
            "and swings."
        )
    word = ("first", "second")[1 - end]
    return (
        f"the hook is too far off the centre plane: the load comes up over the {word} point of the edge "
        f"alone and "
        "swings; it does not turn about its edge. Take the hook nearer to the middle, or record a second "
        "hook."
    )


def _crossing(turning: Turning, which: int, fine: Sequence[float], moments: Sequence[Limits]) -> float | None:
    """First angle at which a limit of the moment about the edge is no longer more than nothing. [rad]"""
    index = next((i for i, moment in enumerate(moments) if moment[which] <= 0.0), None)
    if not index:
        return None if index is None else fine[0]
    before, after = fine[index - 1], fine[index]
    for _ in range(30):
        middle = (before + after) / 2
        if turning.moment(middle)[which] <= 0.0:
            after = middle
        else:
            before = middle
    return after
