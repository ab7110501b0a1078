"""The records that a lift, a joint, a move or a shop's answer rests on, out of a database file."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.another_build import collection_for
from handling_db.database.queries.records import one_record, record_of, records_of_units, units_of

if TYPE_CHECKING:
    from handling_db.records.collection import Collection

# Read with the tree they belong to. Everything else is what people handle with, few and small beside
# components and their figures, so all of it is read; also what came from elsewhere: a figure that waits
# lifts what carries a load, here as where records are read.
_OF_A_TREE = frozenset({"component", "weighing", "choice"})

# The field of each that says where it starts.
_STARTS = {"joint": "within", "lift group": "root", "job": "unit", "job plan": "unit"}
_handled: LastAnswers[Collection] = LastAnswers(16)
_same: LastAnswers[Collection] = LastAnswers(16, stamped=False)
_names: LastAnswers[dict[str, list[tuple[str, str]]]] = LastAnswers(4)


def lift_group_ids(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Ids of every lift group recorded."""
    rows = connection.execute("select code from record where kind = 'lift group' order by code")
    return tuple(row[0] for row in rows)


def handled_names(connection: sqlite3.Connection) -> dict[str, list[tuple[str, str]]]:
    """Id and name of every lift group, of those that are turned, of every joint and of every job, by id.

    Kept by the stamp: lists show a part of them at a time.

    Returns
    -------
    dict
        ``lift group``, ``turn``, ``joint`` and ``job``; a job goes by its id.
    """
    asked = {
        "lift group": "select code, name from lift order by code",
        "turn": "select l.code, l.name from lift l join record r "
        "on r.kind = 'lift group' and r.code = l.code "
        "where json_extract(r.text, '$.turn') is not null order by l.code",
        "joint": "select code, name from joint order by code",
        "job": "select code, code from job order by closed_on is not null, code not in "
        "(select code from open_job), code",
    }
    (stamp,) = connection.execute("select stamp from built").fetchone()
    return _names.get(
        stamp,
        lambda: {what: [tuple(row) for row in connection.execute(sql)] for what, sql in asked.items()},
    )


def jobs_recorded(connection: sqlite3.Connection, codes: Iterable[str]) -> Collection:
    """The records of some jobs, with the plans they may follow and the shops."""
    from handling_db.records.collection import collect

    found = []
    for code in codes:
        unit = connection.execute(
            "select unit from record where kind = 'job' and code = ?", (code,)
        ).fetchone()
        rows = records_of_units(connection, ("job", "job plan", "shop"), ("", *unit) if unit else ("",))
        found += [row for row in rows if row[0] != "job" or row[1] == code]
    return collect(
        [(kind, record_of(kind, code, text)) for kind, code, text in dict.fromkeys(map(tuple, found))]
    )


def handled_collection(connection: sqlite3.Connection, roots: Iterable[str] = ()) -> Collection:
    """The trees of some components, and everything recorded that people handle them with, kept by the stamp.

    What belongs to other units, such as their joints, lifts and notes, is not read.

    Parameters
    ----------
    connection : sqlite3.Connection
    roots : component ids
        Without one, only the components are read that fixtures speak of. One that is not there is passed
        over: it stayed with another shop, and the answer says so.

    Raises
    ------
    HandlingError
        A record in the file cannot be read.
    """
    wanted = tuple(dict.fromkeys(roots))
    (stamp,) = connection.execute("select stamp from built").fetchone()
    return _handled.get((stamp, wanted), lambda: _read_handled(connection, wanted))


def _read_handled(connection: sqlite3.Connection, wanted: tuple[str, ...]) -> Collection:
    from handling_db.records.collection import KINDS, collect

    kinds = tuple(kind for kind in KINDS if kind not in _OF_A_TREE)
    if wanted:
        rows = records_of_units(connection, kinds, units_of(connection, wanted))
    else:
        marks = ",".join("?" * len(kinds))
        rows = connection.execute(
            f"select kind, code, text from record where kind in ({marks}) order by kind, code", kinds
        ).fetchall()
    handled = [(kind, record_of(kind, code, text)) for kind, code, text in rows]
    if not wanted:
        return _of_the_same(collect([*_needed(connection, handled), *handled]))
    trees = []
    for root in wanted:
        if connection.execute("select 1 from component where code = ?", (root,)).fetchone():
            trees += [*collection_for(connection, root).records()]
    return _of_the_same(collect([*trees, *handled]))


def _of_the_same(collection: Collection) -> Collection:
    """The collection of these very records that is kept already, if one is, and so all that it came to.

    A record is one object for one text (`record_of`), and is held by what is kept: while that is there, no
    other record has its number in memory.
    """
    return _same.get(tuple(id(record) for _, record in collection.records()), lambda: collection)


def _needed(connection: sqlite3.Connection, handled: Iterable[tuple[str, Any]]) -> list[tuple[str, Any]]:
    """The components that fixtures speak of, for their names."""
    fixtures = [record for kind, record in handled if kind == "fixture"]
    wanted = {need.component for fixture in fixtures for need in fixture.needed_by}
    wanted |= {code for fixture in fixtures for code in fixture.only_for}
    found = (one_record(connection, "component", code) for code in sorted(wanted))
    return [("component", record) for record in found if record is not None]


def root_of(connection: sqlite3.Connection, kind: str, code: str) -> str | None:
    """The component that a joint, lift group or job starts from; None where there is no such record.

    Parameters
    ----------
    connection : sqlite3.Connection
    kind : str
        ``joint``, ``lift group`` or ``job``.
    code : str
    """
    record = one_record(connection, kind, code)
    return None if record is None else str(getattr(record, _STARTS[kind]))


def roots_of(connection: sqlite3.Connection, kind: str, code: str) -> tuple[str, ...]:
    """The components whose trees an answer needs: where the thing starts, and what it is weighed against.

    Parameters
    ----------
    connection : sqlite3.Connection
    kind : str
        ``component``, ``joint``, ``lift group`` or ``job``.
    code : str
    """
    if kind == "component":
        return (code,)
    found = [root_of(connection, kind, code)]
    if kind == "lift group":
        group = one_record(connection, kind, code)
        others = (group.other_half, group.turn.side if group.turn else None)
        found += [root_of(connection, kind, other) for other in others if other]
    return tuple(root for root in dict.fromkeys(found) if root)


def handled_in(connection: sqlite3.Connection, code: str) -> dict[str, list[tuple[str, str]]]:
    """The lift groups that take a component, or start from it, and the joints it is a side of.

    Returns
    -------
    dict
        ``lift group`` and ``joint``, each a list of (id, name).
    """
    import json

    found: dict[str, list[tuple[str, str]]] = {"lift group": [], "joint": []}
    rows = records_of_units(connection, ("lift group", "joint"), units_of(connection, (code,)))
    for kind, record, text in rows:
        if code not in text:
            continue
        value = json.loads(text)
        ways = [value.get("root"), *value.get("takes", ())] if kind == "lift group" else value["between"]
        named = {way if isinstance(way, str) else _last(way) for way in ways}
        if code in named or (kind == "joint" and value["within"] == code):
            found[kind].append((record, value["name"]))
    return found


def _last(way: object) -> str:
    """The component at the end of a way, written as a list or as a mapping with `of`."""
    steps = way.get("of") if isinstance(way, dict) else way
    return str(steps[-1]) if isinstance(steps, list) and steps else str(steps)
