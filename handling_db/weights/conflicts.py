"""Of many conflicts the few that are told: a gross slip contradicts what is around it in many ways."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.classes import dataclass

CONFLICTS = 3  # told of one piece
FIGURES = 8  # told of one conflict
COMMON = 4  # told of what stands in all of them

Conflict = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FewConflicts:
    """What is told of several conflicts, each a set of figures that cannot all be true.

    Parameters
    ----------
    shown : tuple of tuple of str
        Conflicts of the fewest figures first; of each the figures that stand in all conflicts first.
    left_out : tuple of int
        How many figures more each of these has.
    more : int
        How many conflicts more there are.
    common : tuple of str
        The figures that stand in every conflict, where there are more conflicts than are shown.
    """

    shown: tuple[Conflict, ...]
    left_out: tuple[int, ...]
    more: int
    common: Conflict


def few_of(conflicts: Sequence[Conflict]) -> FewConflicts:
    """The few conflicts to be told of many; all of them, as they come, where they are few."""
    found = list(conflicts)
    if len(conflicts) > CONFLICTS:
        found.sort(key=len)
        found = found[: CONFLICTS if len(found[0]) <= FIGURES else 1]  # long ones look alike
    more = len(conflicts) - len(found)
    everywhere = set(conflicts[0]).intersection(*conflicts[1:]) if more else set()
    shown = []
    for conflict in found:
        first = sorted(conflict, key=lambda figure: figure not in everywhere)
        shown.append(tuple(first[:FIGURES] if len(conflict) > FIGURES else conflict))
    left_out = tuple(len(whole) - len(part) for whole, part in zip(found, shown, strict=True))
    common = tuple(figure for figure in conflicts[0] if figure in everywhere) if more else ()
    return FewConflicts(tuple(shown), left_out, more, common)
