"""The page of the record format: its examples are read without a finding, and every field of every model is on it."""

from __future__ import annotations

import re
import typing
from collections.abc import Iterator

import pytest

from handling_db.checker import check
from handling_db.families.shape_table import MODIFIERS, SHAPES
from handling_db.files.reading import read_texts
from handling_db.findings import Verdict
from handling_db.formulas.read import FUNCTIONS
from handling_db.quantities.table import UNITS
from handling_db.records.collection import KINDS
from handling_db.records.parts.note_facts import FACTS_OF_KIND, words_of
from handling_db.records.parts.texts import Part
from handling_db.records.schema import described
from tests.docs.models import MODELS
from tests.docs.pages import DOCS, blocks
from tests.docs.write_record_format import table, written

PAGE = (DOCS / "record-format.md").read_text(encoding="utf-8")
EXAMPLES = [(f"block {i}", block.body) for i, block in enumerate(blocks(PAGE), 1) if block.info == "yaml"]
_TABLE = re.compile(r"^<!-- fields: (\w+) -->", re.MULTILINE)


def test_examples_are_read_without_a_finding() -> None:
    reading = read_texts(EXAMPLES)

    assert [str(finding) for finding in reading.findings] == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_record_has_an_example(kind: str) -> None:
    assert read_texts(EXAMPLES).collection.of_kind(kind)


def test_every_field_occurs_in_an_example() -> None:
    """A field that only stands in a table is easily written wrong."""
    given: set[tuple[str, str]] = set()

    def walk(part: Part) -> None:
        for name in part.model_fields_set:
            given.add((type(part).__name__, name))
            look(getattr(part, name))

    def look(value: object) -> None:
        if isinstance(value, Part):
            walk(value)
        elif isinstance(value, dict):
            for item in value.values():
                look(item)
        elif isinstance(value, tuple):
            for item in value:
                look(item)

    for _, record in read_texts(EXAMPLES).collection.records():
        walk(record)
    missing = [
        f"{model.__name__}.{name}"
        for model in MODELS.values()
        if model.__name__ != "NoteFacts"  # one kind of note shows how; the others are in the table of kinds
        for name in model.model_fields
        if (model.__name__, name) not in given
    ]

    assert missing == []


def test_tables_are_those_of_the_models() -> None:
    """Written by python -m tests.docs.write_record_format."""
    assert written(PAGE) == PAGE


def test_every_model_has_one_table() -> None:
    assert sorted(_TABLE.findall(PAGE)) == sorted(MODELS)


@pytest.mark.parametrize("name", MODELS)
def test_every_field_says_what_to_write(name: str) -> None:
    assert sorted(described(MODELS[name])) == sorted(MODELS[name].model_fields)


def test_a_field_of_a_base_is_told_too() -> None:
    words = described(MODELS["TieOut"])

    assert list(words)[:2] == ["on", "by"]
    assert "| `by` * | whose role |" in table(MODELS["TieOut"])


@pytest.mark.parametrize("kind", FACTS_OF_KIND)
def test_particulars_of_every_kind_of_note_are_listed(kind: str) -> None:
    told = ", ".join(f"`{word}`" for word in words_of(kind))

    assert f"| `{kind}` | {told} |" in PAGE


def test_words_that_a_field_may_hold_are_named() -> None:
    """Choices of words: every one of them stands on the page, as it is written in a record."""
    missing = sorted(
        f"{name}.{key}: {word}"
        for name, model in MODELS.items()
        for key, field in model.model_fields.items()
        for word in _words(field.annotation)
        if f"`{word}`" not in PAGE and f": {word}" not in PAGE
    )

    assert missing == []


def _words(annotation: typing.Any) -> Iterator[str]:
    if typing.get_origin(annotation) is typing.Literal:
        yield from (str(word) for word in typing.get_args(annotation))
        return
    for argument in typing.get_args(annotation):
        yield from _words(argument)


def test_units_shapes_and_functions_are_named() -> None:
    named = [*UNITS, *SHAPES, *MODIFIERS, "sum", "difference", "from", "cut"]
    named += [name for shape in SHAPES.values() for name in (*shape.required, *shape.optional)]

    assert [word for word in named if f"`{word}`" not in PAGE] == []
    assert [name for name in FUNCTIONS if f"`{name}`" not in PAGE and f"`{name}(" not in PAGE] == []


def test_examples_hold_no_fault_for_the_checker() -> None:
    """Read together with the kinds of source that come with the program, they refer to nothing that is not there."""
    from handling_db.tables.kinds import shipped_kinds

    reading = read_texts(EXAMPLES)
    collection = reading.collection
    kinds = {**shipped_kinds(), **collection.source_kinds}
    from dataclasses import replace

    findings = check(replace(collection, source_kinds=kinds))
    faults = [str(f) for f in findings if f.verdict is Verdict.FAULT]

    assert faults == []
