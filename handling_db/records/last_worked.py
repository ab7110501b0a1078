"""What was worked out of records, kept by the very records it was worked out of."""

from __future__ import annotations

import operator
from collections.abc import Hashable
from typing import Generic, TypeVar

Result = TypeVar("Result")


class LastWorked(Generic[Result]):
    """The last so many results by the objects that they come from and what was asked of them.

    Records are equal field by field, which takes longer to find out than most results: here the object itself
    counts. It is held with its result, so that another one in its place in memory is never taken for it.

    Parameters
    ----------
    most : int
        So many are kept; the one that was worked out longest ago goes first.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: dict[tuple[object, ...], tuple[tuple[object, ...], Result]] = {}

    def get(self, own: tuple[object, ...], *asked: Hashable) -> Result | None:
        """The kept result; None where there is none."""
        kept = self._kept.get((*map(id, own), *asked))
        # The number of an object may have been used again.
        return kept[1] if kept is not None and all(map(operator.is_, kept[0], own)) else None

    def keep(self, result: Result, own: tuple[object, ...], *asked: Hashable) -> Result:
        """Keep a result, and hand it back."""
        while len(self._kept) >= self._most:
            self._kept.pop(next(iter(self._kept)), None)
        self._kept[*map(id, own), *asked] = (own, result)
        return result

    def forget(self, one: object) -> None:
        """Let go of what was worked out of an object that nobody will ask about again."""
        for key in [key for key, (own, _) in self._kept.items() if any(one is it for it in own)]:
            self._kept.pop(key, None)
