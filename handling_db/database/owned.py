"""Whose each row is: the tables whose rows belong to a record, and the rows of some records."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Mapping

from handling_db.database.described import described
from handling_db.database.list_rows import NUMBERED
from handling_db.database.rows import Row, RowsByTable
from handling_db.database.units import Key

# Tables that stand for all of the collection, or of which each row is written elsewhere.
APART = frozenset({"built", "finding", "heaviest", "picture", "came_from", "limit_kg"})
# Tables whose rows are their records' by id, with the kind; of `record` the row says the kind.
BY_CODE = {"record": "", "open_job": "job", "note_picture": "note"}


@functools.cache
def owners() -> Mapping[str, tuple[str, int, str]]:
    """By table, the column that says whose row it is, its place among the columns, and whose key it holds."""
    kinds = {table: kind for kind, table in NUMBERED.items()}
    found: dict[str, tuple[str, int, str]] = {}
    for table in described():
        if table.view or table.name in APART or table.name in BY_CODE:
            continue
        if table.name in kinds:
            found[table.name] = ("id", 0, kinds[table.name])
            continue
        place = {"statement": 1, "place_picture": 2}.get(table.name, 0)
        column = table.columns[place]
        found[table.name] = (column.name, place, kinds[column.refers_to])
    return found


def rows_of(rows: RowsByTable, keys: Iterable[Key]) -> Iterator[tuple[str, list[Row]]]:
    """By table, the rows that belong to some records, and no others that were gathered with them."""
    own = set(keys)
    numbers = {kind: {rows.id(table, c) for k, c in own if k == kind} for kind, table in NUMBERED.items()}
    for table, several in rows.rows.items():
        if table == "record":
            yield table, [row for row in several if (row[1], row[2]) in own]
        elif table in BY_CODE:
            yield table, [row for row in several if (BY_CODE[table], row[0]) in own]
        elif table in owners():
            _, place, kind = owners()[table]
            yield table, [row for row in several if row[place] in numbers[kind]]
