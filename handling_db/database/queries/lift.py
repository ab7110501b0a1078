"""The records that an answer about a lift, a joint or a job rests on, out of the database file."""

from __future__ import annotations

import sqlite3

from handling_db.database.queries.records import record_of, records_of_units, units_of


def root_of(connection: sqlite3.Connection, kind: str, code: str) -> str | None:
    """The component that a joint, lift group or job starts from; None where there is no such record.

    Parameters
    ----------
    connection : sqlite3.Connection
    kind : str
        ``joint``, ``lift group`` or ``job``.
    code : str
    """
    row = connection.execute("select text from record where kind = ? and code = ?", (kind, code)).fetchone()
    if row is None:
        return None
    record = record_of(kind, code, row[0])
    return str(getattr(record, _STARTS[kind]))


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
        row = connection.execute(
            "select text from record where kind = 'lift group' and code = ?", (code,)
        ).fetchone()
        group = record_of(kind, code, row[0])
        others = (group.other_half, group.turn.side if group.turn else None)
        found += [root_of(connection, kind, other) for other in others if other]
    return tuple(root for root in dict.fromkeys(found) if root)


_STARTS = {"joint": "within", "lift group": "root", "job": "unit", "job plan": "unit"}


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
