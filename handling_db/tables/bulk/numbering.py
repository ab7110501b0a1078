"""Ids of a large table become nodes, numbered in the order in which its rows first name them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.tables.bulk.byte_cells import ByteColumn, ByteTable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Numbered:
    """The nodes of a table.

    Parameters
    ----------
    codes : list of str
        Each as first written.
    line : array of int
        The first row that names each node, counted from 0.
    parent, child : array of int
        Nodes by row; a parent of -1 where the cell is empty.
    """

    codes: list[str]
    row: NDArray[np.intp]
    parent: NDArray[np.int32]
    child: NDArray[np.int32]


def number_ids(table: ByteTable, parent: ByteColumn, child: ByteColumn) -> Numbered | None:
    """Number the ids of two columns; within a row the parent comes first.

    Returns
    -------
    Numbered or None
        None where two long ids cannot be told apart by their keys.
    """
    import numpy as np

    over, under = table.keys(parent), table.keys(child)
    # Lists stand assembly by assembly: of a parent repeated from row to row only the first is looked at.
    changes = np.ones(over.size, dtype=np.bool_)
    changes[1:] = over[1:] != over[:-1]
    starts = np.flatnonzero(changes)
    named = starts[parent.width[starts] > 0]
    keys = np.concatenate([over[named], under])
    places = np.concatenate([2 * named, 2 * np.arange(under.size) + 1])
    order = np.argsort(keys)
    in_order = keys[order]
    opens = np.ones(keys.size, dtype=np.bool_)
    opens[1:] = in_order[1:] != in_order[:-1]
    first = np.minimum.reduceat(places[order], np.flatnonzero(opens)) if keys.size else places
    rank = np.empty(first.size, dtype=np.int32)
    by_place = np.argsort(first)
    rank[by_place] = np.arange(first.size, dtype=np.int32)
    node = np.empty(keys.size, dtype=np.int32)
    node[order] = rank[np.cumsum(opens) - 1]
    of_start = np.full(starts.size, -1, dtype=np.int32)
    of_start[parent.width[starts] > 0] = node[: named.size]
    parents, children = of_start[np.cumsum(changes) - 1], node[named.size :]

    first = first[by_place]
    row, from_child = first >> 1, (first & 1).astype(np.bool_)
    where = ByteColumn(
        np.where(from_child, child.start[row], parent.start[row]),
        np.where(from_child, child.width[row], parent.width[row]),
    )
    if max(int(parent.width.max(initial=0)), int(child.width.max(initial=0))) > 8:
        there = np.flatnonzero(parent.width > 0)
        if not (
            bool(table.same(parent.of(there), where.of(parents[there])).all())
            and bool(table.same(child, where.of(children)).all())
            and bool((parents[parent.width == 0] == -1).all())
        ):
            return None
    return Numbered(table.texts(where), row, parents, children)
