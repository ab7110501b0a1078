"""A folder of CSV tables with its descriptor, as an export writes it, back as records.

References
----------
.. [1] Frictionless Data, "Data Package" and "Table Schema", version 1.
"""

from __future__ import annotations

import csv
import io
import json
import stat
from pathlib import Path
from typing import Any

from handling_db.files.merge_markers import merge_findings
from handling_db.files.reached import is_record_name
from handling_db.files.reading import ReadFiles, read_texts
from handling_db.files.yaml_text import dump_text
from handling_db.findings import Finding, Place, fault
from handling_db.records.collection import KINDS
from handling_db.tables.text.quiet import unmarked, unquiet

DESCRIPTOR = "datapackage.json"
INSIDE = {
    "part-lines": ("assembly", "parts", "line"),
    "mass-statements": ("component", "masses", "statement"),
}
MAX_BYTES = 300_000_000


def is_package(folder: Path) -> bool:
    """Whether a folder is an export: tables with their descriptor."""
    return (folder / DESCRIPTOR).is_file()


def read_package(folder: Path) -> ReadFiles:
    """The records of an exported folder, with every fault of its tables.

    What is worked out, such as the table of totals, is not read: it is worked out again.
    """
    findings: list[Finding] = []
    resources = _resources(folder, findings)
    records: dict[str, list[dict[str, Any]]] = {}
    inside: dict[str, list[dict[str, Any]]] = {}
    kinds = {table_of(kind): kind for kind in KINDS}
    for name, path in resources:
        rows = _rows(folder, path, findings)
        if name in kinds:
            records.setdefault(kinds[name], []).extend(rows)
        elif name in INSIDE:
            inside.setdefault(name, []).extend(rows)
    findings += _unnamed(folder, {path for _, path in resources}, {*kinds, *INSIDE})
    for record in records.get("component", ()):
        for name, (_, field, _) in INSIDE.items():
            if record.pop(field, None) is not None:  # what a list inside a cell would say twice
                place = Place(str(folder / f"{table_of('component')}.csv"), 1)
                told = f"{field!r} of {record.get('component', '')!r} stands in a cell;"
                findings.append(fault(place, field, told, f"write it in {name}.csv, a row each."))
    by_id = {str(record.get("component", "")): record for record in records.get("component", ())}
    for name, (owner, field, key) in INSIDE.items():
        for row in inside.get(name, ()):
            code = str(row.pop(owner, ""))
            row.pop(key, None)  # the hash of what the row says, worked out again
            if name == "part-lines":
                row.setdefault("component", "")
            if code in by_id:
                by_id[code].setdefault(field, []).append(row)
            else:
                place = Place(str(folder / f"{name}.csv"), 1)
                told = f"{code!r} is in no row of components.csv;"
                findings.append(fault(place, owner, told, "put its row back, or take this one out."))
    texts = [
        (
            str(folder / f"{table_of(kind)}.csv"),
            dump_text([{kind: one.pop(kind, ""), **one} for one in found]),
        )
        for kind, found in records.items()
        if found
    ]
    read = read_texts(texts)
    return ReadFiles(read.collection, (*findings, *read.findings))


def table_of(kind: str) -> str:
    """What the table of a kind of record is called."""
    return f"{kind.replace(' ', '-')}s".replace("gears", "gear")


def _resources(folder: Path, findings: list[Finding]) -> list[tuple[str, str]]:
    """Name and file of every table that the descriptor names; files outside the folder are refused."""
    file = folder / DESCRIPTOR
    try:
        _refuse_odd(file)
        described = json.loads(file.read_text("utf-8"))
        found = [(str(one["name"]), str(one["path"])) for one in described["resources"]]
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        told = f"cannot be read as the descriptor of an export ({type(error).__name__});"
        findings.append(fault(Place(str(file), 1), "", told, "export again."))
        return []
    for name, path in found:
        if Path(path).name != path:
            told = f"the table {name!r} is said to be in {path!r}, outside the folder;"
            findings.append(fault(Place(str(file), 1), "path", told, "put its file beside the descriptor."))
    return [(name, path) for name, path in found if Path(path).name == path]


def _unnamed(folder: Path, named: set[str], tables: set[str]) -> list[Finding]:
    """A fault for whatever of a folder holds records and is read by nobody: nothing is lost in silence."""
    found = []
    for file in sorted(folder.iterdir()):
        table = file.suffix.lower() == ".csv" and file.stem in tables and file.name not in named
        if table or is_record_name(file.name):
            told = "lies in the folder of an export, and its descriptor does not name it;"
            remedy = "give its path by itself, or take it out of the folder."
            found.append(fault(Place(str(file), 1), "", told, remedy))
    return found


def _refuse_odd(file: Path) -> None:
    """Read plain files of the folder itself only: a link may lead anywhere, a pipe never ends.

    Raises
    ------
    ValueError
        It is something else, or too large.
    """
    about = file.lstat()
    if not stat.S_ISREG(about.st_mode):
        raise ValueError("a link" if stat.S_ISLNK(about.st_mode) else "no plain file")
    if about.st_size > MAX_BYTES:
        raise ValueError(f"larger than {MAX_BYTES // 1_000_000} MB")


def _rows(folder: Path, path: str, findings: list[Finding]) -> list[dict[str, Any]]:
    """The rows of a table: empty cells left out, lists and mappings in cells opened."""
    file = folder / path
    try:
        _refuse_odd(file)
        text = file.read_text("utf-8-sig")
        merges = merge_findings(text, str(file))
        if merges:
            findings += merges
            return []
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except (OSError, ValueError, csv.Error) as error:
        told = f"cannot be read ({error});"
        findings.append(fault(Place(str(file), 1), "", told, "export again, or put the file right."))
        return []
    found = []
    heads = rows[0] if rows else []
    for number, row in enumerate(rows[1:], 2):
        if len(row) != len(heads):
            told = f"this row has {len(row)} cells, the heading line has {len(heads)};"
            findings.append(fault(Place(str(file), number), "", told, "write one cell for each heading."))
            continue
        found.append({head: _value(cell) for head, cell in zip(heads, row, strict=True) if cell})
    return found


def _value(cell: str) -> Any:
    """A list or a mapping where the cell is one in JSON, else its text."""
    if cell[:1] in "[{":
        try:
            return _texts_of(json.loads(cell))
        except (ValueError, RecursionError):  # refused as the text that it is
            return cell
    return unmarked(unquiet(cell))


def _texts_of(value: Any) -> Any:
    """A list or a mapping with texts for its values, as records have them."""
    if isinstance(value, dict):
        return {key: _texts_of(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_texts_of(item) for item in value]
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if value is None or isinstance(value, str) else str(value)
