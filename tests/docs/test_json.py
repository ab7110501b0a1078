"""The page on JSON explains fields that are printed."""

from __future__ import annotations

import re

from handling_db.interface.answer_schemas import answer_schemas
from tests.docs.pages import DOCS


def test_words_on_the_page_are_fields_that_are_printed() -> None:
    table = (DOCS / "json.md").read_text(encoding="utf-8").split("## Words")[1].split("##")[0]
    named = re.findall(r"`(\w+)`", "\n".join(row.split("|")[1] for row in table.splitlines() if "| `" in row))
    forms = [
        form for schema in answer_schemas()["$defs"].values() for form in (schema, *schema.get("anyOf", ()))
    ]
    fields = {name for form in forms for name in form.get("properties", {})}

    assert named
    assert [word for word in named if word not in fields] == []
