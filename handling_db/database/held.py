"""Records on hold: each read once and kept as its text until the turn of its unit comes.

A shop's records as objects take ten times the room of their texts, so a build holds the texts of all and the
records of a few units at a time.
"""

from __future__ import annotations

import hashlib
import json
import marshal
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from handling_db.database.units import SHARED, Key, UnitsOf, words_in
from handling_db.files.folders import files_below, read_bytes, read_densities, reference_folder, text_in
from handling_db.files.parsed import FormOf, form_of, read_form
from handling_db.files.reading import faultless_records
from handling_db.files.yaml_text import YamlText, load_text
from handling_db.findings import Finding
from handling_db.records.collection import KINDS, Collection, Lines, collect
from handling_db.records.written import written

# Records that came from other shops: what is in force of them rests on all of them.
_OTHERS = frozenset({"origin", "aside", "review", "pairing"})
COMPONENTS = 300  # so many at a time, or one unit that has more

KeepForm = Callable[[str, bytes], None]
"""Told the hash of a file's bytes and the form of what was read of it."""


@dataclass(frozen=True, slots=True)
class _Held:
    """One record: its text, its file, and the lines of its fields as this run packed them."""

    text: str
    file: str
    lines: bytes


@dataclass(frozen=True, slots=True)
class Batch:
    """Some whole units, with what the shop has once.

    Parameters
    ----------
    collection : Collection
        Their records, those that are the shop's, and the lines of all of them.
    keys : frozenset of key
        Of the units, and in the first batch of what the shop has once.
    """

    collection: Collection
    keys: frozenset[Key]


@dataclass(slots=True)
class OnHold:
    """The records of a shop, by unit."""

    _held: dict[Key, _Held] = field(default_factory=dict)
    unit: dict[Key, str] = field(default_factory=dict)
    _first: frozenset[str] = frozenset()

    def codes(self, kind: str) -> list[str]:
        """The ids of all records of a kind."""
        return [code for k, code in self._held if k == kind]

    def keys(self) -> list[Key]:
        """All records, in the order of a whole collection: of kinds, and then of ids."""
        rank = {kind: place for place, kind in enumerate(KINDS)}
        return sorted(self._held, key=lambda key: (rank[key[0]], key[1]))

    def text(self, key: Key) -> str:
        """A record as JSON text."""
        return self._held[key].text

    def batches(self) -> Iterator[Batch]:
        """All units, some at a time; what is shared comes with each and is the first one's own."""
        own: dict[str, list[Key]] = {}
        shared: list[Key] = []
        for key in self.keys():
            if key[0] in SHARED:
                shared.append(key)
            else:
                own.setdefault(self.unit[key], []).append(key)
        records = {key: self._record(key) for key in shared}
        places = {key: lines for key in shared if (lines := self._lines(key)) is not None}
        # what is said of shared things rests on the units that they speak of: those come first, together
        gathered = [key for label in sorted(self._first) for key in own.pop(label)]
        first = True
        for label in sorted(own):
            if sum(kind == "component" for kind, _ in gathered) >= COMPONENTS:
                yield self._batch(gathered, records, places, shared if first else ())
                gathered, first = [], False
            gathered += own[label]
        if gathered or first:
            yield self._batch(gathered, records, places, shared if first else ())

    def _batch(
        self,
        keys: Sequence[Key],
        records: Mapping[Key, Any],
        places: Mapping[Key, Lines],
        more: Iterable[Key],
    ) -> Batch:
        own = {key: self._record(key) for key in keys}
        lines = {key: found for key in keys if (found := self._lines(key)) is not None}
        every = [(key[0], record) for several in (records, own) for key, record in several.items()]
        return Batch(collect(every, {**places, **lines}), frozenset((*keys, *more)))

    def _record(self, key: Key) -> Any:
        return KINDS[key[0]].model_validate(json.loads(self._held[key].text))

    def _lines(self, key: Key) -> Lines | None:
        held = self._held[key]
        return Lines(held.file, marshal.loads(zlib.decompress(held.lines))) if held.file else None


def hold(paths: Sequence[Path], form: FormOf, keep: KeepForm) -> OnHold | None:
    """Read record folders and hold what stands in them.

    Parameters
    ----------
    paths : sequence of Path
        Folders of records, or single record files.
    form : function of a hash
        The form of a file that was read before.
    keep : function of a hash and a form
        Called for every file.

    Returns
    -------
    OnHold or None
        None where the records are to be read all together: there is a fault, or what one unit's records mean
        may rest on those of another.

    Raises
    ------
    HandlingError
        A path does not exist.
    """
    files, findings = files_below(paths)
    if findings:
        return None
    found, units = OnHold(), UnitsOf()
    lines_named: set[str] = set()

    def put(kind: str, record: Any, lines: Lines | None) -> None:
        plain = written(kind, record)
        key = (kind, record.id)
        packed = b"" if lines is None else zlib.compress(marshal.dumps(dict(lines.at)), 1)
        text = json.dumps(plain, ensure_ascii=False)
        found._held[key] = _Held(text, "" if lines is None else lines.file, packed)
        units.add(key, record, plain)

    for file in files:
        read = read_kept(file, form, keep)
        records = None if read is None else faultless_records(read, str(file))
        if records is None:
            return None
        for kind, record, lines in records:
            ids = {line.id for line in record.parts if line.id is not None} if kind == "component" else set()
            if kind in _OTHERS or (kind, record.id) in found._held or ids & lines_named:
                return None
            lines_named |= ids
            put(kind, record, lines)
    for material in read_densities(reference_folder() / "densities.yml"):
        if ("material", material.id) not in found._held:
            put("material", material, None)
    found.unit = units.labels(lambda key: json.loads(found._held[key].text))
    shared = [json.loads(found.text(key)) for key in found._held if key[0] in SHARED]
    words = (word for plain in shared for word in words_in(plain))
    found._first = frozenset(found.unit[key] for key in units.spoken_of(words))
    return found


def read_kept(file: Path, form: FormOf, keep: KeepForm) -> YamlText | None:
    """What one file holds, from the form that was kept of it or from its text.

    Parameters
    ----------
    file : Path
    form : function of a hash
        The form of a file that was read before.
    keep : function of a hash and a form
        Told what was read.

    Returns
    -------
    YamlText or None
        None where it cannot be read or has a fault.
    """
    findings: list[Finding] = []
    content = read_bytes(file, findings)
    if content is None:
        return None
    digest = hashlib.sha256(content).hexdigest()
    kept = form(digest)
    read = None if kept is None else read_form(kept)
    if read is None or kept is None:
        text = text_in(content, file, findings)
        read = None if text is None else load_text(text, str(file))
        if read is None or read.findings:
            return None
        kept = form_of(read)
    keep(digest, kept)
    return read
