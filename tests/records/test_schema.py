"""The JSON Schema of every kind of record, and the copy of it in docs."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
import yaml

from handling_db.records.collection import KINDS
from handling_db.records.schema import DIALECT, json_schemas

ROOT = Path(__file__).parents[2]
SCHEMAS = json_schemas()
TYPES = {"string": str, "array": list, "object": dict, "null": type(None), "number": (int, float)}


def test_the_copy_in_docs_is_current():
    """If this fails: ``handling-db schema > docs/schema.json``."""
    printed = json.dumps(SCHEMAS, indent=2, ensure_ascii=False) + "\n"

    assert (ROOT / "docs" / "schema.json").read_text(encoding="utf-8") == printed


def test_every_kind_has_its_schema():
    assert list(SCHEMAS) == list(KINDS)
    assert all(schema["$schema"] == DIALECT for schema in SCHEMAS.values())


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_has_the_fields_of_the_record_and_no_others(kind):
    fields = KINDS[kind].model_fields

    assert list(SCHEMAS[kind]["properties"]) == [f.alias for f in fields.values()]
    assert SCHEMAS[kind].get("required", []) == [f.alias for f in fields.values() if f.is_required()]
    assert kind in SCHEMAS[kind]["required"]


@pytest.mark.parametrize("kind", KINDS)
def test_unknown_fields_are_refused_everywhere(kind):
    for schema in [SCHEMAS[kind], *SCHEMAS[kind].get("$defs", {}).values()]:
        if "properties" in schema:
            assert schema["additionalProperties"] is False


def problems(value, schema, defs, where=""):
    """What a plain value breaks of a schema; the words of JSON Schema that our schemas use."""
    if "$ref" in schema:
        schema = defs[schema["$ref"].rpartition("/")[2]]
    if "anyOf" in schema:
        tried = [list(problems(value, option, defs, where)) for option in schema["anyOf"]]
        yield from [] if not all(tried) else min(tried, key=len)
        return
    if "enum" in schema and value not in schema["enum"]:
        yield f"{where}: {value!r} is none of {schema['enum']}"
    if "const" in schema and value != schema["const"]:
        yield f"{where}: {value!r} is not {schema['const']!r}"
    types = schema.get("type")
    if types is not None:
        allowed = tuple(TYPES[name] for name in ([types] if isinstance(types, str) else types))
        if not any(isinstance(value, kind) for kind in allowed):
            yield f"{where}: {value!r} is no {types}"
            return
    if isinstance(value, str):
        if "pattern" in schema and not re.search(schema["pattern"], value):
            yield f"{where}: {value!r} does not look like {schema['pattern']}"
        if not schema.get("minLength", 0) <= len(value) <= schema.get("maxLength", len(value)):
            yield f"{where}: {value!r} is too short or too long"
    if isinstance(value, list):
        if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
            yield f"{where}: {len(value)} items"
        first = schema.get("prefixItems", [])
        for i, item in enumerate(value):
            rule = first[i] if i < len(first) else schema.get("items", {})
            yield from problems(item, rule, defs, f"{where}[{i}]")
    if isinstance(value, dict):
        known = schema.get("properties", {})
        more = schema.get("additionalProperties", {})
        yield from (f"{where}: {name} is missing" for name in schema.get("required", []) if name not in value)
        for name, item in value.items():
            if name not in known and more is False:
                yield f"{where}: {name} is not a field"
            else:
                rule = known.get(name, {} if more is True else more)
                yield from problems(item, rule, defs, f"{where}.{name}")


def as_an_editor_sees_it(file):
    """Records with numbers taken for numbers, which is what an editor's reader of YAML does."""
    with file.open(encoding="utf-8") as opened:
        loaded = yaml.load(opened, Loader=NoDates)
    return loaded if isinstance(loaded, list) else [loaded]


class NoDates(yaml.SafeLoader):
    """YAML as of version 1.2, where a day is a text and so are yes and no."""


NoDates.yaml_implicit_resolvers = {
    first: [(tag, rule) for tag, rule in rules if tag.rpartition(":")[2] not in {"timestamp", "bool"}]
    for first, rules in yaml.SafeLoader.yaml_implicit_resolvers.items()
}

SHIPPED = sorted([*(ROOT / "data" / "demo").rglob("*.yml"), ROOT / "data" / "reference" / "source-kinds.yml"])


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.name)
def test_the_shipped_records_satisfy_their_schema(file):
    for record in as_an_editor_sees_it(file):
        schema = SCHEMAS[next(iter(record))]
        assert list(problems(record, schema, schema.get("$defs", {}))) == []


GOOD = {"mover": "hoist", "name": "Hoist", "kind": "hoist", "rated": "2 t"}


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"kind": "elephant"}, ".kind: 'elephant' is none of"),
        ({"rated": 2000}, ".rated: 2000 is no"),
        ({"rated": "heavy"}, ".rated: 'heavy' does not look like"),
        ({"colour": "blue"}, ": colour is not a field"),
        ({"name": ""}, ".name: '' is too short or too long"),
        ({"name": ["a"]}, ".name: ['a'] is no"),
    ],
)
def test_a_schema_marks_what_is_wrong(change, problem):
    schema = SCHEMAS["mover"]

    assert list(problems(GOOD, schema, {})) == []
    found = list(problems({**GOOD, **change}, schema, {}))
    assert len(found) == 1
    assert found[0].startswith(problem)


def test_schema_says_what_to_write_in_each_field() -> None:
    """Editors show it beside the field; it is the text of the record format."""
    schemas = json_schemas()

    assert schemas["gear"]["properties"]["pitch"]["description"].startswith("by how much one link shortens")
    assert schemas["gear"]["$defs"]["TagRating"]["properties"]["legs"]["description"] == "for how many legs"
