"""The one way in: folders, files and tables, or a database file, to `Records`; and from names to ids.

Every command and page gets its records here. What cannot be read, or names something that is not there, is
told with file and line, all of it in one run, and nothing is worked out.
"""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from handling_db.errors import AmbiguousNameError, HandlingError, UnknownNameError, not_there, some_of
from handling_db.findings import FaultsError, Finding, Verdict

if TYPE_CHECKING:
    from handling_db.records.collection import Collection
    from handling_db.records.proved import Records
    from handling_db.tables.read import HowRead

# What may be lifted, moved and set down, in the order in which a name is looked for.
PIECE = ("lift group", "component")

Reach = Literal["below", "around", "handled", "everything"]


@dataclass(frozen=True, slots=True)
class Loaded:
    """Records for one question.

    Parameters
    ----------
    records : Records
        At least what an answer about the thing rests on.
    kind, code : str or None
        What was named: its kind and id; None where nothing was.
    first_unit : str
        kg or lb: what the collection's first shop reads first.
    left_out : str
        What the records do not hold because there is too much of it; empty where nothing is left out.
    """

    records: Records
    kind: str | None
    code: str | None
    first_unit: str
    left_out: str = ""

    @property
    def id(self) -> str:
        """The id of what was named.

        Raises
        ------
        HandlingError
            Nothing was.
        """
        if self.code is None:
            raise HandlingError("nothing was named; write the id or name of a piece")
        return self.code


def read(paths: Iterable[Path | str], *, how: HowRead | None = None) -> Records:
    """Read record folders, record files and flat tables into one collection without a fault.

    Parameters
    ----------
    paths : iterable of path
    how : HowRead, optional
        What is said of tables beside what stands in them, such as their decimal sign.

    Raises
    ------
    FaultsError
        Every fault of the reader or, where it has none, of the checker: file, line, field and remedy.
    HandlingError
        A path does not exist or is of no kind that can be read.
    """
    from handling_db.tables.sources import read_paths

    reading = read_paths([Path(path) for path in paths], how=how)
    return proved(reading.collection, reading.findings)


def proved(collection: Collection, findings: Sequence[Finding] = ()) -> Records:
    """The collection as `Records`.

    Parameters
    ----------
    collection : Collection
    findings : sequence of Finding
        What the reader said about it.

    Raises
    ------
    FaultsError
        The reader or the checker finds a fault.
    """
    from handling_db.checker.proof import faults
    from handling_db.records.proved import Records

    # the checker looks only where everything could be read: what was left out would be "not there" to it
    found = [finding for finding in findings if finding.verdict is Verdict.FAULT] or [*faults(collection)]
    if found:
        raise FaultsError(found)
    return Records.taken_from(collection)


def from_paths(
    paths: Iterable[Path | str], name: str | None = None, kinds: Sequence[str] = ("component",)
) -> Loaded:
    """Records of folders, files and tables, and the id of what was named.

    Parameters
    ----------
    paths : iterable of path
    name : str, optional
        Id, name, alias or part number.
    kinds : sequence of str
        What it may be, the first that fits: ``component``, ``lift group``, ``joint``, ``job`` and so on.

    Raises
    ------
    FaultsError
        As `read`.
    UnknownNameError, AmbiguousNameError
        Nothing, or more than one thing, goes by the name.
    """
    records = read(paths)
    kind, code = (None, None) if name is None else named(records, name, kinds)
    return Loaded(records, kind, code, records.first_unit)


def from_database(
    connection: sqlite3.Connection,
    name: str | None = None,
    kinds: Sequence[str] = ("component",),
    reach: Reach = "below",
) -> Loaded:
    """Records out of a database file, which was built of records without a fault.

    Parameters
    ----------
    connection : sqlite3.Connection
    name, kinds
        As for `from_paths`.
    reach : str
        ``below``: what is named with all below and above it; ``around``: with everything in the same whole;
        ``handled``: ``below`` with all that it is handled with, lifts, joints, gear, shops; ``everything``.

    Raises
    ------
    UnknownNameError, AmbiguousNameError
        Nothing, or more than one thing, goes by the name.
    HandlingError
        Too many records for the question, or the file cannot be read.
    """
    from handling_db.database.queries.collection import TooManyRecordsError, records_about
    from handling_db.records.proved import Records

    row = connection.execute("select first_unit from shop order by code limit 1").fetchone()
    kind, code = (None, None) if name is None else named_in_file(connection, name, kinds)
    left_out = ""
    try:
        found = records_about(connection, kind, code, reach)
    except TooManyRecordsError as error:
        if reach != "around" or code is None:
            raise
        # Of a large table: what is in the piece itself still bounds and explains it.
        found = records_about(connection, kind, code, "below")
        many = str(error).partition(":")[0]
        left_out = f"{many}: only what is in it is looked at; figures around it may narrow or contradict this"
    return Loaded(Records.taken_from(found), kind, code, str(row[0]) if row else "kg", left_out)


def together(several: Sequence[Loaded]) -> Records:
    """The records of several questions to one database, each of which read only what it needs."""
    from handling_db.records.collection import collect
    from handling_db.records.proved import Records

    return Records.taken_from(collect([pair for one in several for pair in one.records.records()]))


def named(collection: Collection, name: str, kinds: Sequence[str] = ("component",)) -> tuple[str, str]:
    """Kind and id of what goes by an id, name, alias or part number, whatever the case of its letters.

    Raises
    ------
    AmbiguousNameError
        Several do; they are listed.
    UnknownNameError
        None does; what comes near is named.
    """
    for kind in kinds:
        if name in collection.of_kind(kind):
            return kind, name
    wanted = _folded(name)
    names: dict[str, list[tuple[str, str]]] = {}
    for kind in kinds:
        for code, record in sorted(collection.of_kind(kind).items()):
            own = {code, getattr(record, "name", None), getattr(record, "part_number", None)}
            for text in {*own, *getattr(record, "also_called", ())} - {None, ""}:
                names.setdefault(_folded(str(text)), []).append((kind, code))
    found = names.get(wanted, []) if wanted else []
    if len(found) == 1:
        return found[0]
    if found:
        titles = {code: getattr(collection.of_kind(kind)[code], "name", code) for kind, code in found}
        raise AmbiguousNameError(name, tuple(titles.items()))
    raise UnknownNameError(_not_there(name, kinds, names, collection))


def named_in_file(
    connection: sqlite3.Connection, name: str, kinds: Sequence[str] = ("component",)
) -> tuple[str, str]:
    """As `named`, out of a database file and without reading a record.

    Raises
    ------
    AmbiguousNameError, UnknownNameError
        As `named`.
    """
    from difflib import get_close_matches

    from handling_db.database.queries.names import resolve

    asked = name.strip()
    others = [kind for kind in kinds if kind != "component"]
    for kind in others:
        if connection.execute("select 1 from record where kind = ? and code = ?", (kind, asked)).fetchone():
            return kind, asked
    there = "select 1 from component where code = ?"
    if "component" in kinds and connection.execute(there, (asked,)).fetchone():
        return "component", asked
    known: list[str] = []
    for kind in others:
        rows = connection.execute("select code from record where kind = ? order by code", (kind,))
        ids = [str(row[0]) for row in rows]
        for code in ids:
            if _folded(code) == _folded(asked):
                return kind, code
        known += ids
    if "component" not in kinds:
        raise UnknownNameError(not_there(" or ".join(kinds), name, known))
    try:
        return "component", resolve(connection, name)
    except UnknownNameError as error:
        if not others:
            raise
        near = get_close_matches(asked, known, 3)
        told = f"like it: {some_of(near)}" if near else f"recorded: {some_of(known)}"
        raise UnknownNameError(f"{error}. {others[0].capitalize()}s {told}.") from None


def _not_there(
    name: str, kinds: Sequence[str], names: dict[str, list[tuple[str, str]]], collection: Collection
) -> str:
    from handling_db.lookup.meant import Known
    from handling_db.lookup.meant import near as near_to

    if len(kinds) == 1 and kinds[0] != "component":
        return not_there(kinds[0], name, sorted(collection.of_kind(kinds[0])))
    inside = {line.component for one in collection.components.values() for line in one.parts}
    by_id: dict[str, set[str]] = {}
    for text, things in names.items():
        for _, code in things:
            by_id.setdefault(code, set()).add(text)
    known = [
        Known(code, code, tuple(sorted(texts)), code not in inside, len(_lines_of(collection, code)))
        for code, texts in sorted(by_id.items())
    ]
    near = [one.id for one in near_to(known, name, 3)]
    told = f"there is no {' and no '.join(kinds)} {name!r}"
    if near:
        return f"{told}; did you mean: {', '.join(dict.fromkeys(near))}?"
    few = [kind for kind in kinds if kind != "component"]
    listed = [f"{kind}s: {some_of(sorted(collection.of_kind(kind)))}" for kind in few]
    return "; ".join((told, *listed))


def _lines_of(collection: Collection, code: str) -> Sequence[object]:
    one = collection.components.get(code)
    return one.parts if one is not None else ()


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


def day(text: str | None, option: str = "") -> datetime.date:
    """A date from text, or today; `option` says where the text stands, for the error.

    Raises
    ------
    HandlingError
        Not a date.
    """
    if text is None:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        told = f"{option} {text!r}".lstrip()
        raise HandlingError(f"{told} is not a date; write year-month-day, such as 2026-03-09") from None
