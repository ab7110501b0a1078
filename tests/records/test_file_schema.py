"""One schema for whole record files: a stock validator takes every file of the demo and refuses what is none."""

from __future__ import annotations

import functools
import importlib
import json
from pathlib import Path

import jsonschema
import pytest

from handling_db.files.skeletons import kinds, skeleton
from handling_db.records.schema import file_schema

yaml = importlib.import_module("ruamel.yaml")
ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "data" / "demo").rglob("*.yml"))


@functools.cache
def stock() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(file_schema())


def plain(text: str) -> object:
    """As editors read YAML 1.2: numbers and truth values become such."""
    return json.loads(json.dumps(yaml.YAML(typ="safe", pure=True).load(text), default=str))


@pytest.mark.slow
def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(file_schema())


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_file_of_the_demo_is_taken(file: Path) -> None:
    assert [error.message for error in stock().iter_errors(plain(file.read_text("utf-8")))] == []


@pytest.mark.parametrize("kind", kinds())
def test_what_new_writes_is_taken(kind: str) -> None:
    assert [error.message for error in stock().iter_errors(plain(skeleton(kind, "some-id")))] == []


PART = {"component": "a", "name": "A", "kind": "part"}


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("text", "'text' is not of type 'object'"),
        (3, "3 is not of type 'object'"),
        ([[]], "[] is not of type 'object'"),
        ({}, "'component' is a required property"),
        ({"compnent": "a", "name": "A"}, "'component' is a required property"),
        ({"component": "a", "name": "A"}, "'kind' is a required property"),
        ({**PART, "masss": []}, "('masss' was unexpected)"),
        ([PART, {**PART, "kind": "thing"}], "'thing' is not one of"),
        ({**PART, "masses": [{"printed": 12, "source": "s"}]}, "is not valid under any of the given schemas"),
        (
            {**PART, "masses": [{"printed": "12", "source": "s"}]},
            "is not valid under any of the given schemas",
        ),
        ({"weighing": "w", "source": "s", "colour": "red"}, "('colour' was unexpected)"),
        ({"shop": "s", "name": "S", "gear": "one"}, "'gear'"),
    ],
)
def test_what_is_no_record_is_refused(value: object, told: str) -> None:
    errors = [error.message for error in stock().iter_errors(value)]

    assert errors
    if "gear" not in told and "any of" not in told:
        assert any(told in message for message in errors), errors


def test_the_kind_is_chosen_where_several_could_be_meant() -> None:
    """A weighing has a source, a choice a component, gear a shop and a shop gear: none is taken for the other."""
    assert list(stock().iter_errors({"shop": "s", "name": "S", "gear": ["g"]})) == []
    assert list(stock().iter_errors({"gear": "g", "name": "G", "kind": "chain sling", "shop": "s"})) == []
