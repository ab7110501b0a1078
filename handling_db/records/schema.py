"""The record format as JSON Schema, for editors and other programs."""

from __future__ import annotations

from typing import Any

from handling_db.quantities.quantity import MAX_TEXT
from handling_db.records.collection import KINDS

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
        kind: {"$schema": DIALECT, **_bare_numbers_too(model.model_json_schema())}
        for kind, model in KINDS.items()
    }


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
