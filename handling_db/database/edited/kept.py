"""What a build keeps beside its database, so that the next one need look only at what changed.

It says which file each record stands in and at which line, which records speak of one another, and what the
rows of the database do not tell. It is no part of the database: where it is missing, or does not fit it, the
whole is built.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import handling_db
from handling_db import __version__
from handling_db.checker.rules.references import names_of
from handling_db.database import schema
from handling_db.database.build import stamp_from, stamp_with_pictures
from handling_db.database.by_units import Told
from handling_db.database.file import look_of
from handling_db.database.picture_rows import PictureNamed, picture_files, pictures_hash
from handling_db.database.units import Key, inner_ids
from handling_db.files.folders import data_folder
from handling_db.findings import Finding
from handling_db.records.collection import Collection, Lines, field_text
from handling_db.records.kinds.component import Component

TABLES = """
create table kept (name text primary key, value text not null) without rowid;
create table file (
  name text primary key, shown text not null, size integer not null, modified integer not null,
  inode integer not null, digest text not null
) without rowid;
create table record (
  kind text not null, code text not null, file text not null, line integer not null, layout text not null,
  unit text not null, day text, masses integer not null, primary key (kind, code)
) without rowid;
create index record_file on record (file);
create index record_unit on record (unit);
create index record_code on record (code);
create table inner_id (what text not null, name text not null, kind text not null, code text not null);
create index inner_id_name on inner_id (name);
create index inner_id_record on inner_id (kind, code);
create table called (
  code text not null, position integer not null, name text not null, field text not null, line integer,
  primary key (code, position)
) without rowid;
create table pictured (
  part integer not null, kind text not null, owner text not null, position integer not null,
  about text not null, file text not null, name text, looks text not null,
  primary key (part, kind, owner, position)
) without rowid;
create table form (digest text primary key, form blob not null) without rowid;
create table hides (finding integer primary key, value text not null);
"""


@dataclass(frozen=True, slots=True)
class FileLook:
    """A file as it stood when it was read.

    Parameters
    ----------
    name : str
        As the reader was given it.
    shown : str
        As the database calls it.
    size : int
        [bytes]
    modified : int
        [ns since 1970]
    digest : str
        Hash of its content.
    """

    name: str
    shown: str
    size: int
    modified: int
    inode: int
    digest: str


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """What is kept of one record.

    Parameters
    ----------
    layout : str
        Hash of the lines of its fields, counted from its first.
    masses : int
        How many mass statements it has.
    day : str or None
        The latest day that is written in it.
    """

    key: Key
    file: str
    line: int
    layout: str
    day: str | None
    masses: int


def kept_file(out: Path) -> Path:
    """Where it stands for a database."""
    return out.parent / f".{out.name}.kept"


def signature(paths: Sequence[Path]) -> str:
    """What must be the same for anything kept to hold: the program, its tables, the paths and from where."""
    here = [__version__, program(), schema.VERSION, str(Path.cwd()), [str(path) for path in paths]]
    return json.dumps(here)


@cache
def program() -> str:
    """Hash of the program as it is here: a version that is worked on calculates otherwise from day to day."""
    found = hashlib.sha256()
    package = Path(handling_db.__file__).parent
    for file in sorted([*package.rglob("*.py"), *(data_folder() / "reference").rglob("*.*")]):
        found.update(file.name.encode() + file.read_bytes())
    return found.hexdigest()


def facts_of(kind: str, record: Any, lines: Lines) -> RecordFacts:
    """What is kept of a record, from the record and its lines."""
    first = lines.place(kind).line
    days = [getattr(record, "on", None)]
    masses = 0
    if isinstance(record, Component):
        days += [statement.on for statement in record.masses]
        masses = len(record.masses)
    layout = sorted((path, line - first) for path, line in lines.at.items() if path or len(lines.at) == 1)
    digest = hashlib.blake2b(repr(layout).encode(), digest_size=12).hexdigest()
    day = max((one.isoformat() for one in days if one is not None), default=None)
    return RecordFacts((kind, record.id), lines.file, first, digest, day, masses)


class Kept:
    """What was kept, open for questions and changes.

    Parameters
    ----------
    connection : sqlite3.Connection
    """

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection

    @classmethod
    def open(cls, file: Path) -> Kept | None:
        """What was kept in a file; None where there is no such file, or it cannot be read."""
        if not file.is_file():
            return None
        connection = sqlite3.connect(file, isolation_level=None)
        try:
            connection.execute("select value from kept").fetchone()
        except sqlite3.Error:
            connection.close()
            return None
        return cls(connection)

    def value(self, name: str) -> str:
        """One value; empty where there is none."""
        row = self.connection.execute("select value from kept where name = ?", (name,)).fetchone()
        return str(row[0]) if row else ""

    def set(self, **values: str) -> None:
        """Put values in."""
        self.connection.executemany("replace into kept values (?, ?)", values.items())

    def fits(self, out: Path) -> bool:
        """Whether it was kept for a database as it stands, by this program as it is."""
        return self.value("program") == program() and out.exists() and self.value("database") == look_of(out)

    def form(self, digest: str) -> bytes | None:
        """The form of a file that was read, by the hash of its bytes."""
        try:
            row = self.connection.execute("select form from form where digest = ?", (digest,)).fetchone()
        except sqlite3.Error:  # damaged, or kept by another program: read the file itself
            return None
        return row[0] if row and isinstance(row[0], bytes) else None

    def files(self) -> dict[str, FileLook]:
        """By name, every file that was read."""
        return {row[0]: FileLook(*row) for row in self.connection.execute("select * from file")}

    def put_files(self, files: Iterable[FileLook]) -> None:
        """Put files in, in place of what was kept of them."""
        rows = [(f.name, f.shown, f.size, f.modified, f.inode, f.digest) for f in files]
        self.connection.executemany("replace into file values (?, ?, ?, ?, ?, ?)", rows)

    def put_record(self, facts: RecordFacts, unit: str, record: Any, plain: Any, lines: Lines) -> None:
        """Put in what is kept of a record that is not there yet."""
        kind, code = facts.key
        self.connection.execute(
            "insert into record values (?, ?, ?, ?, ?, ?, ?, ?)",
            (kind, code, facts.file, facts.line, facts.layout, unit, facts.day, facts.masses),
        )
        inner = [(what, name, kind, code) for what, name in inner_ids(kind, record, plain)]
        self.connection.executemany("insert into inner_id values (?, ?, ?, ?)", inner)
        if isinstance(record, Component):
            rows = [
                (code, i, name, field_text(path), lines.place(*path).line)
                for i, (name, path) in enumerate(names_of(record))
            ]
            self.connection.executemany("insert into called values (?, ?, ?, ?, ?)", rows)

    def names_of(self, keys: Iterable[Key]) -> frozenset[tuple[Any, ...]]:
        """What the components among some records go by, and where each name is written."""
        asked = "select c.*, r.file from called c join record r on r.kind = 'component' and r.code = c.code "
        ask = self.connection.execute
        several = (ask(f"{asked}where c.code = ?", (code,)) for kind, code in keys if kind == "component")
        return frozenset(tuple(row) for rows in several for row in rows)

    def remove_record(self, key: Key) -> None:
        """Take out all that is kept of a record."""
        self.connection.execute("delete from record where kind = ? and code = ?", key)
        self.connection.execute("delete from inner_id where kind = ? and code = ?", key)
        if key[0] == "component":
            self.connection.execute("delete from called where code = ?", (key[1],))
        self.connection.execute("delete from pictured where kind = ? and owner = ?", key)

    def put_pictures(self, named: Iterable[PictureNamed], paths: Sequence[Path]) -> None:
        """Keep where pictures are named, and how their files look."""
        positions: Counter[tuple[int, str, str]] = Counter()
        for one in named:
            key = (one.part, one.kind, one.owner)
            self.connection.execute(
                "insert into pictured values (?, ?, ?, ?, ?, ?, ?, ?)",
                (*key, positions[key], one.about, one.file, one.name, looks_of(one.file, paths)),
            )
            positions[key] += 1

    def pictures(self) -> tuple[PictureNamed, ...]:
        """Where pictures are named, in the order in which they go into the stamp."""
        rows = self.connection.execute(
            "select part, kind, owner, about, file, '', name from pictured "
            "order by part, kind, owner, position"
        )
        return tuple(PictureNamed(*row) for row in rows)

    def picture_changed(self, paths: Sequence[Path]) -> str:
        """The name of a picture whose file is otherwise than it was; empty for none."""
        rows = self.connection.execute("select distinct file, looks from pictured").fetchall()
        return next((file for file, looks in rows if looks_of(file, paths) != looks), "")

    def put_hidden(self, findings: Sequence[Finding]) -> None:
        """Keep exactly what may hide in each finding; the rows of the database are floating point."""
        self.connection.execute("delete from hides")
        rows = [(i, str(one.hides)) for i, one in enumerate(findings, 1) if one.hides is not None]
        self.connection.executemany("insert into hides values (?, ?)", rows)


def looks_of(file: str, paths: Sequence[Path]) -> str:
    """How the files look that a picture may be."""
    return "; ".join(f"{there} {look_of(there)}" for there in picture_files(file, paths))


class Keeping:
    """Writes what a build over a database needs, while the whole is built.

    Parameters
    ----------
    room : Path
        A folder of our own beside the database.
    out : Path
        The database.
    files : iterable of FileLook
        Looked at before they were read.
    paths : sequence of Path
    since : int
        When they were looked at. [ns since 1970]
    """

    def __init__(
        self, room: Path, out: Path, files: Iterable[FileLook], paths: Sequence[Path], since: int
    ) -> None:
        self.out, self.paths, self.since = out, paths, since
        self.looks = tuple(files)
        self._file = room / "kept.db"
        self._before = Kept.open(kept_file(out))
        if self._before is not None and not self._before.fits(out):
            self._before.connection.close()
            self._before = None
        self._in_files = True
        connection = sqlite3.connect(self._file, isolation_level=None)
        connection.execute("pragma journal_mode = off")
        connection.execute("pragma synchronous = off")
        connection.executescript(TABLES)
        connection.execute("begin")
        self.kept = Kept(connection)

    def form(self, digest: str) -> bytes | None:
        """The form of a file that was read before, by the hash of its bytes."""
        return None if self._before is None else self._before.form(digest)

    def keep_form(self, digest: str, form: bytes) -> None:
        """Keep the form of a file."""
        self.kept.connection.execute("insert or ignore into form values (?, ?)", (digest, form))

    def records(
        self, collection: Collection, unit: Mapping[Key, str], plain_of: Callable[[Key], Any]
    ) -> None:
        """Keep what is to be known of the records of which the unit is given, and of no others."""
        for key in unit:
            record, lines = collection.of_kind(key[0])[key[1]], collection.lines.get(key)
            if lines is not None:
                self.kept.put_record(facts_of(key[0], record, lines), unit[key], record, plain_of(key), lines)
            elif key[0] != "material":
                self._in_files = False  # nothing would be known of a change of it

    def done(self, told: Told, stamp: str) -> None:
        """The database is in place, and what was kept for it takes the place of what was."""
        plain_stamp = stamp_from({one.shown: one.digest for one in self.looks})
        if not self._in_files or stamp_with_pictures(plain_stamp, pictures_hash(told.pictures)) != stamp:
            kept_file(self.out).unlink(missing_ok=True)
            return  # a file changed while it was read: nothing is kept, and the next build is a whole one
        kept = self.kept
        kept.set(
            signature=signature(self.paths),
            program=program(),
            database=look_of(self.out),
            stamp=stamp,
            since=str(self.since),
        )
        kept.put_files(self.looks)
        kept.put_pictures(told.pictures, self.paths)
        kept.put_hidden(told.findings)
        kept.connection.execute("commit")
        self.close()
        self._file.replace(kept_file(self.out))

    def close(self) -> None:
        """Let go of both files."""
        self.kept.connection.close()
        if self._before is not None:
            self._before.connection.close()
