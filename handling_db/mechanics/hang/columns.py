"""Many vectors as three arrays, x, y and z: sums over three figures a row cost more than three products.

Products are added in one order everywhere, x with z first: a choice between two poses that are alike must not
hang on a last digit that changes with how many rows are asked at once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]  # numbers of rows, or of pieces
Columns = tuple[Floats, Floats, Floats]


def columns(vectors: Floats) -> Columns:
    """Of an array (n, 3)."""
    x, y, z = np.ascontiguousarray(vectors.T)
    return x, y, z


def rows_of(vectors: Columns) -> Floats:
    """The same as one array (n, 3)."""
    return np.ascontiguousarray(np.array(vectors).T)


def picked(vectors: Columns, rows: Rows) -> Columns:
    """Some of the vectors."""
    return vectors[0][rows], vectors[1][rows], vectors[2][rows]


def less(first: Columns | Floats, second: Columns | Floats) -> Columns:
    """First less second; one of the two may be a single vector."""
    return first[0] - second[0], first[1] - second[1], first[2] - second[2]


def times(vectors: Columns, factor: Floats) -> Columns:
    """Each vector times its factor."""
    return vectors[0] * factor, vectors[1] * factor, vectors[2] * factor


def over(vectors: Columns, factor: Floats) -> Columns:
    """Each vector divided by its factor."""
    return vectors[0] / factor, vectors[1] / factor, vectors[2] / factor


def dots(first: Columns | Floats, second: Columns | Floats) -> Floats:
    """Scalar products."""
    found: Floats = (first[0] * second[0] + first[2] * second[2]) + first[1] * second[1]
    return found


def sizes(vectors: Columns) -> Floats:
    """Lengths."""
    x, y, z = vectors
    found: Floats = np.sqrt((x * x + y * y) + z * z)
    return found


def crosses(first: Columns | Floats, second: Columns | Floats) -> Columns:
    """Vector products, right-handed."""
    (a, b, c), (d, e, f) = first, second
    return b * f - c * e, c * d - a * f, a * e - b * d


def angles_from(directions: Columns, up: Floats) -> Floats:
    """Angle of each direction from `up`, exact for small angles too. [rad]"""
    found: Floats = np.arctan2(sizes(crosses(directions, up)), dots(directions, up))
    return found
