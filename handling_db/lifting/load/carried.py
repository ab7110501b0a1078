"""Pieces in a lift group that one figure stands for, each with its mass and place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.lookup.plan import Lifted
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.vectors import Box, Vector
from handling_db.quantities.mass import Mass
from handling_db.quantities.notice import Facts, Notice

MOST_NAMED = 5  # names of pieces that one sentence gives


def at_datum(names: Sequence[str]) -> Notice:
    """That pieces are taken at their datum, since nobody recorded their centre."""
    facts: Facts = {"count": len(names), "names": tuple(names[:MOST_NAMED])}
    if len(names) > MOST_NAMED:
        return Notice("many taken at their datum", {**facts, "more": len(names) - MOST_NAMED})
    return Notice("taken at its datum" if len(names) == 1 else "taken at their datum", facts)


def at_line(name: str) -> Notice:
    """A fluid that counts where its part line says, since nothing says where what is inside lies."""
    return Notice("where its part line says", {"name": name})


@dataclass(frozen=True, slots=True)
class Carried:
    """Pieces in the group that one figure stands for. Mass of all of them together. [kg, m]"""

    index: int
    id: str
    name: str
    pieces: Fraction
    mass: Mass | None
    at: Vector | None
    source: str
    assumed: bool
    within: Box | None = None  # where it surely lies, without a place
    at_datum: bool = False  # its own centre is not recorded
    inferred: str = ""  # what its range rests on, where nobody weighed it
    scatters: bool = False  # it was weighed with others of its kind, and one alone is off their mean
    of_mean: int = 0  # so many were weighed together, others are lifted, and the scatter is not recorded
    lifted: Lifted | None = None
    # Of one that was weighed as a whole and whose centre nobody knows: its parts with their places, each as
    # all the evidence leaves it; together they weigh what the whole does.
    parts: tuple[Weighted, ...] = ()
