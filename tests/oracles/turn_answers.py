"""Turns and faces as records: random units written as YAML, asked through the answers, against numpy.

Truth stands in the room: places, edge, hook and anchor there. They are written into the frame of a root that is
turned in the room by a random attitude, so that every frame on the way from record to answer is gone through.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from scipy.optimize import brentq
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from handling_db.errors import HandlingError
from handling_db.files.reading import read_texts
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.turn.answer import turn_answer
from handling_db.moving.answer import move_answer
from handling_db.moving.question import MoveQuestion
from handling_db.records.proved import Records
from handling_db.tables.kinds import shipped_kinds
from tests.oracles.count import Count, kinds_in_turn

QUARTERS = (0.0, 90.0, 180.0, 270.0)


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random turns and faces for so long."""
    return kinds_in_turn(rng, seconds, (turned, stood))


def _point(at: np.ndarray) -> str:
    return "[" + ", ".join(f"{1000 * value:.4f} mm" for value in at) + "]"


def _unit(rng: np.random.Generator, origin: np.ndarray, turn: Rotation) -> tuple[str, np.ndarray, np.ndarray]:
    """YAML of a unit with parts at random places of the room; masses and places in the room."""
    count = int(rng.integers(1, 5))
    masses = np.round(10 ** rng.uniform(0, 3, count), 2)
    places = np.column_stack(
        [rng.uniform(0.05, 1.5, count), rng.uniform(0.0, 1.0, count), rng.uniform(0.0, 1.0, count)]
    )
    text = ["- {source: scale, name: Scale, kind: weighed}"]
    lines = []
    for i, (mass, place) in enumerate(zip(masses, places, strict=True)):
        text.append(
            f"- {{component: part-{i}, name: Part {i}, kind: part, centre: [0 mm, 0 mm, 0 mm], masses: "
            f"[{{printed: {mass:.2f} kg, plus or minus: 0.0001 kg, source: scale}}]}}"
        )
        own = turn.inv().apply(place - origin)
        lines.append(f"    - {{component: part-{i}, quantity: 1, at: {_point(own)}}}")
    head = "- component: unit\n  name: Unit\n  kind: assembly\n  parts listed: all\n  parts:\n"
    return "\n".join(text) + "\n" + head + "\n".join(lines) + "\n", masses, places


def _records(text: str) -> Records:
    reading = read_texts([("records.yml", text)])
    assert [str(finding) for finding in reading.findings] == []
    return Records.taken_from(replace(reading.collection, source_kinds=shipped_kinds()))


def turned(rng: np.random.Generator) -> int:
    """Hook, ends of the edge, balance and line over the turn of a recorded lift group."""
    roll, pitch = (float(rng.choice(QUARTERS)) for _ in range(2))
    yaw = round(float(rng.uniform(-180, 180)), 3)
    # The record's turn is about the fixed axes of the room, roll first: scipy's small letters.
    turn = Rotation.from_euler("xyz", [roll, pitch, yaw], degrees=True)
    origin = np.round(rng.uniform(-0.5, 0.5, 3), 3)
    text, masses, places = _unit(rng, origin, turn)
    hook = np.array([rng.uniform(1.0, 2.0), rng.uniform(0.2, 0.8), rng.uniform(0.0, 0.5)])
    anchor = np.array([rng.uniform(2.5, 6.0), rng.uniform(-0.5, 1.5), rng.uniform(0.0, 3.0)])
    ends = [np.zeros(3), np.array([0.0, 1.0, 0.0])]
    if rng.random() < 0.5:
        ends.reverse()

    def own(at: np.ndarray) -> str:
        return _point(turn.inv().apply(at - origin))

    text += (
        f"  attitudes: [{{id: here, name: here, turned: {{roll: {roll} deg, pitch: {pitch} deg, yaw: {yaw} deg}}}}]\n"
        "- lift group: over\n  name: Over\n  root: unit\n  takes: [[unit]]\n  attitude: here\n  trapped: none\n"
        "  packing: none\n  checked by: fitter\n"
        f"  turn: {{edge: [{own(ends[0])}, {own(ends[1])}], hook: {own(hook)}, "
        f"hold back: {{at: {own(hook)}, anchor: {own(anchor)}}}}}\n"
    )
    answer = turn_answer(_records(text), "over", LiftQuestion())
    whole = masses.sum()

    def moment(angle: float) -> float:
        c, s = math.cos(angle), math.sin(angle)
        return float((masses * (places[:, 0] * c - places[:, 2] * s)).sum())

    scale = 1e-3 * whole
    if not answer.steps:
        # Refused: at the very start the hook carries more than all of it, or an end of the edge less than nothing.
        pull = moment(0.0) / hook[0]
        second = float((masses * places[:, 1]).sum()) - pull * hook[1]
        least = min(whole - pull, second, whole - pull - second)
        assert least < scale, (answer.no_figures, least)
        return 1
    end = math.pi / 2
    if moment(end) < -scale * 0.1:
        over = math.degrees(brentq(moment, 0.0, end))
        if over < answer.steps[-1].turned:
            assert answer.goes_over is not None
            assert abs(answer.goes_over - over) < 0.05, (answer.goes_over, over)
    for step in answer.steps:
        angle = math.radians(step.turned)
        at = Rotation.from_rotvec([0.0, -angle, 0.0]).apply(hook)
        pull = moment(angle) / at[0] if at[0] > 1e-3 else math.inf
        if moment(angle) > scale:
            assert abs(step.hook_kg - pull) < scale, (step, pull)
            assert step.hook_high_kg >= pull - 1e-2
            second = (float((masses * places[:, 1]).sum()) - pull * at[1]) / 1.0
            assert step.ends_low_kg is not None
            mine = sorted(step.ends_low_kg)
            theirs = sorted((whole - pull - second, second))
            assert np.allclose(mine, theirs, atol=2 * scale), (mine, theirs)
        elif moment(angle) < -scale:
            way = (anchor - at) / np.linalg.norm(anchor - at)
            lever = at[2] * way[0] - at[0] * way[2]
            if lever > 0.02:
                held = -moment(angle) / lever
                assert step.line_kg is not None
                assert abs(step.line_kg - held) < scale + 0.02 * held, (step, held)
            elif lever < -0.02:
                assert step.line_kg is None
                assert "line-cannot-hold" in {notice.kind for notice in answer.first}
    return 1


def stood(rng: np.random.Generator) -> int:
    """How a piece stands on a recorded face that looks along one of its axes."""
    axis = int(rng.integers(3))
    sign = float(rng.choice((-1.0, 1.0)))
    looks = np.zeros(3)
    looks[axis] = sign
    feet = rng.uniform(-1.0, 1.0, (int(rng.integers(3, 7)), 2))
    level = float(rng.uniform(-1.0, 1.0))
    across = [i for i in range(3) if i != axis]
    corners = np.zeros((len(feet), 3))
    corners[:, across] = feet
    corners[:, axis] = level
    corners = np.round(corners, 6)
    weights = rng.dirichlet(np.ones(len(feet)))
    height = float(10 ** rng.uniform(-1, 0.5))
    centre = np.round(weights @ corners - looks * height, 6)
    mass = round(float(10 ** rng.uniform(0, 3)), 2)
    word = ("-" if sign < 0 else "") + "xyz"[axis]
    text = (
        "- {source: scale, name: Scale, kind: weighed}\n"
        f"- component: piece\n  name: Piece\n  kind: part\n  centre: {_point(centre)}\n  masses:\n"
        f"    - {{printed: {mass:.2f} kg, plus or minus: 0.0001 kg, source: scale}}\n"
        "  set down faces:\n    - {id: foot, name: foot, may rest: yes, "
        f"corners: [{', '.join(map(_point, corners))}], square to: {word}}}\n"
    )
    hull = ConvexHull(corners[:, across])
    room = -(hull.equations[:, :2] @ centre[across] + hull.equations[:, 2])
    try:
        stand = move_answer(_records(text), MoveQuestion(what="piece")).standing[0]
    except HandlingError as error:
        raise AssertionError(f"refused: {error}") from error
    least = float(room.min())
    if stand.weakest is None:
        assert least < 2e-3 or hull.volume < 1e-4, (stand.no_figures, least)
        return 1
    tips = math.degrees(math.atan2(least, height))
    assert abs(stand.weakest.best_tips_at - tips) < 0.05, (stand.weakest, tips)
    assert stand.weakest.tips_at <= tips + 1e-3
    assert stand.height_m is not None
    assert abs(stand.height_m - height) < 1e-4
    return 1
