"""Attacks: random hostile and honest input of every door, with known truth.

Each module here has ``run(rng, count) -> counts``: `rng` a `random.Random`, `count` how many attacks, and
`counts` a mapping of what was seen to how often. Words in `BAD` must stay at 0; everything else is told so that
one sees that the attacks reached something. ``python -m tests.attacks`` makes the long run, the suite a short one.
"""

from __future__ import annotations

from collections.abc import Mapping

Counts = Mapping[str, int]

BAD = ("tracebacks", "wrong in silence", "lost", "half written", "server errors")


def bad(counts: Counts) -> dict[str, int]:
    """What must not have been seen, and was."""
    return {word: counts[word] for word in BAD if counts.get(word)}
