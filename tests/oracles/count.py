"""What an oracle found: how many cases, and how many of them were wrong in which way."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

# A figure this part below the true one is dangerous; less is rounding.
DANGEROUS = 1e-3
MOST_EXAMPLES = 5


@dataclass
class Count:
    """Cases that were run, and what was wrong with them.

    Parameters
    ----------
    cases : int
    dangerous : int
        The program said less than is true (beyond 0.1 %), or kept silent where it has to warn.
    wide : int
        The program said clearly more than is true, or warned where nothing is wrong.
    crashes : int
        The program raised something else than its own refusal.
    examples : list of str
        The first few of them, as a person needs them to make the case again.
    """

    cases: int = 0
    dangerous: int = 0
    wide: int = 0
    crashes: int = 0
    examples: list[str] = field(default_factory=list)

    def note(self, kind: str, words: str) -> None:
        """Count one fault ("dangerous", "wide" or "crashes") and keep its words if there is room."""
        setattr(self, kind, getattr(self, kind) + 1)
        if len(self.examples) < MOST_EXAMPLES:
            self.examples.append(f"{kind}: {words}")

    def add(self, other: Count) -> None:
        """Add the findings of another run."""
        self.cases += other.cases
        self.dangerous += other.dangerous
        self.wide += other.wide
        self.crashes += other.crashes
        self.examples += other.examples[: MOST_EXAMPLES - len(self.examples)]

    @property
    def clean(self) -> bool:
        """Whether nothing was found on the dangerous side and nothing fell over."""
        return self.cases > 0 and self.dangerous == 0 and self.crashes == 0


def kinds_in_turn(
    rng: np.random.Generator, seconds: float, kinds: tuple[Callable[[np.random.Generator], int], ...]
) -> Count:
    """One case of each kind after the other for so long; what a kind asserts and does not hold is dangerous. [s]"""
    found = Count()
    end = time.monotonic() + seconds
    while not found.cases or time.monotonic() < end:
        for kind in kinds:
            try:
                found.cases += kind(rng)
            except AssertionError as error:
                found.cases += 1
                found.note("dangerous", f"{kind.__name__}: {str(error)[:300]}")
            except Exception as error:  # what is not a refusal of ours is a crash
                found.cases += 1
                found.note("crashes", f"{kind.__name__}: {error!r}"[:300])
    return found
