"""A whole collection as CSV tables, with a descriptor that other programs understand.

References
----------
.. [1] Frictionless Data, "Data Package" and "Table Schema", version 1.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from handling_db.families.build import BuildError, build_of
from handling_db.records.collection import KINDS, Collection
from handling_db.records.kinds.component import PartLine
from handling_db.records.kinds.origin import BOOKKEEPING
from handling_db.records.parts.statement import MassStatement
from handling_db.records.parts.texts import STATES, Part
from handling_db.records.written import written
from handling_db.tables.exports.package_in import table_of
from handling_db.tables.text.quiet import marked, quiet_csv
from handling_db.weights.compare import Judge


# Tables of their own: what stands in lists inside a component.
def _fields(model: type[Part]) -> tuple[str, ...]:
    return tuple(field.alias or name for name, field in model.model_fields.items())


_PART_LINES = ("line", "assembly", *_fields(PartLine))
_STATEMENT = ("statement", "component", *_fields(MassStatement))
_TOTALS = ("component", "state", "complete", "best_kg", "low_kg", "high_kg", "u_kg")

Table = tuple[str, list[dict[str, str]], list[list[str]], str]  # name, fields, rows, primary key


def package_files(collection: Collection, *, name: str) -> dict[str, bytes]:
    """Every kind of record as a CSV table, and ``datapackage.json``.

    Parameters
    ----------
    collection : Collection
    name : str
        Name of the package: small letters, digits, hyphens.

    Returns
    -------
    dict of file name to content
        What is not stated is an empty cell. A text that a spreadsheet program would take for a formula has an
        apostrophe before it, which reading takes away. Lists and mappings inside a cell are JSON. Masses in
        the table of totals are in kilograms; everywhere else they are as printed, with their unit.
    """
    lists = (("part-lines", "parts", _PART_LINES), ("mass-statements", "masses", _STATEMENT))
    tables = [*_kinds(collection), *(_inside(collection, *one) for one in lists), _totals(collection)]
    files = {
        f"{table}.csv": quiet_csv([f["name"] for f in fields], rows)
        for table, fields, rows, _ in tables
        if rows
    }
    resources = [
        {
            "name": table,
            "path": f"{table}.csv",
            "profile": "tabular-data-resource",
            "format": "csv",
            "mediatype": "text/csv",
            "encoding": "utf-8",
            "schema": _schema(fields, key),
        }
        for table, fields, rows, key in tables
        if rows
    ]
    descriptor = {"profile": "tabular-data-package", "name": name, "resources": resources}
    files["datapackage.json"] = (json.dumps(descriptor, indent=1, ensure_ascii=False) + "\n").encode()
    return files


def _schema(fields: list[dict[str, str]], key: str) -> dict[str, Any]:
    schema: dict[str, Any] = {"fields": fields, "missingValues": [""]}
    if key:
        schema["primaryKey"] = key
    return schema


def _texts(names: Iterable[str]) -> list[dict[str, str]]:
    return [{"name": name, "type": "string"} for name in names]


def _plain(value: Any) -> str:
    """A value as a cell: texts as they are, lists and mappings in JSON."""
    if value is None:
        return ""
    return marked(value) if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _kinds(collection: Collection) -> Iterable[Table]:
    inside = {"component": ("parts", "masses")}
    for kind, model in KINDS.items():
        if kind in BOOKKEEPING:
            continue
        names = [name for name in _fields(model) if name not in inside.get(kind, ())]
        rows = []
        for _, record in sorted(collection.of_kind(kind).items()):
            plain = written(kind, record)
            rows.append([_plain(plain.get(name)) for name in names])
        yield table_of(kind), _texts(names), rows, kind


def _inside(collection: Collection, name: str, field: str, heads: tuple[str, ...]) -> Table:
    """A list inside the components as a table: a row each, its id and its owner first."""
    rows = []
    for code, component in sorted(collection.components.items()):
        for one in getattr(component, field):
            plain = {**one.as_written(), heads[0]: one.key(code), heads[1]: code}
            plain = {key: json.loads(json.dumps(value, default=str)) for key, value in plain.items()}
            rows.append([_plain(plain.get(head)) for head in heads])
    return name, _texts(heads), rows, ""


def _totals(collection: Collection) -> Table:
    """Totals of every component in its default build; a figure that is "at least" has no highest."""
    kinds = {"complete": "boolean"} | {name: "number" for name in _TOTALS if name.endswith("_kg")}
    fields = [{"name": name, "type": kinds.get(name, "string")} for name in _TOTALS]
    judge = Judge(collection)
    rows = []
    for code, component in sorted(collection.components.items()):
        try:
            node = judge.tree.start.get((code, build_of(component)))
        except BuildError:
            continue
        if node is None or node not in judge.tree.height:
            continue
        for state in STATES:
            mass = judge.totals(state).of(node).mass
            known = mass.complete or mass.high > 0
            figures = [repr(float(mass.best)), repr(float(mass.low))] if known else ["", ""]
            high = [repr(float(mass.high)), repr(mass.u)] if mass.complete else ["", ""]
            rows.append([code, state, "true" if mass.complete else "false", *figures, *high])
    return "totals", fields, rows, ""
