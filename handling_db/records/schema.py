"""The record format as JSON Schema, for editors and other programs."""

from __future__ import annotations

import ast
import functools
import inspect
import itertools
import sys
import typing
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from handling_db.quantities.quantity import MAX_TEXT
from handling_db.records.collection import KINDS
from handling_db.records.parts.texts import Part

# What to write in each field: the words below the fields of the models.


@functools.cache
def described(model: type[BaseModel]) -> dict[str, str]:
    """The words below each field of a model, those of its bases included.

    They stand in the source as a text below the field; Pydantic could read them at every start, which
    costs the reader of records, so they are read here by whoever asks.

    Parameters
    ----------
    model : class
        A kind of record, or a mapping inside one.

    Returns
    -------
    dict of str to str
        By the field's name in Python; a field without words is left out.

    Raises
    ------
    OSError
        Where the source of the class is not at hand.
    """
    words: dict[str, str] = {}
    for base in reversed(model.__mro__):
        if isinstance(base, type) and issubclass(base, BaseModel) and base is not BaseModel:
            words |= _of_source(base)
    return {name: words[name] for name in model.model_fields if name in words}


@functools.cache
def _classes(module: str) -> dict[str, ast.ClassDef]:
    """The classes at the top of a module; its source is parsed once and not for each of them."""
    tree = ast.parse(inspect.getsource(sys.modules[module]))
    return {node.name: node for node in tree.body if isinstance(node, ast.ClassDef)}


def _of_source(model: type[BaseModel]) -> dict[str, str]:
    found = _classes(model.__module__).get(model.__qualname__)
    words: dict[str, str] = {}
    for field, below in itertools.pairwise(found.body if found is not None else ()):
        if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name):
            match below:
                case ast.Expr(value=ast.Constant(value=str() as text)):
                    words[field.target.id] = " ".join(text.split())
    return words


def mappings_of(model: type[Part]) -> Iterator[type[Part]]:
    """A kind of record and every mapping that may stand inside one, each once."""
    seen: set[type[Part]] = set()
    waiting = [model]
    while waiting:
        part = waiting.pop(0)
        if part not in seen:
            seen.add(part)
            yield part
            for field in part.model_fields.values():
                waiting.extend(_inside(field.annotation))


def _inside(annotation: typing.Any) -> Iterator[type[Part]]:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
    for argument in typing.get_args(annotation):
        yield from _inside(argument)


DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schemas() -> dict[str, dict[str, Any]]:
    """The JSON Schema of every kind of record.

    The schema knows the fields, the words and the look of figures. What a record says as a whole (one
    way of weighing, 'none' with 'checked by', a right-handed frame) only the reader checks.

    Returns
    -------
    dict of kind to schema
        Kinds as they are written in the records: ``source kind``, not ``source_kind``.
    """
    return {
        kind: {"$schema": DIALECT, **_bare_numbers_too(_explained(model))} for kind, model in KINDS.items()
    }


def _explained(model: type[Part]) -> dict[str, Any]:
    """The schema of one kind, with what to write in each field, which editors show beside it."""
    schema = model.model_json_schema()
    parts = {part.__name__: part for part in mappings_of(model)}
    for part in (schema, *schema.get("$defs", {}).values()):
        if part.get("title") in parts:
            of = parts[part["title"]]
            for name, words in described(of).items():
                part["properties"][of.model_fields[name].alias or name]["description"] = words
    return schema


def file_schema() -> dict[str, Any]:
    """The JSON Schema of a record file: one record or a list, each of the kind that its first key says.

    JSON has no first key. A record is taken for the first of the kinds, in an order in which a kind comes
    before those whose names are fields of it (a weighing has a field `source`), whose key holds an id.
    """
    schemas = json_schemas()
    shared: dict[str, Any] = {}
    for schema in schemas.values():
        schema.pop("$schema")
        shared |= schema.pop("$defs", {})
    choose: dict[str, Any] = {
        "required": ["component"],  # what no kind of record begins with is marked as lacking one
        "description": f"A record starts with its kind and id; the kinds are: {', '.join(schemas)}.",
    }
    for kind in reversed(_fields_last(schemas)):
        holds_an_id = {"required": [kind], "properties": {kind: {"type": ["string", "number"]}}}
        choose = {"if": holds_an_id, "then": {"$ref": f"#/$defs/{_def_of(kind)}"}, "else": choose}
    record = {"type": "object", **choose}
    records = {"type": "array", "items": {"$ref": "#/$defs/record"}}
    defs = {_def_of(kind): schema for kind, schema in schemas.items()}
    return {
        "$schema": DIALECT,
        "title": "A record file",
        "if": {"type": "array"},
        "then": records,
        "else": {"$ref": "#/$defs/record"},
        "$defs": {"record": record, **defs, **shared},
    }


def _def_of(kind: str) -> str:
    return f"kind-{kind.replace(' ', '-')}"


def _fields_last(schemas: dict[str, dict[str, Any]]) -> list[str]:
    """Kinds, each before those whose names are fields of it."""
    order: list[str] = []
    left = list(schemas)
    while left:
        named = {other for kind in left for other in schemas[kind]["properties"] if other != kind}
        free = [kind for kind in left if kind not in named] or left[:1]  # of a circle the type decides
        order += free
        left = [kind for kind in left if kind not in free]
    return order


def _bare_numbers_too(schema: Any) -> Any:
    """Let editors take ``quantity: 14`` for what it is: they see a number where the reader sees a text.

    A figure with a unit keeps its pattern, so that a bare number is marked there.
    """
    if isinstance(schema, list):
        return [_bare_numbers_too(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    made = {key: _bare_numbers_too(value) for key, value in schema.items()}
    needs_a_unit = "pattern" in made and made.get("maxLength") == MAX_TEXT
    if made.get("type") == "string" and "enum" not in made and not needs_a_unit:
        made["type"] = ["string", "number"]
    return made
