"""What a piece of gear may carry in its place, before it is set beside what it is asked."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rated:
    """What a piece may carry in its place, before it is set beside what it is asked. [kg]

    Parameters
    ----------
    rating_kg : float or None
    basis : str
        What it rests on, or why there is none.
    why_not : str
        Why it is not compared although it may have a rating; empty where it is.
    says, cautions : tuple of str
        Cautions are what the rating holds under.
    """

    rating_kg: float | None
    basis: str
    why_not: str = ""
    says: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
