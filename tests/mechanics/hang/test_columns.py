"""Vectors as columns, against numpy's own functions over rows."""

from __future__ import annotations

import numpy as np

from handling_db.mechanics.hang import columns as col


def test_products_sizes_and_angles_are_those_of_numpy() -> None:
    rng = np.random.default_rng(11)
    first, second = rng.normal(size=(2, 50, 3))
    up = np.array([0.6, 0.0, 0.8])
    a, b = col.columns(first), col.columns(second)
    assert np.allclose(col.dots(a, b), (first * second).sum(axis=1), rtol=1e-14, atol=1e-14)
    assert np.allclose(col.sizes(a), np.linalg.norm(first, axis=1), rtol=1e-15)
    assert np.allclose(col.rows_of(col.crosses(a, b)), np.cross(first, second), rtol=1e-14, atol=1e-14)
    assert np.allclose(col.rows_of(col.crosses(a, up)), np.cross(first, up), rtol=1e-14, atol=1e-14)
    cosine = (first @ up) / np.linalg.norm(first, axis=1)
    assert np.allclose(col.angles_from(a, up), np.arccos(cosine), rtol=1e-7)


def test_rows_come_back_as_they_went_in() -> None:
    rng = np.random.default_rng(12)
    rows = rng.normal(size=(7, 3))
    assert np.array_equal(col.rows_of(col.columns(rows)), rows)
    assert np.array_equal(col.rows_of(col.picked(col.columns(rows), np.array([4, 1]))), rows[[4, 1]])
    factor = rng.uniform(1.0, 2.0, 7)
    there = col.over(col.times(col.columns(rows), factor), factor)
    assert np.allclose(col.rows_of(col.less(there, col.columns(rows))), 0.0, atol=1e-15)
