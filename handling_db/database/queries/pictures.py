"""Pictures of components, pick points, joints and notes, out of the database file."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

from handling_db.lookup.listings import PictureFigure


def pictures_of(connection: sqlite3.Connection, code: str) -> tuple[PictureFigure, ...]:
    """The pictures that a component and the notes about it name, in the order of the records."""
    rows = connection.execute(
        "select p.picture, p.file, p.caption, coalesce(k.type, '') from component_picture p "
        "join component c on c.id = p.component left join picture k on k.name = p.picture "
        "where c.code = ? order by p.position",
        (code,),
    )
    return tuple(PictureFigure(name or "", file, caption, kind) for name, file, caption, kind in rows)


def pictures_of_notes(connection: sqlite3.Connection, notes: Iterable[str]) -> tuple[PictureFigure, ...]:
    """The photographs of some notes, in their order; each photograph once."""
    found: dict[str, PictureFigure] = {}
    for note in notes:
        rows = connection.execute(
            "select coalesce(p.picture, ''), p.file, p.caption, coalesce(k.type, '') from note_picture p "
            "left join picture k on k.name = p.picture where p.note = ?",
            (note,),
        )
        for row in rows:
            found.setdefault(row[0] or row[1], PictureFigure(*row))
    return tuple(found.values())


def pictures_of_places(
    connection: sqlite3.Connection, points: Iterable[tuple[str, str]] = (), joints: Iterable[str] = ()
) -> tuple[PictureFigure, ...]:
    """The pictures that pick points and joints name, in their order; each once.

    Parameters
    ----------
    connection : sqlite3.Connection
    points : iterable of (component id, pick point id)
    joints : iterable of joint ids
    """
    columns = "select coalesce(p.picture, ''), p.file, p.caption, coalesce(k.type, '') from place_picture p "
    columns += "join component c on c.id = p.component left join picture k on k.name = p.picture "
    found: dict[str, PictureFigure] = {}
    asked: list[tuple[str, tuple[str, ...]]] = []
    asked += [("p.kind = 'pick point' and c.code = ? and p.place = ?", point) for point in points]
    asked += [("p.kind = 'joint' and p.place = ?", (joint,)) for joint in joints]
    for where, values in asked:
        for row in connection.execute(f"{columns}where {where} order by p.position", values):
            found.setdefault(row[0] or row[1], PictureFigure(*row))
    return tuple(found.values())


def picture(connection: sqlite3.Connection, name: str) -> tuple[str, bytes] | None:
    """Content type and content of a picture; None where there is no such one."""
    row = connection.execute("select type, content from picture where name = ?", (name,)).fetchone()
    return None if row is None else (str(row[0]), bytes(row[1]))
