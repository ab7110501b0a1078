"""Random pieces on a face, bare or on a pallet, moved by a truck: distances, tips and axles by corners.

The truth is drawn here as numbers: masses with limits, centres with limits, a face, a pallet, a truck. Every
figure is a ratio of sums in the masses, so its extremes lie at corners: each mass at one of its limits, each
centre at the worse of its own. All corners are gone through with numpy, and every three feet
that may carry.
"""

from __future__ import annotations

import itertools
import math
import time
from dataclasses import dataclass

import numpy as np

from handling_db.moving.answer import move_answer
from handling_db.moving.figures import MoveAnswer, StandFigure
from handling_db.moving.question import MoveQuestion
from tests.from_text import SCALE, collection
from tests.oracles.count import DANGEROUS, Count

WIDE = 0.05  # beyond the worst corner, of the distance or the mass
NEAR = 1e-6
# Way of the face in the piece's frame: the columns of the room's x, y and z (z up, off the face).
LANDED = {
    "-z": np.eye(3),
    "z": np.array([[1.0, 0, 0], [0, -1, 0], [0, 0, -1]]),
    "-x": np.array([[0.0, 0, 1], [1, 0, 0], [0, 1, 0]]),
    "x": np.array([[0.0, 0, -1], [1, 0, 0], [0, -1, 0]]),
    "-y": np.array([[0.0, 1, 0], [0, 0, 1], [1, 0, 0]]),
    "y": np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]]),
}


@dataclass
class Part:
    """One part: limits of its mass [kg] and of its centre from the face's middle, in the room [mm]."""

    low: float
    high: float
    at: np.ndarray
    spread: float


QUARTER = np.array([[0.0, -1.0], [1.0, 0.0]])


def mm(values: np.ndarray) -> str:
    return "[" + ", ".join(f"{round(float(v), 3):g} mm" for v in values) + "]"


class Move:
    """A random move: its records and its truth."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.way = str(rng.choice(list(LANDED)))
        self.half = rng.integers(150, 700, 2).astype(float)
        self.middle = rng.integers(-300, 300, 3).astype(float)
        self.parts = []
        reach = float(rng.choice([0.5, 0.5, 0.5, 1.3]))  # sometimes it lies outside what it stands on
        for _ in range(int(rng.integers(1, 5))):
            best = round(float(rng.uniform(5, 900)), 1)
            doubt = round(float(rng.uniform(0.1, 0.15 * best)), 1)
            inside = rng.uniform(-reach, reach, 2) * self.half
            at = np.array([*inside, rng.uniform(30, 900)]).round()
            spread = float(rng.choice([0.0, 0.0, 5.0, 25.0]))
            self.parts.append((best, doubt, Part(best - doubt, best + doubt, at, spread)))
        self.pallet: tuple[float, float, float, float, float] | None = None
        self.aside = np.zeros(2)
        self.feet: list[np.ndarray] = []
        self.wrap = 0.0  # mass of the packing, somewhere over the pallet
        self.turned = 0
        if rng.random() < 0.6:
            own = round(float(rng.uniform(15, 60)), 1)
            self.pallet = (
                2.0 * (self.half[0] + 400),
                2.0 * (self.half[1] + 400),
                float(rng.integers(100, 200)),
                own,
                round(0.05 * own, 2),
            )
            self.feet = self._feet()
            self.wrap = float(rng.choice([0.0, 0.0, 4.0, 12.0]))
            self.aside = rng.integers(-80, 81, 2).astype(float)
            self.turned = int(rng.choice([0, 90, 180, 270]))
        self.truck = {
            "own": float(rng.integers(2500, 5000)),
            "base": float(rng.integers(1300, 1900)),
            "back": float(rng.integers(700, 1100)),
            "axle": float(rng.integers(300, 500)),
            "spread": float(rng.integers(400, 800)),
        }

    def _feet(self) -> list[np.ndarray]:
        """None, three or four feet of the pallet. [mm]"""
        x, y = self.half + 300
        ways = [[], [(-x, -y), (x, -y), (0.0, y)], [(-x, -y), (x, -y), (x, y), (-x, y)]]
        return [np.array(foot) for foot in ways[int(self.rng.integers(3))]]

    def piece_frame(self, point: np.ndarray) -> np.ndarray:
        """A point over the middle of the face, in the room, in the piece's own frame. [mm]"""
        return LANDED[self.way] @ point + self.middle

    def text(self) -> str:
        """The records."""
        lines = [SCALE]
        names = []
        for number, (best, doubt, part) in enumerate(self.parts):
            names.append(f"{{component: p{number}, quantity: 1, at: {mm(np.zeros(3))}}}")
            spread = f"\n  centre plus or minus: {part.spread:g} mm" if part.spread else ""
            lines.append(
                f"- component: p{number}\n  name: P{number}\n  kind: part\n"
                f"  masses: [{{printed: {best:g} kg, plus or minus: {doubt:g} kg, source: scale}}]\n"
                f"  centre: {mm(self.piece_frame(part.at))}{spread}\n"
            )
        corners = [
            mm(self.piece_frame(np.array([sx * self.half[0], sy * self.half[1], 0.0])))
            for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
        lines.append(
            "- component: unit\n  name: Unit\n  kind: assembly\n  parts listed: all\n"
            f"  parts: [{', '.join(names)}]\n"
            f"  set down faces: [{{id: f, name: the face, may rest: yes, corners: [{', '.join(corners)}], "
            f"square to: {self.way}}}]\n"
        )
        truck = self.truck
        lines.append(
            "- mover: truck\n  name: Truck\n  kind: forklift\n  rated: 3000 kg\n  rated load centre: 500 mm\n"
            f"  axle to fork face: {truck['axle']:g} mm\n  wheelbase: {truck['base']:g} mm\n"
            f"  centre behind front axle: {truck['back']:g} mm\n  own mass: {truck['own']:g} kg\n"
            f"  fork spread: {truck['spread']:g} mm\n  fork length: 1200 mm\n"
        )
        if self.pallet is not None:
            length, width, deck, own, doubt = self.pallet
            feet = ", ".join(mm(foot) for foot in self.feet)
            wrap = f"{self.wrap:g} kg\n  plus or minus: 1 kg" if self.wrap else "none"
            lines.append(
                f"- pallet: flat\n  name: Flat\n  kind: flat pallet\n  length: {length:g} mm\n  width: {width:g} mm\n"
                f"  deck height: {deck:g} mm\n  fork top: 90 mm\n  own mass: {own:g} kg\n"
                f"  plus or minus: {doubt:g} kg\n  ratings: none\n  checked by: me\n"
                + (f"  feet: {{at: [{feet}]}}\n" if feet else "")
            )
            lines.append(
                "- packing: pack\n  name: Pack\n  kind: straps\n  for components: [unit]\n  pallet: flat\n"
                f"  face: f\n  own mass: {wrap}\n  height: 1500 mm\n  piece at: {mm(self.aside)}\n"
                f"  piece turned: {self.turned} deg\n  checked by: me\n"
            )
        return "".join(lines)

    def seen(self, quarter: int, *, deck: bool) -> Seen:
        """All corners, as somebody sees it who looks from a quarter turn; on the deck or on the face. [mm, kg]"""
        turn = np.linalg.matrix_power(QUARTER, quarter + self.turned // 90)
        half = np.abs(turn @ self.half)
        places = [turn @ part.at[:2] for _, _, part in self.parts]
        spreads = [part.spread for _, _, part in self.parts]
        heights = [part.at[2] for _, _, part in self.parts]
        limits = [(part.low, part.high) for _, _, part in self.parts]
        if deck and self.pallet is not None:
            length, width, tall, own, doubt = self.pallet
            places = [at + self.aside for at in places] + [np.zeros(2)]
            spreads = [*spreads, 0.0]
            heights = [*heights, -tall / 2]
            limits = [*limits, (own - doubt, own + doubt)]
            half = np.array([length, width]) / 2
            if self.wrap:
                places, spreads = [*places, np.zeros(2)], [*spreads, 0.0]
                heights, limits = [*heights, 750.0], [*limits, (self.wrap - 1, self.wrap + 1)]
        masses = np.array(list(itertools.product(*limits)))
        loose = np.array([[s, s, s] for s in spreads])
        if deck and self.pallet is not None and self.wrap:
            loose[-1] = [*half, 750.0]
        return Seen(masses, np.array(places), np.array(heights), loose, half)


@dataclass
class Seen:
    """Corners of the masses [kg], where each piece is, from the middle of what it stands on, and how far off that. [mm]"""

    masses: np.ndarray
    places: np.ndarray
    heights: np.ndarray
    spreads: np.ndarray
    half: np.ndarray

    def most(self, axis: int, sign: int) -> float:
        """How far towards one side the centre may be. [mm]"""
        reach = sign * self.places[:, axis] + self.spreads[:, axis]
        return float(np.max(self.masses @ reach / self.masses.sum(axis=1)))

    def highest(self) -> float:
        """Of the centre, over what it stands on. [mm]"""
        return float(np.max(self.masses @ (self.heights + self.spreads[:, 2]) / self.masses.sum(axis=1)))

    def tips(self, out: np.ndarray, edge: float, floor: float) -> float:
        """Least tilt at which it goes over an edge; below nothing where the centre may lie outside. [deg]

        Parameters
        ----------
        out : numpy.ndarray
            The way the edge looks, of length one.
        edge : float
            How far that way the edge is. [mm]
        floor : float
            From the floor to what the heights count from. [mm]
        """
        room = edge - self.places @ out - self.spreads[:, :2] @ np.abs(out)
        up = self.heights + self.spreads[:, 2] + floor
        return float(np.degrees(np.min(np.arctan2(self.masses @ room, self.masses @ up))))

    def moment(self, axis: int, sign: int, ahead: float) -> float:
        """Most moment about a line so far before the face on one side. [kg mm]"""
        arm = self.half[axis] + sign * self.places[:, axis] + self.spreads[:, axis] + ahead
        return float(np.max(self.masses @ arm))

    def foot(self, feet: np.ndarray, index: int) -> float:
        """The most that one foot may carry at any corner. [kg]

        Statics leaves a choice with four feet; the most of one is where no more than three carry.
        """
        signs = np.array(list(itertools.product((-1, 1), repeat=2)))
        loads = np.array(
            [
                [mass.sum(), *(mass @ (self.places + sign * self.spreads[:, :2]))]
                for mass in self.masses
                for sign in signs
            ]
        )
        most = 0.0
        for three in itertools.combinations(range(len(feet)), 3):
            if index in three:
                equal = np.vstack([np.ones(3), feet[list(three)].T])
                shares = loads @ np.linalg.inv(equal).T
                stands = (shares >= -1e-9).all(axis=1)
                most = max(most, *shares[stands, three.index(index)], 0.0)
        return most


SIDES = {"low x": (0, 1), "high x": (0, -1), "low y": (1, 1), "high y": (1, -1)}


def judged(move: Move, answer: MoveAnswer) -> list[tuple[str, str]]:
    """What is wrong with an answer, seen from whichever quarter it fits best."""
    if answer.no_centre:
        return [("wide", f"no centre although all is recorded: {answer.no_centre}")]
    found = [wrong(move, answer, quarter) for quarter in range(4)]
    return min(found, key=len)


def wrong(move: Move, answer: MoveAnswer, quarter: int) -> list[tuple[str, str]]:
    """What is wrong with an answer, seen from one quarter."""
    found: list[tuple[str, str]] = []

    def at_least(what: str, told: float, true: float, wide: float) -> None:
        if told < true - NEAR - DANGEROUS * abs(true):
            found.append(("dangerous", f"{what}: {told}, true {true}"))
        elif told > true + wide:
            found.append(("wide", f"{what}: {told}, true {true}"))

    deck, bare = move.seen(quarter, deck=True), move.seen(quarter, deck=False)
    gross = float(deck.masses.sum(axis=1).max())
    assert answer.gross is not None
    told = math.inf if answer.gross.high is None else answer.gross.high
    at_least("gross", told, gross, DANGEROUS * gross)
    size = float(deck.half.max()) / 1000
    for entry in answer.entries:
        axis, sign = SIDES[entry.side]
        true = (deck.half[axis] + deck.most(axis, sign)) / 1000
        at_least(f"load centre from {entry.side}", entry.load_centre_high, true, WIDE * size)
        aside = max(deck.most(1 - axis, 1), deck.most(1 - axis, -1)) / 1000
        told = abs(entry.sideways) + entry.sideways_high if entry.sideways_high < 0 else entry.sideways_high
        at_least(f"sideways from {entry.side}", told, aside, WIDE * size)
    for truck in answer.trucks:
        if truck.axles is None:
            if stands(deck, box(deck.half), 0.0):
                found.append(("wide", f"no axle loads from {truck.side}"))
            continue
        axis, sign = SIDES[truck.side]
        own, base, back = (move.truck[name] for name in ("own", "base", "back"))
        rear = (own * back - deck.moment(axis, sign, move.truck["axle"])) / base
        at_least(f"rear axle from {truck.side}", -truck.axles.rear_kg, -rear, WIDE * gross)
        front = (own * (base - back) + deck.moment(axis, sign, move.truck["axle"] + base)) / base
        at_least(f"front axle from {truck.side}", truck.axles.front_kg, front, WIDE * gross)
    for stand in answer.standing:
        if "one body" in stand.what and move.pallet:
            feet = np.array(move.feet) if move.feet else box(deck.half)
            found += standing(stand, deck, move.pallet[2], feet)
        else:
            found += standing(stand, bare, 0.0, box(bare.half), move.aside)
    if move.feet:
        feet = np.array(move.feet)
        if not answer.feet and stands(deck, feet, 0.0):
            found.append(("wide", f"nothing said of its feet: {answer.feet_words}"))
        for index, foot in enumerate(answer.feet):
            told = math.inf if foot.highest_kg is None else foot.highest_kg
            at_least(f"foot at {foot.at}", told, deck.foot(feet, index), 0.1 * gross)
    return found


def box(half: np.ndarray) -> np.ndarray:
    """Corners of a rectangle about the middle. [mm]"""
    return np.array([[x * half[0], y * half[1]] for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))])


def outwards(feet: np.ndarray) -> list[tuple[np.ndarray, float]]:
    """Of each side of an outline, against the clock: the way it looks, and how far that way it is. [mm]"""
    found = []
    for start, end in zip(feet, np.roll(feet, -1, axis=0), strict=True):
        out = np.array([end[1] - start[1], start[0] - end[0]]) / np.linalg.norm(end - start)
        found.append((out, float(out @ start)))
    return found


def stands(here: Seen, feet: np.ndarray, floor: float) -> bool:
    """Whether the centre lies within the outline wherever it may be."""
    return all(here.tips(out, edge, floor) > 0 for out, edge in outwards(feet))


def standing(
    stand: StandFigure, here: Seen, floor: float, feet: np.ndarray, aside: np.ndarray | None = None
) -> list[tuple[str, str]]:
    """What is wrong with how it stands on an outline that begins `aside` of where places count from. [mm]"""
    from_ = np.zeros(2) if aside is None else aside
    if not stand.edges:
        said = f"nothing said of {stand.what}: {stand.no_figures}"
        return [("wide", said)] if stands(here, feet, floor) else []
    found: list[tuple[str, str]] = []
    told = np.array(stand.outline) * 1000 - from_
    if len(told) != len(feet) or not all(np.min(np.abs(told - one).max(axis=1)) < 1e-3 for one in feet):
        found.append(("dangerous", f"{stand.what}: stands on {told.tolist()}, true {feet.tolist()}"))
    high = (here.highest() + floor) / 1000
    if stand.height_high_m is None or stand.height_high_m < high * (1 - DANGEROUS) - NEAR:
        found.append(("dangerous", f"{stand.what}: up to {stand.height_high_m} m high, true {high}"))
    for edge in stand.edges:
        start = np.array(edge.start) * 1000 - from_
        nearest = min(range(len(feet)), key=lambda n: float(np.linalg.norm(feet[n] - start)))
        true = here.tips(*outwards(feet)[nearest], floor)
        if edge.tips_at > true + NEAR + DANGEROUS * abs(true):
            found.append(("dangerous", f"{stand.what}, {edge.towards}: {edge.tips_at} deg, true {true}"))
        elif edge.tips_at < true - max(2.0, 0.15 * true):
            found.append(("wide", f"{stand.what}, {edge.towards}: {edge.tips_at} deg, true {true}"))
    return found


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random moves for so many seconds."""
    count = Count()
    until = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < until:
        move = Move(rng)
        count.cases += 1
        try:
            answer = move_answer(collection(move.text()), MoveQuestion(what="unit", state="dry"))
        except AssertionError:
            raise
        except Exception as error:  # whatever it is, it is counted with the records that made it
            count.note("crashes", f"{type(error).__name__} {error}\n{move.text()}")
            continue
        for kind, words in judged(move, answer):
            count.note(kind, f"{words}\n{move.text()}")
    return count
