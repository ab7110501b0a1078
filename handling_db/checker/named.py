"""Where records name others: paths of fields as a table, walked alike for every kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from handling_db.checker.evidence import Evidence, Path, nothing_there
from handling_db.findings import Finding
from handling_db.records.parts.three_valued import listed

# kind of record it stands in, id of the record, path of the field, kind it points at, id it points at
Reference = tuple[str, str, Path, str, str]


def named(evidence: Evidence, fields: Mapping[str, str]) -> Iterator[Reference]:
    """Every id that records of these kinds name.

    Parameters
    ----------
    evidence : Evidence
    fields : mapping of kind to text
        ``path = kind`` with semicolons between; in a path a point between steps and ``*`` for each of a list.
    """
    for kind, text in fields.items():
        for code, record in sorted(evidence.collection.of_kind(kind).items()):
            for path, target, wanted in named_by(record, text):
                yield kind, code, path, target, wanted


def named_by(record: Any, fields: str) -> Iterator[tuple[Path, str, str]]:
    """Path, kind and id of everything that one record names in these fields."""
    for field in fields.split("; "):
        path, target = field.split(" = ")
        for at, wanted in _values(record, (), path.split(".")):
            yield at, target, wanted


def _values(value: Any, path: Path, steps: list[str]) -> Iterator[tuple[Path, str]]:
    if value is None:
        return
    if not steps:
        yield path, value
    elif steps[0] == "*":
        for i, one in enumerate(listed(value)):
            yield from _values(one, (*path, i), steps[1:])
    else:
        inner = getattr(value, steps[0].replace(" ", "_"))
        yield from _values(inner, (*path, steps[0]), steps[1:])


def nothing_goes_by(evidence: Evidence, rule: str, references: Iterator[Reference]) -> Iterator[Finding]:
    """A fault for every id that nothing goes by."""
    for kind, record, path, target, wanted in references:
        if evidence.absent(target, wanted):
            yield nothing_there(evidence, rule, (kind, record, path), target, wanted)
