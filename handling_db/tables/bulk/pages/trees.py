"""Rows as the pages of a tree in an SQLite file, each page as full as it goes.

Source: "Database File Format" of SQLite (sqlite.org/fileformat2.html), 1.6 for pages of a tree.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from handling_db.tables.bulk.pages.cells import Cells
from handling_db.tables.bulk.pages.fields import NotPlain, number_bytes

if TYPE_CHECKING:
    from numpy.typing import NDArray

PAGE = 4096  # bytes
LOCK = (1 << 30) // PAGE + 1  # the page that the engine locks and never uses
_LEAF_HEAD, _HEAD = 8, 12
_LEAF_OF_TABLE, _LEAF_OF_INDEX, _OF_TABLE, _OF_INDEX = 13, 10, 5, 2
_MOST_OF_TABLE = PAGE - 35  # longest record that stands whole in a leaf
_MOST_OF_INDEX = (PAGE - 12) * 64 // 255 - 23
_EDGE = 12  # of a cell: the numbers before its record, at most


@dataclass(frozen=True, slots=True)
class PageTree:
    """A tree: its root, and the other pages in the order of their numbers.

    Parameters
    ----------
    root : bytes or bytearray
    pages : bytes or bytearray
        One after the other.
    """

    root: bytes | bytearray
    pages: bytes | bytearray

    @property
    def count(self) -> int:
        """How many pages besides the root."""
        return len(self.pages) // PAGE


def behind(last: int, tree: PageTree) -> int:
    """Number of the last page of a tree that stands behind another page; the engine's own is passed over."""
    return last + tree.count + (last < LOCK <= last + tree.count)


def tree_of(cells: Cells, rowid: NDArray[np.int64] | None, first: int) -> PageTree:
    """The tree of some rows in the order of their keys.

    Parameters
    ----------
    cells : Cells
    rowid : array of int, optional
        For a table that numbers its rows; an index has none.
    first : int
        Number of the first page after the file's last.

    Raises
    ------
    NotPlain
        A row is too long for a page.
    """
    size = np.diff(cells.start)
    longest = _MOST_OF_INDEX if rowid is None else _MOST_OF_TABLE
    if int(size.max(initial=0)) > longest - _EDGE:
        raise NotPlain
    leaf, inner = (_LEAF_OF_INDEX, _OF_INDEX) if rowid is None else (_LEAF_OF_TABLE, _OF_TABLE)
    begin, end = _leaves(size, between=rowid is None)
    pages = _leaf_pages(cells, begin, end, leaf)
    if begin.size == 1:
        return PageTree(pages, b"")
    if rowid is None:
        whole = cells.data.data
        parts = [bytes(whole[a:b]) for a, b in _places(cells.start, end[:-1])]
    else:
        parts = [number_bytes(number) for number in rowid[end[:-1] - 1].tolist()]
    numbers = _numbers(first, 0, begin.size)
    count = int(begin.size)
    while True:
        groups = _groups([len(part) for part in parts])
        made = [_inner_page(numbers[a:b], parts[a : b - 1], inner) for a, b in groups]
        if len(made) == 1:
            return PageTree(made[0], pages)
        parts = [parts[b - 1] for _, b in groups[:-1]]
        numbers = _numbers(first, count, len(made))
        pages.extend(b"".join(made))
        count += len(made)


def _places(start: NDArray[np.int64], rows: NDArray[np.int64]) -> list[tuple[int, int]]:
    return list(zip(start[rows].tolist(), start[rows + 1].tolist(), strict=True))


def _numbers(first: int, done: int, count: int) -> list[int]:
    """Numbers of pages that follow on others; the engine's own page is passed over."""
    begin = first + done + (first <= LOCK <= first + done)
    return [number + (begin <= LOCK <= number) for number in range(begin, begin + count)]


def _leaves(size: NDArray[np.int64], *, between: bool) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Where the rows of each leaf begin and end; of an index, a row between two leaves stands above both."""
    room = PAGE - _LEAF_HEAD
    total = np.zeros(size.size + 1, dtype=np.int64)
    np.cumsum(size + 2, out=total[1:])
    begin, end = [0], []
    count = size.size
    window = room // (int(size.min(initial=room)) + 2) + 1  # rows of a page, at most
    while True:
        here = begin[-1]
        stop = (
            here + int(np.searchsorted(total[here : here + window + 1], total[here] + room, side="right")) - 1
        )
        if stop >= count:
            end.append(count)
            break
        if between and stop == count - 1:
            stop -= 1  # a row has to be left for the last leaf
        end.append(stop)
        begin.append(stop + between)
    return np.array(begin, dtype=np.int64), np.array(end, dtype=np.int64)


def _leaf_pages(cells: Cells, begin: NDArray[np.int64], end: NDArray[np.int64], kind: int) -> bytearray:
    start = cells.start
    pages = bytearray(begin.size * PAGE)
    bytes_of = np.frombuffer(pages, dtype=np.uint8).reshape(begin.size, PAGE)
    words = bytes_of.view(">u2")
    filled = start[end] - start[begin]  # bytes of the cells, which stand at the end of the page
    bytes_of[:, 0] = kind
    bytes_of[:, 3:5] = (end - begin).astype(">u2").view(np.uint8).reshape(-1, 2)
    bytes_of[:, 5:7] = (PAGE - filled).astype(">u2").view(np.uint8).reshape(-1, 2)
    given = cells.data.data
    above = (PAGE - start[end]).tolist()
    places = zip(begin.tolist(), end.tolist(), start[begin].tolist(), filled.tolist(), above, strict=True)
    for page, (a, b, at, size, shift) in enumerate(places):
        words[page, 4 : 4 + b - a] = start[a:b] + shift
        pages[(page + 1) * PAGE - size : (page + 1) * PAGE] = given[at : at + size]
    return pages


def _groups(widths: Sequence[int]) -> list[tuple[int, int]]:
    """Which children stand together in a page: what parts one from the next takes a cell, except the last."""
    room = PAGE - _HEAD
    count = len(widths) + 1
    groups, begin = [], 0
    while begin < count:
        end, used = begin + 1, 0
        while end < count and used + widths[end - 1] + 6 <= room:
            used += widths[end - 1] + 6
            end += 1
        if end == count - 1:
            end -= 1  # no page has a single child
        groups.append((begin, end))
        begin = end
    return groups


def _inner_page(children: Sequence[int], parts: Sequence[bytes], kind: int) -> bytes:
    """A page above others: each child but the last with what parts it from the next."""
    content = b"".join(struct.pack(">I", child) + part for child, part in zip(children, parts, strict=False))
    start = PAGE - len(content)
    at, places = start, []
    for part in parts:
        places.append(at)
        at += 4 + len(part)
    head = struct.pack(">BHHHBI", kind, 0, len(parts), start, 0, children[-1])
    head += struct.pack(f">{len(places)}H", *places)
    return head + bytes(start - len(head)) + content
