"""What was read of a file comes back from its form as it was read, and nothing else does."""

from __future__ import annotations

import json
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.files.folders import data_folder
from handling_db.files.parsed import form_of, read_form
from handling_db.files.yaml_text import dump_text, load_text

TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=12)
VALUES = st.recursive(
    st.one_of(st.none(), TEXTS),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(TEXTS, inner, max_size=4)),
    max_leaves=20,
)


@given(VALUES)
def test_a_form_holds_what_was_read(value: object) -> None:
    read = load_text(dump_text(value), "a.yml")
    if read.findings:
        with pytest.raises(ValueError, match="no form"):
            form_of(read)
        return
    again = read_form(form_of(read))
    assert again is not None
    assert (again.value, again.lines) == (read.value, read.lines)
    assert list(again.lines) == list(read.lines)


def test_the_demo_comes_back() -> None:
    for file in sorted((data_folder() / "demo").rglob("*.yml")):
        read = load_text(file.read_text(encoding="utf-8"), str(file))
        again = read_form(form_of(read))
        assert again is not None
        assert (again.value, again.lines) == (read.value, read.lines)


@given(st.binary(max_size=200))
def test_no_other_bytes_are_a_form(content: bytes) -> None:
    assert read_form(content) is None


@pytest.mark.parametrize(
    "told",
    [
        [[1], {"a": "b"}],  # a line too few
        [[1, 2], {"a": 3}],  # a number is no plain value
        [[1, "2"], {"a": "b"}],
        [[1, 0], {"a": "b"}],
        [[1, True], {"a": "b"}],
        [{"1": 2}, {"a": "b"}],
        {"lines": [1, 2]},
        [1],
        7,
    ],
)
def test_what_has_not_the_shape_is_no_form(told: object) -> None:
    assert read_form(zlib.compress(json.dumps(told).encode())) is None


def test_what_is_cut_or_nested_too_deep_is_no_form() -> None:
    form = form_of(load_text("- component: a\n  name: A\n", "a.yml"))
    assert read_form(form) is not None
    assert read_form(form[:-3]) is None
    assert read_form(zlib.compress(b"[[1]," + b"[" * 100_000 + b"]" * 100_000 + b"]")) is None
