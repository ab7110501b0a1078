"""The page on JSON and the schema of the answers beside it are current."""

from __future__ import annotations

import json
import re

from tests.docs.pages import DOCS
from tests.docs.write_json import SCHEMA, text


def test_schema_is_current() -> None:
    """Run ``python -m tests.docs.write_json``, read the difference, and say it in the changelog."""
    assert SCHEMA.read_text(encoding="utf-8") == text()


def test_words_on_the_page_are_fields_that_are_printed() -> None:
    table = (DOCS / "json.md").read_text(encoding="utf-8").split("## Words")[1].split("##")[0]
    named = re.findall(r"`(\w+)`", "\n".join(row.split("|")[1] for row in table.splitlines() if "| `" in row))
    defs = json.loads(SCHEMA.read_text(encoding="utf-8"))["$defs"]
    forms = [form for schema in defs.values() for form in (schema, *schema.get("anyOf", ()))]
    fields = {name for form in forms for name in form.get("properties", {})}

    assert named
    assert [word for word in named if word not in fields] == []
