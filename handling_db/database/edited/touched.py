"""Which records changed, and which others an answer about them may rest on: the units that they are in."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from handling_db.database.edited.files import Changed
from handling_db.database.edited.kept import Kept, RecordFacts, facts_of
from handling_db.database.held import read_kept
from handling_db.database.queries.records import record_of
from handling_db.database.units import SHARED, Key, inner_ids, words_in
from handling_db.errors import HandlingError
from handling_db.files.folders import read_files
from handling_db.files.reading import ReadFiles, faultless_records, read_texts
from handling_db.records.collection import Collection, Lines, collect
from handling_db.records.written import written

MOST_SHARE = 3  # units with more than a third of all components are sooner built with everything else
SMALL = 500  # components; so many are always looked at


class WholeNeeded(HandlingError):
    """Why only what changed cannot be told surely, so that everything is to be built."""


@dataclass(frozen=True, slots=True)
class Touched:
    """What is read, checked and written anew.

    Parameters
    ----------
    collection : Collection
        The records of the units touched as they are now, and what the shop has once.
    reading : ReadFiles
        Of the files they stand in.
    plain : mapping of key to plain values
        Of the records of the units as they are now.
    before, now : frozenset of key
        The records of the units as they were and as they are.
    moved : mapping of key to RecordFacts
        Records of changed files that are the same and stand at other lines, as they stand now.
    """

    collection: Collection
    reading: ReadFiles
    plain: Mapping[Key, Any]
    before: frozenset[Key]
    now: frozenset[Key]
    moved: Mapping[Key, RecordFacts] = field(default_factory=dict)

    @property
    def added(self) -> frozenset[Key]:
        """Records that were not there."""
        return self.now - self.before

    @property
    def removed(self) -> frozenset[Key]:
        """Records that are no longer there."""
        return self.before - self.now


def touched(kept: Kept, database: sqlite3.Connection, changed: Changed) -> Touched:
    """What a change of files touches.

    Raises
    ------
    WholeNeeded
        Something changed that all units rest on, or the units touched are most of everything.
    """
    reading = _read(changed.written)
    files = (*changed.written, *changed.gone)
    there = {key: facts for file in files for key, facts in _records_in(kept, file).items()}
    lines = reading.collection.lines
    fresh = {(kind, one.id): one for kind, one in reading.collection.records()}
    plain = {key: written(key[0], one) for key, one in fresh.items()}
    moved: dict[Key, RecordFacts] = {}
    other: set[Key] = {key for key in there if key not in fresh}
    for key, record in fresh.items():
        facts = facts_of(key[0], record, lines[key])
        was = there.get(key)
        if was is None:
            if _stands(kept, key):
                raise WholeNeeded(f"{key[0]} {key[1]} stands in two files")
            other.add(key)
        elif (
            was.layout != facts.layout
            or was.file != facts.file
            or _text(database, key) != _dumped(plain[key])
        ):
            other.add(key)
        elif was.line != facts.line:
            moved[key] = facts
    for key in sorted(other):
        if key[0] in SHARED and (key in fresh or key not in reading.unread):
            raise WholeNeeded(f"{key[0]} {key[1]} changed, and records of every unit may rest on it")
    labels = _units(kept, other, fresh, plain)
    before = frozenset(key for label in labels for key in _of_unit(kept, label))
    _refuse_most(kept, before)
    now = (before - (other - fresh.keys())) | {key for key in other if key in fresh}
    others = sorted({_file_of(kept, key) for key in now if key not in fresh} - set(changed.written))
    rest = _again(kept, others, {name: changed.now[name].digest for name in others})
    records = {(kind, one.id): one for kind, one in rest.collection.records()} | fresh
    if not now <= records.keys():
        raise WholeNeeded("a file changed while it was read")
    every = {**rest.collection.lines, **lines}
    shared = _shared(database)
    collection = collect(
        [*((key[0], records[key]) for key in sorted(now)), *((kind, one) for kind, one in shared)],
        {key: every[key] for key in now},
    )
    found = ReadFiles(collection, (*reading.findings, *rest.findings), reading.unread)
    own = {key: plain[key] if key in plain else written(key[0], records[key]) for key in now}
    result = Touched(collection, found, own, before, now, {k: v for k, v in moved.items() if k not in now})
    _refuse_taken(kept, result)
    _refuse_named_by_shared(kept, shared, result)
    return result


def _read(names: Sequence[str]) -> ReadFiles:
    texts, findings = read_files([Path(name) for name in names])
    reading = read_texts(texts)
    return ReadFiles(reading.collection, (*findings, *reading.findings), reading.unread)


def _again(kept: Kept, names: Sequence[str], digests: Mapping[str, str]) -> ReadFiles:
    """Files that are as they were, out of the forms that were kept of them."""
    found: list[tuple[str, Any]] = []
    lines: dict[Key, Lines] = {}
    known: list[str] = []
    for name in names:
        read = read_kept(Path(name), kept.form, lambda digest, _: known.append(digest))
        records = None
        if read is not None:  # the bytes that were built from, or others that were saved since
            records = faultless_records(read, name, proved=known[-1] == digests.get(name))
        if records is None:
            return _read(names)  # which tells what is wrong
        for kind, record, own in records:
            found.append((kind, record))
            lines[kind, record.id] = own
    return ReadFiles(collect(found, lines), ())


def _records_in(kept: Kept, file: str) -> dict[Key, RecordFacts]:
    rows = kept.connection.execute(
        "select kind, code, file, line, layout, day, masses from record where file = ?", (file,)
    )
    return {(row[0], row[1]): RecordFacts((row[0], row[1]), *row[2:]) for row in rows}


def _stands(kept: Kept, key: Key) -> bool:
    found = kept.connection.execute("select 1 from record where kind = ? and code = ?", key).fetchone()
    return found is not None


def _file_of(kept: Kept, key: Key) -> str:
    return str(
        kept.connection.execute("select file from record where kind = ? and code = ?", key).fetchone()[0]
    )


def _text(database: sqlite3.Connection, key: Key) -> str:
    row = database.execute("select text from record where kind = ? and code = ?", key).fetchone()
    return str(row[0]) if row else ""


def _dumped(plain: Any) -> str:
    return json.dumps(plain, ensure_ascii=False)


def _units(kept: Kept, other: Iterable[Key], fresh: Mapping[Key, Any], plain: Mapping[Key, Any]) -> set[str]:
    """Units of the records that changed, and of all that they speak of now."""
    ask = kept.connection.execute
    labels: set[str] = set()
    for key in other:
        labels.update(row[0] for row in ask("select unit from record where kind = ? and code = ?", key))
        if key not in fresh:
            continue
        words = set(words_in(plain[key])) | {key[1]}
        for what, name in inner_ids(key[0], fresh[key], plain[key]):
            if what == "held":
                labels.update(_holding(kept, "about", name))
            elif what == "about":
                labels.update(_holding(kept, "held", name))
            elif what == "figure":
                words.add(name)
        for word in words:
            labels.update(row[0] for row in ask("select unit from record where code = ?", (word,)))
            labels.update(_holding(kept, "figure", word))
    return labels - {""}


def _holding(kept: Kept, what: str, name: str) -> list[str]:
    rows = kept.connection.execute(
        "select r.unit from inner_id i join record r on r.kind = i.kind and r.code = i.code "
        "where i.name = ? and i.what = ?",
        (name, what),
    )
    return [row[0] for row in rows]


def _of_unit(kept: Kept, label: str) -> list[Key]:
    return [
        (a, b) for a, b in kept.connection.execute("select kind, code from record where unit = ?", (label,))
    ]


def _refuse_most(kept: Kept, keys: Iterable[Key]) -> None:
    (every,) = kept.connection.execute("select count(*) from record where kind = 'component'").fetchone()
    own = sum(kind == "component" for kind, _ in keys)
    if own > SMALL and own * MOST_SHARE > every:
        raise WholeNeeded(f"what changed hangs together with {own:,} of {every:,} components")


def _shared(database: sqlite3.Connection) -> list[tuple[str, Any]]:
    """What a shop has once, out of the database."""
    marks = ", ".join("?" * len(SHARED))
    rows = database.execute(
        f"select kind, code, text from record where kind in ({marks}) order by kind, code", sorted(SHARED)
    ).fetchall()
    found = [(kind, record_of(kind, code, text)) for kind, code, text in rows]
    if any(kind in ("origin", "aside", "review", "pairing") for kind, _ in found):
        raise WholeNeeded(
            "records of other shops lie here, and what is in force of them rests on all of them"
        )
    return found


def _refuse_taken(kept: Kept, now: Touched) -> None:
    """An id of a figure or a part line that something else has is a fault that the whole build tells."""
    for key in sorted(now.now):
        record = dict(now.collection.of_kind(key[0]))[key[1]]
        for what, name in inner_ids(key[0], record, now.plain[key]):
            if what not in ("figure", "line"):
                continue
            rows = kept.connection.execute(
                "select kind, code from inner_id where name = ? and what = ?", (name, what)
            )
            if any((kind, code) not in now.before for kind, code in rows):
                raise WholeNeeded(f"the id {name!r} is taken elsewhere")


def _refuse_named_by_shared(kept: Kept, shared: Iterable[tuple[str, Any]], now: Touched) -> None:
    """What is said of gear, fixtures and packing changes where ids that they name come or go."""
    ids = {code for _, code in now.added | now.removed}
    was: set[str] = set()
    for key in now.before:
        rows = kept.connection.execute(
            "select name from inner_id where kind = ? and code = ? and what = 'held'", key
        )
        was.update(row[0] for row in rows)
    held = {
        name
        for key in now.now
        for what, name in inner_ids(key[0], now.collection.of_kind(key[0])[key[1]], now.plain[key])
        if what == "held"
    }
    ids |= held ^ was
    if not ids:
        return
    for kind, record in shared:
        named = ids.intersection(words_in(written(kind, record)))
        if named:
            raise WholeNeeded(f"{kind} {record.id} names {min(named)}, which came or went")
