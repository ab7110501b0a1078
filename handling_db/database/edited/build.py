"""Building over a database file: what changed and the units it is in, or everything where that is surer."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from handling_db.checker import check
from handling_db.checker.rules.references import CLASH
from handling_db.database.build import (
    BuildRefused,
    BuildReport,
    Progress,
    build_database,
    finding_shown,
    shown_name,
    shown_names,
    stamp_from,
    stamp_with_pictures,
)
from handling_db.database.edited import told
from handling_db.database.edited.files import Changed, changed, files_of, look
from handling_db.database.edited.kept import Keeping, Kept, facts_of, kept_file, signature
from handling_db.database.edited.rewrite import Rewriting
from handling_db.database.edited.touched import Touched, WholeNeeded, touched
from handling_db.database.file import look_of, publish_changed, refuse_other_files, room_beside
from handling_db.database.list_rows import finding_rows, list_rows, record_rows
from handling_db.database.picture_rows import picture_rows, pictures_hash
from handling_db.database.rows import RowsByTable, insert
from handling_db.database.summary import built_row, count_records
from handling_db.database.units import Key, Standing, first_lines, units
from handling_db.findings import Finding, Verdict
from handling_db.records.collection import Collection
from handling_db.tables.read import HowRead, collector_paused
from handling_db.weights.compare import judge_of


@dataclass(frozen=True, slots=True)
class Built:
    """What was built, and how much of it anew.

    Parameters
    ----------
    report : BuildReport
    records : int or None
        How many records were read, checked and written anew; None where the whole was built.
    because : str
        Why the whole was built; empty otherwise.
    """

    report: BuildReport
    records: int | None = None
    because: str = ""


def build_over(
    paths: Sequence[Path],
    out: Path,
    *,
    tables: Sequence[Path] = (),
    progress: Progress | None = None,
    how: HowRead | None = None,
) -> Built:
    """Build a database file, of one that is there only what changed since.

    Every table is then as a whole build has it, row for row. Where what rests on a change cannot be told
    surely, the whole is built.

    Parameters
    ----------
    paths, out, tables, progress, how
        As of `handling_db.database.build.build_database`.

    Raises
    ------
    BuildRefused, HandlingError
        As there; the file that was there is still there.
    """
    because = "it is built for the first time"
    if out.exists():
        try:
            with collector_paused():  # among all that a service holds one look would take as long as the edit
                return _edited(paths, out, tables)
        except WholeNeeded as error:
            because = str(error)
        except sqlite3.Error as error:
            because = f"what was kept cannot be used ({error})"
    now = time.time_ns()
    looks = [] if tables else look(files_of(paths)[0], paths, {}, now)  # before they are read

    if tables:
        report = build_database(paths, out, tables=tables, progress=progress, how=how)
        return Built(report, None, because)
    refuse_other_files(out)
    with room_beside(out) as room:
        keeping = Keeping(room, out, looks, paths, now)
        try:
            report = build_database(paths, out, progress=progress, how=how, keeper=keeping)
        finally:
            keeping.close()
    return Built(report, None, because)


def _edited(paths: Sequence[Path], out: Path, tables: Sequence[Path]) -> Built:
    if tables:
        raise WholeNeeded("tables are always read as a whole")
    kept = Kept.open(kept_file(out))
    if kept is None:
        raise WholeNeeded("nothing was kept beside it")
    try:
        return _by_what_was_kept(paths, out, kept)
    finally:
        kept.connection.close()


def _by_what_was_kept(paths: Sequence[Path], out: Path, kept: Kept) -> Built:
    if kept.value("signature") != signature(paths):
        raise WholeNeeded("it was built from other paths or by another version")
    if kept.value("database") != look_of(out):
        raise WholeNeeded("the database is not the one that this was kept for")
    picture = kept.picture_changed(paths)
    if picture:
        raise WholeNeeded(f"the picture {picture} changed")
    now = time.time_ns()
    before = kept.files()
    since = changed(paths, before, int(kept.value("since")))
    if since.findings:
        raise WholeNeeded("a file cannot be reached")
    reference = [
        name for name in (*since.written, *since.gone) if "source-kinds.yml" in name or "densities" in name
    ]
    if reference:
        raise WholeNeeded(f"{reference[0]} changed, and every unit rests on it")
    database = sqlite3.connect(f"{out.resolve().as_uri()}?mode=ro", uri=True)
    try:
        edit = _Edit(paths, kept, database, since, told.findings_there(database, kept, before))
        if not (since.written or since.gone):
            counts = edit.counts(database)
            return Built(BuildReport(out, kept.value("stamp"), counts, tuple(edit.found_before)), 0)
        edit.look()
    finally:
        database.close()
    built = publish_changed(out, edit.write)
    edit.keep(built, now)
    report = BuildReport(out, edit.stamp, edit.numbers, tuple(edit.findings))
    return Built(report, len(edit.touched.now | edit.touched.before))


class _Edit:
    """One change of a database, step by step: look, write, keep."""

    def __init__(
        self,
        paths: Sequence[Path],
        kept: Kept,
        database: sqlite3.Connection,
        since: Changed,
        found_before: Sequence[Finding],
    ) -> None:
        self.paths, self.kept, self.since = paths, kept, since
        self.rename = shown_names(paths)
        self.database = database
        self.found_before = found_before
        self.findings: list[Finding] = []
        self.numbers: Mapping[str, int] = {}
        self.stamp = ""

    def look(self) -> None:
        """Read what changed and check it with all that it is in.

        Raises
        ------
        BuildRefused
            It has faults.
        WholeNeeded
        """
        self.touched: Touched = touched(self.kept, self.database, self.since)
        reading = self.touched.reading
        ask = self.kept.connection.execute("select file, line, kind, code from record")
        stood = [(file, line, (kind, code)) for file, line, kind, code in ask]
        now = self._standing(stood)
        # what is said of things that a shop has once stands as it was: units they name are not all here
        own = [*reading.findings]
        found = check(reading.collection, unread=reading.unread)
        own += [one for one in found if now.owner(one.place) in self.touched.now]
        if any(one.verdict is Verdict.FAULT for one in own):
            raise BuildRefused(tuple(own))
        self.own = [one for one in own if one.rule != CLASH]
        self.was = Standing(stood)
        self.lines = {key: line for _, line, key in stood}

    def _standing(self, stood: Iterable[tuple[str, int, Key]]) -> Standing:
        first = first_lines(self.touched.collection.lines)
        first += [(moved.file, moved.line, key) for key, moved in self.touched.moved.items()]
        files = {file for file, *_ in first}
        otherwise = self.touched.now | self.touched.before | self.touched.moved.keys()
        first += [one for one in stood if one[0] in files and one[2] not in otherwise]
        return Standing(first)

    def write(self, connection: sqlite3.Connection) -> None:
        """Write it into a copy of the database."""
        from handling_db.database.component_rows import component_rows

        work, change, kept = Rewriting(connection), self.touched, self.kept
        rows = RowsByTable()
        rows.ids = work.numbers(change.removed, change.added)
        list_rows(rows, change.collection)
        record_rows(rows, change.collection)
        component_rows(rows, judge_of(change.collection), lambda file: shown_name(file, self.rename))
        pictures = picture_rows(rows, change.collection, self.paths)
        connection.execute("begin")
        work.take_out(change.before)
        work.move(rows.ids)
        work.put_in(rows, change.now)
        work.heaviest()
        for key, facts in change.moved.items():
            if key[0] == "component":
                number = rows.ids["component", key[1]]
                connection.execute("update component set line = ? where id = ?", (facts.line, number))
        kept.connection.execute("begin")
        self._keep_records()
        kept.put_pictures(pictures, self.paths)
        plain = stamp_from({one.shown: one.digest for one in self.since.now.values()})
        self.stamp = stamp_with_pictures(plain, pictures_hash(kept.pictures()))
        self._tell(connection, rows)
        self.numbers = self.counts(connection)
        (first, demo) = connection.execute("select first_unit, demo from built").fetchone()
        (day,) = kept.connection.execute("select max(day) from record").fetchone()
        closing = told.closing(connection, self.findings)
        built_row(rows, self.stamp, day, first, self.numbers, closing, demo=demo)
        connection.execute("delete from built")
        insert(connection, "built", rows.rows["built"])
        connection.execute("commit")

    def _tell(self, connection: sqlite3.Connection, rows: RowsByTable) -> None:
        """Put the findings in order: those that stand, those of what changed, those about names."""
        change = self.touched
        numbered = list(enumerate(self.found_before, 1))
        stays = [
            (number, one)
            for number, one in numbered
            if (self.same_names if one.rule == CLASH else self.was.owner(one.place) not in change.before)
        ]
        stays = told.shifted(stays, self.was, change.moved, self.lines)
        clashes = [] if self.same_names else told.all_clashes(self.kept)
        every = [*stays, *((0, one) for one in (*self.own, *clashes))]
        order = told.in_order(connection, [one for _, one in every])
        kept_rows = connection.execute("select * from finding order by id").fetchall()
        gathered = RowsByTable()
        gathered.ids = rows.ids
        otherwise = []
        for now, place in enumerate(order, 1):
            number, one = every[place]
            if number:
                row = kept_rows[number - 1]
                shown = one.place.line if one.place else None
                mine = (now, *row[1:4], rows.id("component", one.about), *row[5:8], shown, *row[9:])
            else:
                finding_rows(gathered, [finding_shown(one, self.rename)])
                mine = (now, *gathered.rows["finding"].pop()[1:])
            if now > len(kept_rows) or mine != kept_rows[now - 1]:
                otherwise.append(mine)
        connection.executemany("delete from finding where id = ?", [(row[0],) for row in otherwise])
        connection.execute("delete from finding where id > ?", (len(order),))
        insert(connection, "finding", otherwise)
        self.findings = [every[place][1] for place in order]

    def _keep_records(self) -> None:
        change, kept = self.touched, self.kept
        names = kept.names_of(change.before)
        for key in change.before:
            kept.remove_record(key)
        records = {
            key: (change.collection.of_kind(key[0])[key[1]], change.plain[key]) for key in sorted(change.now)
        }
        unit = units(records)
        for key, (record, plain) in records.items():
            lines = change.collection.lines[key]
            kept.put_record(facts_of(key[0], record, lines), unit[key], record, plain, lines)
        for key, facts in change.moved.items():
            by = facts.line - self.lines[key]
            kept.connection.execute(
                "update record set line = ? where kind = ? and code = ?", (facts.line, *key)
            )
            if key[0] == "component":
                kept.connection.execute("update called set line = line + ? where code = ?", (by, key[1]))
        # names are compared over the whole collection, so they are gone through only where one changed
        self.same_names = names == kept.names_of(change.now) and not change.moved

    def counts(self, connection: sqlite3.Connection) -> dict[str, int]:
        """How much there is of everything, by noun."""
        (masses,) = self.kept.connection.execute("select sum(masses) from record").fetchone()
        counts = dict.fromkeys(count_records(Collection()), masses)  # for the nouns, in their order
        for noun in counts.keys() - {"mass statements"}:
            table = "usage" if noun == "part lines" else noun.removesuffix("s")
            (counts[noun],) = connection.execute(f"select count(*) from {table}").fetchone()
        return counts

    def keep(self, built: str, since: int) -> None:
        """Keep what is now, in place of what was."""
        kept = self.kept
        kept.connection.executemany("delete from file where name = ?", [(name,) for name in self.since.gone])
        kept.put_files(self.since.now.values())
        kept.put_hidden(self.findings)
        kept.set(stamp=self.stamp, database=built, since=str(since))
        kept.connection.execute("commit")
