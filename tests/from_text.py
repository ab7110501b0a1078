"""Small collections from YAML text, so that a test's input reads like a record file."""

from __future__ import annotations

import textwrap

from handling_db.files.folders import read_collection
from handling_db.files.reading import ReadFiles, read_texts
from handling_db.records.collection import Collection

REFERENCE = read_collection([], reference=True).collection


def reading(text: str, name: str = "records.yml") -> ReadFiles:
    """Read YAML text as one file, with the kinds of source that come along."""
    read = read_texts([(name, textwrap.dedent(text))])
    return ReadFiles(with_reference(read.collection), read.findings)


def collection(text: str) -> Collection:
    """Read YAML text that has no faults."""
    read = reading(text)
    assert [str(finding) for finding in read.findings] == []
    return read.collection


def with_reference(given: Collection) -> Collection:
    """The same with the kinds of source and materials that come along."""
    from handling_db.records.collection import collect

    return collect([*given.records(), *REFERENCE.records()], given.lines)


SCALE = """
- {source: scale, name: floor scale, kind: weighed, instrument: {name: floor scale, step: 0.5 kg}}
- {source: book, name: handbook, kind: maker's manual}
- {source: list, name: price list, kind: supplier's list}
- {source: eye, name: a look, kind: by eye}
"""


def with_nothing_around(given: Collection, *parts: str) -> Collection:
    """The same without any weighing of a whole, and with no figure or guess for some parts."""
    from handling_db.records.collection import collect

    records = []
    for kind, record in given.records():
        if kind == "weighing":
            continue
        bare = kind == "component" and record.id in parts
        records.append((kind, record.model_copy(update={"masses": ()}) if bare else record))
    return collect(records, given.lines)
