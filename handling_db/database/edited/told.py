"""Findings of what changed put among those that stand, and what is told of the collection as a whole."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from handling_db.checker import closing_from, order_of
from handling_db.checker.closing import FEW, Assembly
from handling_db.checker.rules.references import Called, clashes
from handling_db.checker.rules.sums import CIRCULAR, RULE
from handling_db.database.edited.kept import FileLook, Kept, RecordFacts
from handling_db.database.edited.touched import WholeNeeded
from handling_db.database.units import Key, Standing
from handling_db.findings import Finding, Place, Verdict


def findings_there(database: sqlite3.Connection, kept: Kept, files: Mapping[str, FileLook]) -> list[Finding]:
    """The findings of a database, in order, as exact as the checker gave them where that decides anything.

    Parameters
    ----------
    database : sqlite3.Connection
    kept : Kept
        Of the same build.
    files : mapping of name to FileLook
        As they were then.
    """
    names = {one.shown: one.name for one in files.values()}
    hides = {row[0]: Fraction(row[1]) for row in kept.connection.execute("select * from hides")}
    found = []
    for row in database.execute(
        "select id, rule, verdict, about, sentence, remedy, file, line, field, gap_low_kg, gap_high_kg, "
        "figures, because_of from finding order by id"
    ):
        number, rule, verdict, about, sentence, remedy, file, line, field, low, high, figures, because = row
        gap = None if low is None else (Fraction(low), Fraction(high))
        if number in hides:
            gap = (-hides[number], hides[number])
        found.append(
            Finding(
                rule,
                Verdict(verdict),
                about,
                sentence,
                remedy,
                None if file is None else Place(names[file], line),
                field or "",
                tuple((name, Fraction(a), Fraction(b)) for name, a, b in json.loads(figures or "[]")),
                gap,
                tuple((because or "").split("\n")) if because else (),
            )
        )
    return found


def shifted(found: Iterable[tuple[int, Finding]], was: Standing, moved: Mapping[Key, RecordFacts],
            before: Mapping[Key, int]) -> list[tuple[int, Finding]]:  # fmt: skip
    """The same with the lines of records that stand elsewhere now."""
    if not moved:
        return [*found]
    result = []
    for number, one in found:
        owner = was.owner(one.place)
        if owner in moved and one.place is not None and owner is not None:
            by = moved[owner].line - before[owner]
            one = replace(one, place=Place(one.place.file, one.place.line + by))
        result.append((number, one))
    return result


def all_clashes(kept: Kept) -> list[Finding]:
    """What is to be said of the names of all components."""
    rows = kept.connection.execute(
        "select c.code, c.name, c.field, r.file, c.line from called c join record r "
        "on r.kind = 'component' and r.code = c.code order by c.code, c.position"
    )
    return list(
        clashes(Called(code, name, field, Place(file, line)) for code, name, field, file, line in rows)
    )


def in_order(database: sqlite3.Connection, found: Sequence[Finding]) -> list[int]:
    """The places of findings in the order that the checker gives them."""
    height = dict(database.execute("select code, height from component").fetchall())
    keys = [order_of(one, lambda code: height.get(code, -1)) for one in found]
    return sorted(range(len(found)), key=keys.__getitem__)


def closing(database: sqlite3.Connection, found: Sequence[Finding]) -> str:
    """The closing words from the rows of the database.

    Raises
    ------
    WholeNeeded
        So few wholes were compared that each is told by itself.
    """
    if 0 < len({one.about for one in found if one.rule in (RULE, CIRCULAR)}) <= FEW:
        raise WholeNeeded("so few wholes are compared that each is told by itself")
    names = dict(database.execute("select code, name from component").fetchall())
    rows = database.execute(
        "select code, name, parts_listed from component c where exists "
        "(select 1 from usage u where u.parent = c.id) order by code"
    )
    return closing_from(found, names.__getitem__, [Assembly(*row) for row in rows], lambda _: "")
