"""The tree as far as it is opened, the heaviest components, and what nobody weighed."""

from __future__ import annotations

import sqlite3

from handling_db.database.cache import LastAnswers
from handling_db.database.handling_schema import NOBODY_WEIGHED
from handling_db.database.queries.names import need_key
from handling_db.database.queries.weight import parts_of, states_of
from handling_db.lookup.listings import Branch, Heavy
from handling_db.weights.answer import Named, PartFigure, WeightAnswer

# What has to be looked for among all components is kept by the stamp.
_units: LastAnswers[list[Heavy]] = LastAnswers(4)
_unweighed: LastAnswers[list[Named]] = LastAnswers(4)

DEEPEST = 12
MOST_LINES = 400


def usage_tree(
    connection: sqlite3.Connection, code: str, depth: int = 1, *, most: int = MOST_LINES
) -> tuple[Branch, ...]:
    """The parts of a component, and theirs, down to some depth and up to some number of lines.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str
    depth : int
        1 gives the component's own part lines, 2 those of its parts as well.
    most : int
        Levels are opened from the top; once so many lines are out, nothing more is.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    return _opened(connection, parts_of(connection, need_key(connection, code)), depth, most)


def branches(
    connection: sqlite3.Connection, answer: WeightAnswer, *, plain_question: bool
) -> tuple[Branch, ...]:
    """The part lines of an answer, opened where that says nothing but what is stored.

    With a state, a build or something taken off, the parts of the parts would have to be worked out by
    themselves: then only the answer's own lines are given.
    """
    if not plain_question:
        return tuple(Branch(part) for part in answer.parts)
    return usage_tree(connection, answer.id, DEEPEST)


def _opened(
    connection: sqlite3.Connection, top: list[tuple[PartFigure, int, bool]], depth: int, most: int
) -> tuple[Branch, ...]:
    """Open level by level, so that what is cut off lies deep and not at the end of the list."""
    levels: list[list[tuple[PartFigure, int, bool, int]]] = [[(*row, -1) for row in top]]
    lines = len(top)
    while len(levels) < depth and lines < most:
        following: list[tuple[PartFigure, int, bool, int]] = []
        for place, (_, key, can_open, _) in enumerate(levels[-1]):
            if can_open and lines < most:
                below = parts_of(connection, key)
                lines += len(below)
                following += [(*row, place) for row in below]
        if not following:
            break
        levels.append(following)
    opened: list[Branch] = []
    for level in range(len(levels) - 1, -1, -1):
        inside: dict[int, list[Branch]] = {}
        if level + 1 < len(levels):
            for branch, (*_, parent) in zip(opened, levels[level + 1], strict=True):
                inside.setdefault(parent, []).append(branch)
        opened = [
            Branch(part, tuple(inside.get(place, ()))) for place, (part, *_) in enumerate(levels[level])
        ]
    return tuple(opened)


def heaviest(connection: sqlite3.Connection, most: int = 12) -> list[Heavy]:
    """The heaviest components by the figure to plan with, or by what is known where there is none."""
    return _heavy(connection, "heaviest h join component c on c.id = h.component order by h.position", most)


def whole_units(connection: sqlite3.Connection, most: int = 12) -> list[Heavy]:
    """Assemblies that go into nothing else, the heaviest first, with the figure to plan with."""

    def read() -> list[Heavy]:
        wholes = (
            "component c left join total t on t.component = c.id "
            "and t.state = 'filled' where c.kind = 'assembly' and c.height > 0 "
            "and not exists (select 1 from usage u where u.child = c.id and u.quantity > 0) "
            "order by coalesce(t.plan_kg, t.high_kg) desc, c.code"
        )
        return _heavy(connection, wholes, most)

    return _units.get((*connection.execute("select stamp from built").fetchone(), most), read)


def _heavy(connection: sqlite3.Connection, which: str, most: int) -> list[Heavy]:
    rows = connection.execute(f"select c.id, c.code, c.name from {which} limit ?", (most,)).fetchall()
    return [
        Heavy(code, name, states_of(connection, key, look_for_gaps=False)[-1]) for key, code, name in rows
    ]


def unweighed(connection: sqlite3.Connection, most: int = 20) -> list[Named]:
    """Single parts without a mass in any state, by name; pieces says in how many part lines they occur."""

    def read() -> list[Named]:
        rows = connection.execute(
            "select c.code, c.name, (select count(*) from usage u where u.child = c.id and u.quantity > 0) "
            "from component c where c.id in (select component from total "
            f"where {NOBODY_WEIGHED}) "
            "order by c.name, c.code limit ?",
            (most,),
        )
        return [Named(code, name, pieces) for code, name, pieces in rows]

    return _unweighed.get((*connection.execute("select stamp from built").fetchone(), most), read)
