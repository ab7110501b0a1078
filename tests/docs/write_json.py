"""Write the JSON Schema of all answers, docs/answers.schema.json: ``python -m tests.docs.write_json``."""

from __future__ import annotations

import json

from handling_db.interface.answer_schemas import answer_schemas
from tests.docs.pages import DOCS

SCHEMA = DOCS / "answers.schema.json"


def text() -> str:
    """The file as it should be."""
    return json.dumps(answer_schemas(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    SCHEMA.write_text(text(), encoding="utf-8")
