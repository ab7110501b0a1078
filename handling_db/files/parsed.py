"""What was read of a file, in a form that is read again several times quicker than YAML.

A form holds plain values and their lines and nothing else: texts, lists and mappings, never code. It is asked
for by the hash of the file's bytes, and what comes back is checked for its shape; the records are made from
it as from the file itself, with every check of theirs.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Callable, Iterator
from typing import Any

from handling_db.files.yaml_text import MAX_DEPTH, MAX_NODES, YamlText
from handling_db.records.collection import Path

FormOf = Callable[[str], bytes | None]
"""The form that was kept under the hash of a file's bytes; None where there is none."""

_MOST = 64_000_000  # bytes of a form unpacked: several times what the largest file needs


def form_of(read: YamlText) -> bytes:
    """The form of a text that was read without a fault.

    Raises
    ------
    ValueError
        Something is to be said of the text, which no form holds.
    """
    if read.findings:
        raise ValueError("a text with faults has no form")
    # the lines stand in the order in which the values are walked through, so their paths need not be told
    plain = json.dumps([list(read.lines.values()), read.value], ensure_ascii=False, separators=(",", ":"))
    return zlib.compress(plain.encode(), 1)


def read_form(form: bytes) -> YamlText | None:
    """What a form holds; None where it is damaged, or none of ours."""
    try:
        unpacking = zlib.decompressobj()
        told = unpacking.decompress(form, _MOST)
        if not unpacking.eof:
            return None
        lines, value = json.loads(told)
        paths = list(_paths(value, (), 0))
    except (zlib.error, ValueError, TypeError, RecursionError):
        return None
    if len(paths) > 2 * MAX_NODES or not isinstance(lines, list) or len(lines) != len(paths):
        return None
    if not all(type(line) is int and line > 0 for line in lines):
        return None
    return YamlText(value, dict(zip(paths, lines, strict=True)), ())


def _paths(value: Any, here: Path, depth: int) -> Iterator[Path]:
    """The path of every value, in the order in which a text is walked through.

    Raises
    ------
    ValueError
        Something is no plain value.
    """
    if depth > MAX_DEPTH:
        raise ValueError("too deep")
    if value is None and not here:
        return  # an empty text has no lines
    yield here
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _paths(item, (*here, key), depth + 1)
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from _paths(item, (*here, number), depth + 1)
    elif value is not None and not isinstance(value, str):
        raise ValueError("no plain value")
