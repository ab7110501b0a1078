"""Write the tables of fields in docs/record-format.md from the models: python -m tests.docs.write_record_format."""

from __future__ import annotations

import re

from handling_db.records.parts.texts import Part
from handling_db.records.schema import described
from tests.docs.models import MODELS
from tests.docs.pages import DOCS

_TABLE = re.compile(r"^<!-- fields: (?P<model>\w+) -->\n(?:\|.*\n)*", re.MULTILINE)


def table(model: type[Part]) -> str:
    """The fields of one model, as a table: a star marks one that must be there."""
    words = described(model)
    rows = ["| field | what to write |", "| --- | --- |"]
    for key, field in model.model_fields.items():
        star = " *" if field.is_required() else ""
        rows.append(f"| `{field.alias or key}`{star} | {words.get(key, '')} |")
    return "\n".join([f"<!-- fields: {model.__name__} -->", *rows]) + "\n"


def written(page: str) -> str:
    """The page with every table of fields written anew."""
    return _TABLE.sub(lambda found: table(MODELS[found["model"]]), page)


if __name__ == "__main__":
    path = DOCS / "record-format.md"
    path.write_text(written(path.read_text(encoding="utf-8")), encoding="utf-8")
