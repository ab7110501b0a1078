"""What an oracle found: how many cases, and how many of them were wrong in which way."""

from __future__ import annotations

from dataclasses import dataclass, field

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
