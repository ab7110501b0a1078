"""Where a hook is plumb over a centre, for tests that give it by its height."""

from __future__ import annotations

from handling_db.mechanics.vectors import UP, Vector, add, scale, unit


def hook_over(centre: Vector, height_m: float, up: Vector = UP) -> Vector:
    """The hook place plumb over a centre of gravity. [m]"""
    return add(centre, scale(unit(up), height_m))
