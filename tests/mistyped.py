"""Copies of record folders in which ids that are referred to are mistyped, one for each kind of reference."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import yaml


@dataclass(frozen=True)
class Reference:
    """One place where a record names another thing by its id."""

    file: Path
    line: int  # from 1
    start: int  # characters into the file
    end: int
    text: str
    signature: tuple[str, ...]  # kind of record and path of the field, without positions in lists


def _read(folder: Path) -> list[tuple[Path, yaml.MappingNode]]:
    """Every record of a folder with its file."""
    found = []
    for file in sorted(folder.rglob("*.yml")):
        node = yaml.compose(file.read_text(encoding="utf-8"), yaml.CSafeLoader)
        found += [(file, one) for one in (node.value if isinstance(node, yaml.SequenceNode) else [node])]
    return found


def ids_of(records: list[yaml.MappingNode]) -> set[str]:
    """Ids of all records, and of the things inside them that others name."""
    found = set()
    for record in records:
        found.add(record.value[0][1].value)  # the first field of a record is its kind and its id
        found |= _inner(record)
    return found


def _inner(node: yaml.Node) -> set[str]:
    """What stands under ``id`` anywhere in a record: ties, pick points, faces, part lines."""
    found: set[str] = set()
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value == "id" and isinstance(value, yaml.ScalarNode):
                found.add(value.value)
            found |= _inner(value)
    elif isinstance(node, yaml.SequenceNode):
        for value in node.value:
            found |= _inner(value)
    return found


def references(folder: Path) -> list[Reference]:
    """Every scalar of a folder's records that is the id of something, but for the ids by which things go."""
    records = _read(folder)
    ids = ids_of([record for _, record in records])
    found: list[Reference] = []

    def walk(node: yaml.Node, path: tuple[str, ...], file: Path) -> None:
        if isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                own = key.value == "id" or (len(path) == 1 and key.value == path[0])
                if own or key.value in ("kind", "what", "name"):  # words that are ids by chance
                    continue
                walk(value, (*path, key.value), file)
        elif isinstance(node, yaml.SequenceNode):
            for value in node.value:
                walk(value, path, file)
        elif node.value in ids:
            start, end = node.start_mark, node.end_mark
            found.append(Reference(file, start.line + 1, start.index, end.index, node.value, path))

    for file, record in records:
        walk(record, (record.value[0][0].value,), file)
    return found


def mistyped(folder: Path, into: Path, wanted: list[Reference]) -> Path:
    """A copy of a folder in which the wanted references end in a letter too many."""
    copy = into / "mistyped"
    shutil.copytree(folder, copy)
    for reference in sorted(wanted, key=lambda one: -one.end):
        file = copy / reference.file.relative_to(folder)
        text = file.read_text(encoding="utf-8")
        assert text[reference.start : reference.end].strip("'\"") == reference.text
        file.write_text(text[: reference.end] + "x" + text[reference.end :], encoding="utf-8")
    return copy
