"""Another build, another state, something taken off: worked out from the records in the file."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.jobs import open_jobs
from handling_db.database.queries.large import is_large, rows_answer, table_collection
from handling_db.database.queries.names import need_key
from handling_db.database.queries.records import RECORDS, record_of, records_of_units, units_of
from handling_db.database.queries.weight import STATES
from handling_db.errors import HandlingError
from handling_db.weights.answer import WeightAnswer

if TYPE_CHECKING:
    from handling_db.records.collection import Collection
    from handling_db.records.parts.texts import State

MOST_AROUND = 20_000
_collections: LastAnswers[Collection] = LastAnswers(64, stamped=False)
_about: LastAnswers[Collection] = LastAnswers(64)

# What an answer rests on: whatever part lines connect it with. A weighed whole bounds a part that nobody
# weighed only where all of the whole is there, and a part bounds whatever else it goes into.
_CONNECTED = """
  with recursive near(id) as (
    select ? union select u.parent from usage u join near n on u.child = n.id
    union select u.child from usage u join near n on u.parent = n.id limit ?)
  select code from component where id in (select id from near)
"""

# Where that is too much: everything below, everything above, and the fluids listed above.
_AROUND = """
  with recursive
    below(id) as (select ? union select u.child from usage u join below b on u.parent = b.id),
    above(id) as (select ? union select u.parent from usage u join above a on u.child = a.id),
    fluid(id) as (
      select c.id from above a join usage u on u.parent = a.id join component c on c.id = u.child
      where c.kind = 'fluid')
  select code from component where id in (select id from below)
    or id in (select id from above) or id in (select id from fluid)
"""


def what_if(
    connection: sqlite3.Connection,
    code: str,
    *,
    given_texts: Mapping[str, str] | None = None,
    state: str | None = None,
    without: Sequence[str] = (),
    build: str | None = None,
) -> WeightAnswer:
    """Look one component up in another build or state, or with parts taken off.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str
    given_texts : mapping of parameter to text, optional
        Values that replace the defaults, as written: ``{"discs": "12"}``.
    state : str, optional
        dry, drained or filled; all three where none is asked for.
    without : ids
        Taken off, wherever they occur below.
    build : str, optional
        A named build; `given_texts` comes on top of it.

    Raises
    ------
    HandlingError
        There is no such component, state, build or parameter, a value cannot be, or something that is to be
        taken off is not in it.
    """
    if state is not None and state not in STATES:
        raise HandlingError(f"{state!r} is not a state; write one of: {', '.join(STATES)}")
    key = need_key(connection, code)
    if is_large(connection, code) and not given_texts and build is None:
        from_rows = rows_answer(connection, key, code, state, without)
        if from_rows is not None:
            return replace(from_rows, jobs=open_jobs(connection, code))
    collection = collection_for(connection, code)
    told = _answer(collection, code, dict(given_texts or {}), state, tuple(without), build)
    return replace(told, jobs=open_jobs(connection, code))


def _answer(
    collection: Collection,
    code: str,
    texts: Mapping[str, str],
    state: Any,
    without: tuple[str, ...],
    build: str | None,
) -> WeightAnswer:
    from handling_db.families.named_builds import given_values
    from handling_db.lookup.weight import answer
    from handling_db.weights.tree import below

    component = collection.components[code]
    given = given_values(component, texts, build)
    inside = below(collection, code)
    for taken in without:
        if taken not in inside:
            raise HandlingError(f"{taken!r} is not in {component.name}, so it cannot be off already")
    asked: State | None = state
    return answer(collection, code, given=given, state=asked, without=without)


def collection_for(connection: sqlite3.Connection, code: str) -> Collection:
    """The records that an answer about one component rests on.

    Every component that part lines connect it with, their weighings, and all sources and materials.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    key = need_key(connection, code)
    if is_large(connection, code):
        return table_collection(connection, key, code)
    (stamp,) = connection.execute("select stamp from built").fetchone()

    def read() -> Collection:
        codes = {row[0] for row in connection.execute(_CONNECTED, (key, MOST_AROUND + 1))}
        if len(codes) > MOST_AROUND:
            codes = {row[0] for row in connection.execute(_AROUND, (key, key))}
        return kept_collections(_texts(connection, codes))

    return _about.get((stamp, key), read)


def _texts(connection: sqlite3.Connection, codes: set[str]) -> Iterable[tuple[str, str, str]]:
    """Kind, id and text of the records, in a fixed order."""
    units = units_of(connection, sorted(codes) if len(codes) < 500 else codes)
    if len(codes) < 500:
        marks = ",".join("?" * len(codes))
        yield from connection.execute(
            f"{RECORDS} where kind = 'component' and code in ({marks}) order by code",
            sorted(codes),
        ).fetchall()
    else:
        for row in connection.execute(f"{RECORDS} where kind = 'component' order by code"):
            if row[1] in codes:
                yield tuple(row)
    for kind, code, text in records_of_units(
        connection, ("source", "source kind", "material", "weighing", "choice", "job"), units
    ):
        if kind != "weighing" or record_of(kind, code, text).of in codes:
            yield kind, code, text


def kept_collections(texts: Iterable[tuple[str, str, str]]) -> Collection:
    """A collection of the records with these kinds, ids and texts; the last ones are kept.

    They are kept by a digest of the texts, which for a large file are many megabytes.
    """
    from handling_db.records.collection import collect

    rows = list(texts)
    digest = hashlib.blake2b(digest_size=32)
    for row in rows:
        for text in row:
            digest.update(text.encode("utf-8", "surrogatepass"))
            digest.update(b"\0")  # no text of a record holds it: where one ends and the next begins
    return _collections.get(
        digest.digest(), lambda: collect([(kind, record_of(kind, code, text)) for kind, code, text in rows])
    )
