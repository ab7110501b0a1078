"""Records as they stand in the file, each from the JSON text that it wrote."""

from __future__ import annotations

import functools
import json
import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

from handling_db.errors import HandlingError

RECORDS = "select kind, code, text from record"
_AT_ONCE = 500  # ids in one question


def records_of_kind(connection: sqlite3.Connection, kind: str) -> dict[str, Any]:
    """All records of one kind, by id."""
    rows = connection.execute(f"{RECORDS} where kind = ? order by code", (kind,)).fetchall()
    return {row[1]: record_of(*row) for row in rows}


def one_record(connection: sqlite3.Connection, kind: str, code: str) -> Any:
    """One record; None where there is none."""
    row = connection.execute(f"{RECORDS} where kind = ? and code = ?", (kind, code)).fetchone()
    return None if row is None else record_of(*row)


def units_of(connection: sqlite3.Connection, codes: Iterable[str]) -> tuple[str, ...]:
    """The units that some components are in, and the empty one: of what belongs to every unit."""
    found = {""}
    asked = list(codes)
    for start in range(0, len(asked), _AT_ONCE):
        some = asked[start : start + _AT_ONCE]
        marks = ",".join("?" * len(some))
        found |= {
            str(unit)
            for (unit,) in connection.execute(
                f"select unit from record where kind = 'component' and code in ({marks})", some
            )
        }
    return tuple(sorted(found))


def records_of_units(
    connection: sqlite3.Connection, kinds: Sequence[str], units: Sequence[str]
) -> list[tuple[str, str, str]]:
    """Kind, id and text of the records of some kinds in some units, by kind and id."""
    some, of = (", ".join("?" * len(several)) for several in (kinds, units))
    # by the unit, or all records of a kind would be gone through for the order they stand in
    return connection.execute(
        f"{RECORDS} indexed by record_unit where unit in ({of}) and kind in ({some}) order by kind, code",
        (*units, *kinds),
    ).fetchall()


@functools.lru_cache(maxsize=20_000)
def record_of(kind: str, code: str, text: str) -> Any:
    """A record from its text, which a record wrote and which therefore can be read."""
    from handling_db.records.collection import KINDS

    try:
        return KINDS[kind].model_validate(json.loads(text))
    except ValueError as error:
        told = f"the record of {kind} {code!r} in this file cannot be read: {error}"
        raise HandlingError(f"{told}; build the file again") from None
