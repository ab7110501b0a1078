"""A record as the plain values it is written with: texts, lists and mappings, kind and id first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handling_db.records.kinds.origin import version_of
from handling_db.records.parts.texts import Part


def written(kind: str, record: Part) -> dict[str, Any]:
    """The plain values of a record; reading them gives the same record."""
    values = _plain(record.as_written())
    return {kind: values.pop(kind), **values}


def version(kind: str, record: Part) -> str:
    """The version of a record; see `version_of`."""
    return version_of(written(kind, record))


def texts_in(value: Any) -> Iterator[str]:
    """Every plain text in a record's values, keys of mappings left out."""
    if isinstance(value, dict):
        for item in value.values():
            yield from texts_in(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from texts_in(item)
    else:
        yield str(value)


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return str(value)
