"""A column of texts as bytes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

_WORD = 8  # bytes
_NONE = -1  # size of what is no text


@dataclass(frozen=True, slots=True)
class TextColumn:
    """Texts, or None, by row.

    Parameters
    ----------
    data : bytes
        UTF-8, in which texts may be shared.
    start, size : array of int
        Where each begins and how many bytes it has; a size of -1 stands for None.
    """

    data: bytes
    start: NDArray[np.int64]
    size: NDArray[np.int64]

    def __len__(self) -> int:
        return int(self.start.size)

    @classmethod
    def of(cls, texts: Sequence[str | None]) -> TextColumn:
        """A column of some texts."""

        size = np.full(len(texts), _NONE, dtype=np.int64)
        there = texts if None not in texts else [text for text in texts if text is not None]
        joined = "".join(there)  # type: ignore[arg-type]
        data = joined.encode()
        if len(data) == len(joined):
            sizes = list(map(len, there))  # type: ignore[arg-type]
        else:
            sizes = [len(text.encode()) for text in there if text is not None]
        if there is texts:
            size[:] = sizes
        else:
            size[[text is not None for text in texts]] = sizes
        filled = np.maximum(size, 0)
        return cls(data, np.cumsum(filled) - filled, size)

    @classmethod
    def chosen(cls, words: Sequence[str | None], which: NDArray[Any]) -> TextColumn:
        """A column of few words, given by their places among these."""
        few = cls.of(words)
        return cls(few.data, few.start[which], few.size[which])

    def of_rows(self, rows: NDArray[np.int64]) -> TextColumn:
        """The same column in some rows, in their order."""
        return TextColumn(self.data, self.start[rows], self.size[rows])

    def texts(self) -> list[str | None]:
        """The texts."""
        pairs = zip(self.start.tolist(), self.size.tolist(), strict=True)
        return [None if size < 0 else self.data[at : at + size].decode() for at, size in pairs]

    def order(self) -> tuple[NDArray[np.int64], bool]:
        """The rows in the order of their bytes, as the engine compares texts, and whether any two are alike.

        Those alike stay as they stand.
        """
        first = self._word(0)
        order = np.argsort(first, kind="stable")
        in_order = first[order]
        if not bool((in_order[1:] == in_order[:-1]).any()):
            return order, False
        words = [self._word(at) for at in range(0, max(int(self.size.max()), 1), _WORD)]
        order = np.lexsort([self.size, *reversed(words)])
        alike = np.ones(order.size - 1, dtype=np.bool_)
        for word in (self.size, *words):
            alike &= word[order[1:]] == word[order[:-1]]
        return order, bool(alike.any())

    def _word(self, at: int) -> NDArray[np.uint64]:
        """Eight bytes of each text from its byte `at` on, as a number that sorts like them."""
        padded = self.data + b"\0" * _WORD
        words: NDArray[np.uint64] = np.ndarray(len(self.data) + 1, ">u8", padded, strides=(1,))
        left = np.clip(self.size - at, 0, _WORD)
        cut = ((_WORD - np.maximum(left, 1)) * 8).astype(np.uint64)  # a shift by all 64 bits is not defined
        whole = words[np.minimum(self.start + at, len(self.data))].astype(np.uint64)
        found: NDArray[np.uint64] = np.where(left > 0, whole >> cut << cut, 0)
        return found
