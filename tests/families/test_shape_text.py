"""Shapes as texts of records: figures, formulas, and what is neither."""

from __future__ import annotations

import time

import pytest

from handling_db.families.shape_text import literal
from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import dump_text


@pytest.mark.parametrize("text", ["1e99999999", "-1e99999999", "1e400", "1/0", "1_0", "nan", "inf", "٣"])
def test_an_odd_count_is_told_at_once(text: str) -> None:
    """1e99999999 was worked out digit by digit: one gear of so many teeth held the reader for ever."""
    written = {"gear": {"teeth": text, "module": "6 mm", "width": "70 mm"}}
    began = time.process_time()

    assert literal(text, "count") is None
    reading = read_texts([("a.yml", dump_text([{"component": "g", "name": "G", "kind": "part",
                          "masses": [{"shape": written, "material": "steel", "source": "s"}]}]))])  # fmt: skip
    assert reading.findings
    assert time.process_time() - began < 2
