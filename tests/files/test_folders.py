"""Folders of record files: what is read, what is passed over, and writing as the inverse of reading."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from handling_db.errors import HandlingError
from handling_db.files import reached
from handling_db.files.folders import (
    read_collection,
    record_files,
    record_text,
    records_text,
    reference_folder,
)
from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import MAX_BYTES, load_text
from handling_db.records.collection import KINDS

EXAMPLES = (Path(__file__).parent / "examples.yml").read_text(encoding="utf-8")
DEMO = Path(__file__).parents[2] / "data" / "demo"
SHOP = "shop: {0}\nname: {0}\n"


def write(folder, **contents):
    """Files by name, `a_yml` for a.yml, with text or bytes."""
    for name, content in contents.items():
        file = folder / name.replace("_", ".")
        file.write_bytes(content if isinstance(content, bytes) else content.encode())


def names(folder):
    return [file.relative_to(folder).as_posix() for file in record_files(folder)]


def read(*paths):
    return read_collection(paths, reference=False)


def told(*paths):
    return [str(finding) for finding in read(*paths).findings]


def test_files_come_in_one_order_from_all_folders_below(tmp_path):
    for name in ("b.yml", "a.yaml", "deep/er/c.yml", "notes.txt", "table.csv", "README.md"):
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("")

    assert names(tmp_path) == ["a.yaml", "b.yml", "deep/er/c.yml"]


def test_hidden_files_and_folders_are_passed_over(tmp_path):
    for name in (".a.yml", ".git/b.yml", "seen/.hidden/c.yml", "seen/d.yml"):
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("")

    assert names(tmp_path) == ["seen/d.yml"]


def test_a_folder_that_lies_in_a_hidden_one_is_read(tmp_path):
    folder = tmp_path / ".hidden" / "records"
    folder.mkdir(parents=True)
    write(folder, a_yml=SHOP.format("a"))

    assert names(folder) == ["a.yml"]


def test_links_that_lead_out_of_the_folder_are_passed_over(tmp_path):
    outside, inside = tmp_path / "outside", tmp_path / "inside"
    outside.mkdir()
    inside.mkdir()
    write(outside, secret_yml=SHOP.format("secret"))
    write(inside, a_yml=SHOP.format("a"))
    (inside / "out.yml").symlink_to(outside / "secret.yml")
    (inside / "folder").symlink_to(outside)
    (inside / "gone.yml").symlink_to(inside / "nowhere.yml")
    (inside / "round").symlink_to(inside)

    assert names(inside) == ["a.yml"]
    assert list(read(inside).collection.shops) == ["a"]


def test_a_link_inside_the_folder_is_the_same_file_and_is_read_once(tmp_path):
    write(tmp_path, a_yml=SHOP.format("a"))
    (tmp_path / "b.yml").symlink_to(tmp_path / "a.yml")

    assert told(tmp_path) == []
    assert list(read(tmp_path).collection.shops) == ["a"]


def test_what_is_given_twice_is_read_once(tmp_path):
    write(tmp_path, a_yml=SHOP.format("a"))

    assert told(tmp_path, tmp_path / "a.yml", tmp_path) == []


def test_a_single_file_is_read_whatever_it_is_called(tmp_path):
    (tmp_path / "records.txt").write_text(SHOP.format("a"))

    assert list(read(tmp_path / "records.txt").collection.shops) == ["a"]


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(HandlingError) as caught:
        read(tmp_path / "nowhere")
    assert str(caught.value) == f"{tmp_path / 'nowhere'}: no such file or folder"


def test_too_many_files(tmp_path, monkeypatch):
    monkeypatch.setattr(reached, "MAX_FILES", 2)
    write(tmp_path, a_yml="", b_yml="", c_yml="")

    with pytest.raises(HandlingError) as caught:
        names(tmp_path)
    assert str(caught.value) == f"{tmp_path}: more than 2 record files; give a smaller folder"


def test_a_byte_order_mark_says_nothing(tmp_path):
    write(tmp_path, a_yml=b"\xef\xbb\xbf" + SHOP.format("a").encode())

    assert told(tmp_path) == []
    assert list(read(tmp_path).collection.shops) == ["a"]


def test_line_ends_of_every_machine_are_read(tmp_path):
    write(tmp_path, a_yml=b"shop: a\r\nname: A\r\nzzz: 1\r\n", b_yml=b"shop: b\rname: B\rzzz: 1\r")

    assert [line.partition(": zzz")[0] for line in told(tmp_path)] == [
        f"{tmp_path}/a.yml:3",
        f"{tmp_path}/b.yml:3",
    ]


def test_every_unreadable_file_is_told_in_one_run(tmp_path):
    write(
        tmp_path,
        a_yml=b"shop: a\nname: \xff\xfe\n",
        b_yml=b"#" * (MAX_BYTES + 1),
        c_yml="shop: c\nname: C\x07\n",
        d_yml=SHOP.format("d"),
        e_yml="shop: [\n",
    )

    found = told(tmp_path)

    assert found[:2] == [
        f"{tmp_path}/a.yml:2: not UTF-8 text; save the file as UTF-8.",
        f"{tmp_path}/b.yml:1: the file is larger than 4 MB; split it: one assembly a file.",
    ]
    assert found[2] == (
        f"{tmp_path}/c.yml:2: not YAML: the control character '\\x07'; save it as plain UTF-8 text."
    )
    assert found[3].startswith(f"{tmp_path}/e.yml:2: not YAML: ")
    assert len(found) == 4
    assert list(read(tmp_path).collection.shops) == ["d"]


def test_a_file_of_the_greatest_size_is_read(tmp_path):
    text = SHOP.format("a")
    write(tmp_path, a_yml=text + "#" * (MAX_BYTES - len(text)))

    assert told(tmp_path) == []


def test_a_file_that_may_not_be_read_is_told(tmp_path, monkeypatch):
    write(tmp_path, a_yml=SHOP.format("a"), b_yml=SHOP.format("b"))
    plain = Path.read_bytes

    def refuse(file):
        if file.name == "a.yml":
            raise PermissionError(13, "Permission denied")
        return plain(file)

    monkeypatch.setattr(Path, "read_bytes", refuse)

    assert told(tmp_path) == [
        f"{tmp_path}/a.yml:1: cannot be read (Permission denied); "
        "see who may read it, and whether it is still there."
    ]
    assert list(read(tmp_path).collection.shops) == ["b"]


def test_the_reference_data_comes_along_and_has_no_fault():
    reading = read_collection([])

    assert reading.findings == ()
    assert "weighed" in reading.collection.source_kinds
    assert reading.collection.materials
    assert read_collection([reference_folder() / "source-kinds.yml"]).findings == ()


def test_the_demo_reads_without_a_fault():
    reading = read_collection([DEMO])

    assert reading.findings == ()
    assert "differential-section" in reading.collection.components


# Writing is the inverse of reading.


def again(text):
    """Records of a text, and the text they are written as."""
    reading = read_texts([("a.yml", text)])
    assert [str(finding) for finding in reading.findings] == []
    records = [record for _, record in reading.collection.records()]
    return records, records_text(records)


@pytest.mark.parametrize(
    "file", [*sorted(DEMO.rglob("*.yml")), None], ids=lambda file: file.name if file else "all kinds"
)
def test_shipped_records_write_and_read_and_write_the_same_bytes(file):
    records, text = again(EXAMPLES if file is None else file.read_text(encoding="utf-8"))
    records_again, text_again = again(text)

    assert records_again == records
    assert text_again == text


def test_the_kind_and_id_come_first():
    for record in again(EXAMPLES)[0]:
        text = record_text(record)
        kind = next(kind for kind, model in KINDS.items() if type(record) is model)

        assert text.removeprefix("{").startswith(f"{kind}: ")
        assert record_text(*again(text)[0]) == text


BASE = [
    (kind, load_text(record_text(record), "x").value)
    for kind, record in read_texts([("a.yml", EXAMPLES)]).collection.records()
]
ODD = st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), min_size=1, max_size=30)
SIGNS = st.text(":#-'\"{}[],&*!|>%@`?~ \\ab0=<é度😀\N{NO-BREAK SPACE}\ufeff\n\t", min_size=1, max_size=12)
ODD_WORDS = [
    "a: b", "a #b", "# a", "- a", "'", '"', "''", "null", "~", "no", "08", "1_000", "---", "...", "{a",
    "[a", "? a", ": a", "a:", "&a", "*a", "!a", "%a", "@a", "`a", "| a", "> a", "\N{NO-BREAK SPACE}a",
    "a\n\n b", "=", "<<",
]  # fmt: skip
FIGURES = st.sampled_from(
    ["840.0 lb", "1,830 lb", "12 1/2 in", "0.5 kg", "3 m", "90 deg", "2 L", "2026-12-31", "7"]
)
CHANGES = st.lists(
    st.tuples(st.integers(0, 10**6), st.sampled_from(ODD_WORDS) | SIGNS | ODD | FIGURES | st.none()),
    max_size=12,
)


def leaves(value, path=()):
    """The ways to every value in a record, the kind and id left out."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value)
    for step, item in [*pairs][0 if path else 1 :]:
        yield (*path, step)
        if isinstance(item, dict | list):
            yield from leaves(item, (*path, step))


def changed(value, path, new):
    """A copy with the value at a path replaced, or taken out where the new one is None."""
    step, *rest = path
    copy = dict(value) if isinstance(value, dict) else list(value)
    if rest:
        copy[step] = changed(value[step], rest, new)
    elif new is None:
        del copy[step]
    else:
        copy[step] = new
    return copy


def valid(kind, value):
    try:
        return KINDS[kind].model_validate(value)
    except ValidationError:
        return None


@pytest.mark.slow
@pytest.mark.parametrize("kind", sorted({kind for kind, _ in BASE}))
@given(data=st.data())
def test_any_record_writes_and_reads_and_writes_the_same_bytes(kind, data):
    """From an example, with values left out and others replaced by odd texts wherever the record allows."""
    value = data.draw(st.sampled_from([value for name, value in BASE if name == kind]))
    for number, new in data.draw(CHANGES):
        ways = [*leaves(value)]
        other = changed(value, ways[number % len(ways)], new) if ways else value
        value = other if valid(kind, other) else value
    record = valid(kind, value)

    text = record_text(record)
    reading = read_texts([("a.yml", text)])

    if reading.findings:  # a formula or a shape that means nothing is told by the reader, not by the record
        assert kind == "component"
        return
    assert [*reading.collection.records()] == [(kind, record)]
    assert record_text(record) == record_text(reading.collection.of_kind(kind)[record.id]) == text
    assert load_text(text, "a.yml").value == load_text(record_text(record), "a.yml").value


@pytest.mark.slow
@settings(max_examples=8)
@given(st.integers(0, 2**32))
def test_records_in_any_order_are_the_same_collection(seed):
    records = again(EXAMPLES)[0]
    shuffled = random.Random(seed).sample(records, len(records))

    assert again(records_text(shuffled))[1] == again(records_text(records))[1]
