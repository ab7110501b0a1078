"""A small system of equations, without a matrix library."""

from __future__ import annotations

import math
from collections.abc import Sequence


def solve_definite(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float] | None:
    """Solve a small symmetric positive definite system by Cholesky's method.

    Returns
    -------
    list of float or None
        None where the matrix is not positive definite.
    """
    size = len(matrix)
    lower = [[0.0] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            rest = matrix[i][j] - math.fsum(lower[i][k] * lower[j][k] for k in range(j))
            if i == j:
                if rest <= 1e-14 * matrix[i][i]:
                    return None
                lower[i][i] = math.sqrt(rest)
            else:
                lower[i][j] = rest / lower[j][j]
    half: list[float] = []
    for i in range(size):
        half.append((right[i] - math.fsum(lower[i][k] * half[k] for k in range(i))) / lower[i][i])
    solved = [0.0] * size
    for i in reversed(range(size)):
        later = math.fsum(lower[k][i] * solved[k] for k in range(i + 1, size))
        solved[i] = (half[i] - later) / lower[i][i]
    return solved
