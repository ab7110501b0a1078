"""Centres over arrays against a walk over every single piece, and against the records' way."""

from __future__ import annotations

import random

import numpy as np
import pytest

from handling_db.weights.graph.level_arrays import sort_by_level
from handling_db.weights.graph.level_centres import LinePlaces, array_centres


def turned(angles: tuple[float, float, float]) -> np.ndarray:
    """Roll about x, then pitch about y, then yaw about z, as three plain matrices."""
    roll, pitch, yaw = np.radians(angles)
    x = np.array([[1, 0, 0], [0, np.cos(roll), -np.sin(roll)], [0, np.sin(roll), np.cos(roll)]])
    y = np.array([[np.cos(pitch), 0, np.sin(pitch)], [0, 1, 0], [-np.sin(pitch), 0, np.cos(pitch)]])
    z = np.array([[np.cos(yaw), -np.sin(yaw), 0], [np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]])
    return z @ y @ x


@pytest.mark.parametrize("seed", range(25))
def test_against_every_piece_placed_one_by_one(seed: int) -> None:
    """A shared graph unfolded piece by piece into points in the frame of each node."""
    chance = random.Random(seed)
    count = 14
    lines: list[tuple[int, int, int]] = []
    for child in range(1, count):
        lines += [
            (chance.randrange(child), child, chance.choice([1, 1, 2]))
            for _ in range(chance.choice([1, 1, 2]))
        ]
    parents = {line[0] for line in lines}
    own_mass = [0.0 if node in parents else chance.choice([0.0, 1.0, 2.5, 7.0]) for node in range(count)]
    own = np.full((count, 3), np.nan)
    for node in range(count):
        if chance.random() < 0.3:
            own[node] = [chance.uniform(-1, 1) for _ in range(3)]
    at = np.array([[chance.uniform(-3, 3) for _ in range(3)] for _ in lines])
    angles = np.array(
        [
            [chance.uniform(-180, 180) if number == 1 and chance.random() < 0.5 else 0.0 for _ in range(3)]
            for _, _, number in lines
        ]
    )
    at[[chance.random() < 0.05 for _ in lines]] = np.nan

    def pieces(node: int) -> list[tuple[float, np.ndarray]]:
        """Mass and place of each single piece in the node's frame; a place of nan where it is not known."""
        if node not in parents:
            middle = own[node] if not np.isnan(own[node]).any() else np.zeros(3)
            return [(own_mass[node], middle)] if own_mass[node] else []
        found = []
        for index, (parent, child, number) in enumerate(lines):
            if parent == node:
                for _ in range(number):
                    found += [
                        (mass, at[index] + turned(tuple(angles[index])) @ where)
                        for mass, where in pieces(child)
                    ]
        return found

    levels = sort_by_level(
        count,
        np.array([line[0] for line in lines], dtype=np.int32),
        np.array([line[1] for line in lines], dtype=np.int32),
        np.array([line[2] for line in lines], dtype=np.float64),
    )
    mass = np.array([sum(one for one, _ in pieces(node)) for node in range(count)])
    found = array_centres(levels, mass, own, np.ones(count, dtype=bool), LinePlaces(at, angles))

    for node in range(count):
        every = pieces(node)
        whole = sum(one for one, _ in every)
        expected = sum(one * where for one, where in every) / whole if whole else np.full(3, np.nan)
        np.testing.assert_allclose(found[node], expected, rtol=1e-9, atol=1e-9)


def test_a_weighed_whole_keeps_its_own_centre_and_hides_its_parts() -> None:
    parent, child = np.array([0, 1], dtype=np.int32), np.array([1, 2], dtype=np.int32)
    levels = sort_by_level(3, parent, child, np.ones(2))
    mass = np.array([10.0, 10.0, 4.0])
    summed = np.array([True, False, False])
    places = LinePlaces(np.array([[1.0, 0, 0], [5.0, 0, 0]]), np.zeros((2, 3)))
    own = np.full((3, 3), np.nan)

    assert np.isnan(array_centres(levels, mass, own, summed, places)[:2]).all()
    own[1] = [0.5, 0.0, 0.0]
    found = array_centres(levels, mass, own, summed, places)
    assert found[1].tolist() == [0.5, 0.0, 0.0]
    assert found[0].tolist() == [1.5, 0.0, 0.0]
