"""Checking and writing a shop's records some units at a time, so that it takes hardly more room for more.

What is said of a record, and what is worked out of it, rests on its own unit and on what the shop has once;
what is said of all records together, such as names that fit several, is put together at the end.
"""

from __future__ import annotations

import gc
import json
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from handling_db.checker import check, closing_from, order_of, whole_words
from handling_db.checker.closing import FEW, Assembly
from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.references import CLASH, Called, clashes, names_of
from handling_db.checker.rules.sums import CIRCULAR, RULE
from handling_db.database.held import Batch, OnHold
from handling_db.database.list_rows import NUMBERED, list_rows
from handling_db.database.owned import rows_of
from handling_db.database.picture_rows import PictureNamed, picture_rows
from handling_db.database.rows import RowsByTable, insert
from handling_db.database.summary import count_records, data_date, first_unit
from handling_db.database.units import SHARED, Key, Standing, first_lines, unit_of_component
from handling_db.findings import Finding, Verdict
from handling_db.records.collection import Collection, field_text
from handling_db.weights.compare import Judge, judge_of

_COLLECTED = 4  # batches after each of which their garbage, some 5 MB each, is looked for
_OF_ALL = ("limit_kg",)  # tables with rows of what the shop has once, by kind and id
_PAGES = 16  # how much of the file is held while it is written [MB]


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of all that went into a file.

    Parameters
    ----------
    findings : tuple of Finding
        In the order of the file, with the files as the reader calls them.
    pictures : tuple of PictureNamed
        Where pictures are named, in the order in which they go into the stamp.
    counts : mapping of noun to int
    day : str or None
        The latest day on which anything was said.
    first_unit : str
        kg or lb.
    closing : str
        What was compared and what was not.
    """

    findings: tuple[Finding, ...]
    pictures: tuple[PictureNamed, ...]
    counts: Mapping[str, int]
    day: str | None
    first_unit: str
    closing: str


class Keeper(Protocol):
    """Keeps beside a file what the next build of it need not read again."""

    def form(self, digest: str) -> bytes | None:
        """The form of a file that was read before, by the hash of its bytes."""

    def keep_form(self, digest: str, form: bytes) -> None:
        """Keep the form of a file."""

    def records(
        self, collection: Collection, unit: Mapping[Key, str], plain_of: Callable[[Key], Any]
    ) -> None:
        """Keep what is to be known of the records of which the unit is given, and of no others."""

    def done(self, told: Told, stamp: str) -> None:
        """The file is in place."""


class NoKeeper:
    """Keeps nothing."""

    def form(self, digest: str) -> bytes | None:  # noqa: ARG002
        """None."""
        return None

    def keep_form(self, digest: str, form: bytes) -> None:
        """Nothing."""

    def records(
        self, collection: Collection, unit: Mapping[Key, str], plain_of: Callable[[Key], Any]
    ) -> None:
        """Nothing."""

    def done(self, told: Told, stamp: str) -> None:
        """Nothing."""


def write_by_units(
    held: OnHold,
    connection: sqlite3.Connection,
    paths: Sequence[Path],
    file_name: Callable[[str], str],
    keeper: Keeper,
    tick: Callable[[int, int], None],
) -> tuple[RowsByTable, Told]:
    """Check all records and write the rows of all but the findings.

    Parameters
    ----------
    connection : sqlite3.Connection
        To a file with empty tables.
    paths : sequence of Path
        The folders that were read.
    file_name : function of a file's path
        What the file is called in the database.
    tick : function of (done, of)
        Told how many components are done.

    Returns
    -------
    RowsByTable
        With every record numbered, and no rows.
    Told
        Where it holds a fault, no row was written since that was found.
    """
    from handling_db.balance.together.reach import forget as forget_evidence
    from handling_db.lifting.load.unit import forget as forget_units

    connection.execute(f"pragma cache_size = -{_PAGES * 1024}")
    writing = _Writing(held, connection, paths, file_name, keeper)
    of = len(held.codes("component"))
    for number, batch in enumerate(held.batches(), 1):
        tick(writing.done, of)
        writing.batch(batch)
        forget_evidence(batch.collection)
        forget_units(batch.collection)
        if number % _COLLECTED == 0:  # records and what was worked out of them point at each other in circles
            gc.collect()
    return writing.rows, writing.told()


@dataclass(slots=True)
class _Gathered:
    """What is put together over all units."""

    findings: list[Finding] = field(default_factory=list)
    pictures: list[PictureNamed] = field(default_factory=list)
    called: list[Called] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    heights: dict[str, int] = field(default_factory=dict)
    assemblies: list[Assembly] = field(default_factory=list)
    wholes: dict[str, str] = field(default_factory=dict)
    counts: Counter[str] = field(default_factory=Counter)
    day: str | None = None
    first_unit: str = "kg"
    faults: bool = False


class _Writing:
    """One file, batch by batch."""

    def __init__(
        self,
        held: OnHold,
        connection: sqlite3.Connection,
        paths: Sequence[Path],
        file_name: Callable[[str], str],
        keeper: Keeper,
    ) -> None:
        self.held, self.connection, self.paths = held, connection, paths
        self.file_name, self.keeper = file_name, keeper
        self.rows = RowsByTable()
        for kind, table in NUMBERED.items():
            self.rows.number(table, held.codes(kind))
        self.place = {key: number for number, key in enumerate(held.keys(), 1)}
        self.gathered = _Gathered()
        self.done = 0
        self._taken: set[str] = set()  # names of pictures that are in
        # the rows of statements are numbered over all components, so they wait until all are there
        connection.execute("create temp table waiting as select * from statement")

    def batch(self, batch: Batch) -> None:
        """Check and write some units."""
        collection, gathered = batch.collection, self.gathered
        found = self._check(batch)
        gathered.findings += found
        gathered.faults = gathered.faults or any(one.verdict is Verdict.FAULT for one in found)
        self.done += len(collection.components)
        evidence = Evidence(collection)
        sums = (one.about for one in found if one.rule in (RULE, CIRCULAR))
        gathered.heights.update({code: evidence.height(code) for code in sums})
        self._sum_up(batch)
        if gathered.faults:
            return
        judge = judge_of(collection)
        self._words(judge, found)
        list_rows(self.rows, collection)
        from handling_db.database.component_rows import component_rows

        component_rows(self.rows, judge, self.file_name)
        gathered.pictures += picture_rows(self.rows, collection, self.paths)
        self._write(batch)
        unit = {key: self.held.unit.get(key, "") for key in sorted(batch.keys)}
        self.keeper.records(collection, unit, lambda key: json.loads(self.held.text(key)))

    def _check(self, batch: Batch) -> list[Finding]:
        """What is to be said of these units, and where all that they name is there, of what is shared."""
        every = [one for one in check(batch.collection) if one.rule != CLASH]
        if any(kind in SHARED for kind, _ in batch.keys):
            return every
        standing = Standing(first_lines(batch.collection.lines))
        return [one for one in every if standing.owner(one.place) in batch.keys]

    def _sum_up(self, batch: Batch) -> None:
        collection, gathered = batch.collection, self.gathered
        for code, one in sorted(collection.components.items()):
            gathered.names[code] = one.name
            if one.parts:
                gathered.assemblies.append(Assembly(code, one.name, one.parts_listed))
            for name, path in names_of(one):
                place = collection.place("component", code, *path)
                gathered.called.append(Called(code, name, field_text(path), place))
        counts = count_records(collection)
        gathered.counts.update({noun: counts[noun] for noun in ("part lines", "mass statements")})
        days = [day for day in (gathered.day, data_date(collection)) if day is not None]
        gathered.day = max(days, default=None)
        gathered.first_unit = first_unit(collection)

    def _words(self, judge: Judge, found: Iterable[Finding]) -> None:
        """What was compared of each whole, while there are few enough to be told one by one."""
        wholes = self.gathered.wholes
        for one in found:
            if one.rule in (RULE, CIRCULAR) and one.about not in wholes:
                wholes[one.about] = whole_words(judge, one.about) if len(wholes) < FEW else ""

    def _write(self, batch: Batch) -> None:
        rows, first = self.rows, any(kind in SHARED for kind, _ in batch.keys)
        for table, mine in rows_of(rows, batch.keys):
            insert(self.connection, "waiting" if table == "statement" else table, mine)
        for table in _OF_ALL if first else ():
            insert(self.connection, table, rows.rows.get(table, ()))
        pictures = [row for row in rows.rows.get("picture", ()) if row[0] not in self._taken]
        insert(self.connection, "picture", pictures)
        self._taken.update(row[0] for row in pictures)
        insert(
            self.connection,
            "record",
            [
                (self.place[key], *key, unit_of_component(self.held.unit.get(key, "")), self.held.text(key))
                for key in sorted(batch.keys)
            ],
        )
        rows.rows.clear()

    def told(self) -> Told:
        """What is told of all of them, once all are in."""
        gathered = self.gathered
        self._number_statements()
        gathered.called.sort(key=lambda one: one.code)
        found = [*gathered.findings, *clashes(gathered.called)]
        found.sort(key=lambda one: order_of(one, lambda code: gathered.heights.get(code, -1)))
        assemblies = sorted(gathered.assemblies, key=lambda one: one.code)
        closing = closing_from(found, gathered.names.__getitem__, assemblies, gathered.wholes.__getitem__)
        pictures = sorted(gathered.pictures, key=lambda one: (one.part, one.kind, one.owner))
        return Told(tuple(found), tuple(pictures), self._counts(), gathered.day, gathered.first_unit, closing)

    def _counts(self) -> dict[str, int]:
        """As `count_records` gives them of a whole collection."""
        nouns = count_records(Collection())
        kinds = {noun: noun.removesuffix("s") for noun in nouns}
        counts = self.gathered.counts
        return {n: counts[n] if n in counts else len(self.held.codes(kinds[n])) for n in nouns}

    def _number_statements(self) -> None:
        columns = [row[1] for row in self.connection.execute("pragma table_info(statement)")][1:]
        listed = ", ".join(f'"{name}"' for name in columns)
        self.connection.execute(
            f"insert into statement select row_number() over (order by component, position), {listed} "
            "from waiting order by component, position"
        )
        self.connection.execute("drop table waiting")
