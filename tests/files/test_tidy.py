"""One form for records: it says the same, keeps comments, and doing it twice is doing it once."""

from __future__ import annotations

import importlib
import shutil
import sys
from pathlib import Path

import pytest

from handling_db.errors import HandlingError
from handling_db.files.folders import data_folder, read_collection
from handling_db.files.tidy import tidy_paths, tidy_text
from handling_db.records.written import written

importlib.import_module("ruamel.yaml")

BEFORE = """\
# The shop's own.

- component: case
  name: Case   # as cast
  kind: part
- {component: box, kind: assembly, name: Box, parts: [{quantity: 010, component: case}],
   masses: [{source: book, printed: 90 kg}]}   # with its screws
- joint: seam
  name: Seam
  # both halves
  within: box
  between: [case, box]
- {note: n, about: {component: case}, kind: tie, told by: shop, author: fitter, on: 2026-03-09, status: draft,
   text: "Yes: 08, 1_000, no and 12:30."}
"""


def test_it_reads_the_same_and_keeps_comments():
    one = tidy_text(Path("a.yml"), BEFORE)

    assert one.why == ""
    assert one.findings == ()
    for comment in ("# The shop's own.", "# as cast", "# with its screws", "# both halves"):
        assert one.text.count(comment) == 1
    assert "quantity: 010" in one.text
    masses = "[{source: book, printed: 90 kg, counts: nobody looked, without: nobody looked}]"
    assert f"masses: {masses}" in one.text
    assert "\n  # both halves\n" in one.text
    assert "{component: box, name: Box, kind: assembly, " in one.text
    assert "ties: nobody looked" in one.text
    again = tidy_text(Path("a.yml"), one.text)
    assert (again.changed, again.text) == (False, one.text)


@pytest.mark.slow
def test_the_demo_says_the_same_afterwards(tmp_path):
    folder = tmp_path / "demo"
    shutil.copytree(data_folder() / "demo", folder)
    before = [(k, written(k, r)) for k, r in read_collection([folder]).collection.records()]

    done = tidy_paths([folder], write=True)

    assert [one.file for one in done if one.why or one.findings] == []
    assert any(one.changed for one in done)
    assert [(k, written(k, r)) for k, r in read_collection([folder]).collection.records()] == before
    assert not any(one.changed for one in tidy_paths([folder], write=True))


def test_a_file_with_faults_is_left_alone(tmp_path):
    file = tmp_path / "a.yml"
    file.write_text("component: a\nname: A\nkind: prt\n")

    (one,) = tidy_paths([file], write=True)

    assert "'prt' is not one of the words for this" in str(one.findings[0])
    assert file.read_text() == "component: a\nname: A\nkind: prt\n"


def test_only_looking_writes_nothing(tmp_path):
    file = tmp_path / "a.yml"
    file.write_text("{component: a, kind: part, name: A}\n")

    (one,) = tidy_paths([file], write=False)

    assert one.changed
    assert file.read_text() == "{component: a, kind: part, name: A}\n"


def test_what_is_no_text_or_empty(tmp_path):
    (tmp_path / "a.yml").write_bytes(b"\xff\xfe")
    (tmp_path / "b.yml").write_text("# nothing\n")

    one, two = tidy_paths([tmp_path], write=True)

    assert one.why == "it is not UTF-8 text"
    assert (two.changed, two.why) == (False, "")


def test_without_the_extra_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "ruamel.yaml", None)

    with pytest.raises(HandlingError, match="tidying needs the extra 'tidy'; install it with"):
        tidy_text(Path("a.yml"), "{component: a, name: A, kind: part}\n")
