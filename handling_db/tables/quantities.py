"""The quantities of a flat table: how many of the child one parent has."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from handling_db.tables.chunk import Chunk
from handling_db.tables.numbers import NotStated, NumberFault

# What people write behind or before a count: 4x, 4 pcs, 4 Stk., 4 off.
_COUNT_WORD = re.compile(
    r"(?<=\d)\s*(?:x|×|pcs?|pieces?|pce|off|ea|each|stk|stck|stück|st)\s*\.?\s*$|^\s*(?:x|×)\s*(?=\d)",
    re.IGNORECASE,
)

MAX_QUANTITY = 999_999_999


def without_count_word(text: str) -> str:
    """A count without what people write beside it: ``4 pcs`` is 4."""
    return _COUNT_WORD.sub("", text)


class Quantities:
    """Reads quantities, each way of writing one only once.

    Parameters
    ----------
    heading : int
        Line of the heading, for what is wrong with the column as a whole.
    """

    def __init__(self, heading: int) -> None:
        self._heading = heading
        self._values: dict[str, float] = {}
        self._not_whole: set[str] = set()
        self._column_missing_said = False

    def read(self, chunk: Chunk, rootward: list[bool] | None) -> list[float] | None:
        """How many in each row; nan where nothing is said, None for a missing column."""
        texts = chunk.columns.get("quantity")
        if texts is None:
            if rootward is not None and all(rootward):
                return None
            self._no_quantity(chunk, rootward)
            return None
        found = list(map(self._values.get, texts))
        if None in found:
            chunk.numbers.see("quantity", texts, chunk.lines)
        if None in found or rootward is not None:
            for i, text in enumerate(texts):
                root = rootward is not None and rootward[i]
                value = self._one(chunk, i, text, root=root)
                found[i] = value
                if root and value not in (None, 1.0) and value == value:
                    told = f"this row has no parent, so its quantity {text.strip()} is not used;"
                    chunk.remark(i, "quantity", told, "name the parent, or leave the quantity empty.")
        return [float("nan") if value is None else value for value in found]

    def _no_quantity(self, chunk: Chunk, rootward: list[bool] | None) -> None:
        if "quantity" in chunk.layout.position:
            for i in range(len(chunk.lines)):
                if rootward is None or not rootward[i]:
                    self._say_missing(chunk, i)
            return
        chunk.bad.update(i for i in range(len(chunk.lines)) if rootward is None or not rootward[i])
        if not self._column_missing_said:
            self._column_missing_said = True
            told = "this column is missing, and rows with a parent need it;"
            chunk.said.fault(
                self._heading, "quantity", told, "add a column 'quantity'; nothing is assumed for it."
            )

    def _say_missing(self, chunk: Chunk, at: int) -> None:
        told = "the quantity is missing;"
        chunk.fault(at, "quantity", told, "write how many the parent has; nothing is assumed for it.")

    def _one(self, chunk: Chunk, at: int, text: str, *, root: bool) -> float | None:
        """One quantity, None with a fault; nan for an empty cell in a row without a parent."""
        value = self._values.get(text)
        if value is not None:
            return value
        if not text.strip():
            if root:
                return float("nan")
            self._say_missing(chunk, at)
            return None
        counted = without_count_word(text)
        try:
            value, figure, remark = chunk.numbers.one(counted)
        except NotStated:
            chunk.bad.add(at)
            return None
        except NumberFault as fault:
            chunk.fault(at, "quantity", fault.sentence, fault.remedy)
            return None
        if remark:
            chunk.remark(at, "quantity", remark, "write it without the sign between the thousands.")
        if value <= 0 or value > MAX_QUANTITY:
            what = "is not above 0" if value <= 0 else f"is above {MAX_QUANTITY:,}"
            remedy = "write how many the parent has, or take the row out."
            chunk.fault(at, "quantity", f"a quantity of {figure} {what};", remedy)
            return None
        if not remark and figure == text:  # others are looked at again each time
            self._values[text] = value
            if not value.is_integer():
                self._not_whole.add(text)
        return value

    def not_whole(
        self, chunk: Chunk, rows: Sequence[int], quantities: Sequence[float]
    ) -> Iterator[tuple[int, str]]:
        """Which of some rows have a quantity that is no whole number: index among them, and its text."""
        texts = chunk.columns["quantity"]
        if self._values.keys() >= set(texts) and self._not_whole.isdisjoint(texts):
            return
        for k, i in enumerate(rows):
            if not quantities[i].is_integer():
                yield k, chunk.numbers.one(without_count_word(texts[i]))[1]
