"""A whole collection out as tables and in again: every record as it was, whatever its texts begin with."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handling_db.files.folders import read_collection
from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import dump_text
from handling_db.records.collection import Collection
from handling_db.tables.exports.package_in import read_package
from handling_db.tables.exports.package_out import package_files
from handling_db.tables.sources import read_paths

DEMO = Path(__file__).parents[3] / "data" / "demo"


def write(folder: Path, files: dict[str, bytes]) -> Path:
    folder.mkdir(exist_ok=True)
    for name, data in files.items():
        (folder / name).write_bytes(data)
    return folder


def records(collection: Collection) -> dict[tuple[str, str], object]:
    return {(kind, record.id): record for kind, record in collection.records()}


def test_the_demo_comes_back_record_for_record(tmp_path: Path) -> None:
    demo = read_collection([DEMO]).collection
    files = package_files(demo, name="demo")

    back = read_paths([write(tmp_path / "out", files)])

    assert [str(f) for f in back.findings] == []
    assert records(back.collection) == records(demo)
    assert package_files(back.collection, name="demo") == files


TEXT = st.one_of(
    st.sampled_from(
        ["=1+1", "+rod", "-lever", "@home", "'=x", "''-y", "[1]", "{a}", "'[b", "-5", "plain", '"q"']
    ),
    st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=12),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=40)
@given(name=TEXT, remark=TEXT)
def test_any_text_comes_back(tmp_path: Path, name: str, remark: str) -> None:
    record = {
        "component": "a", "name": name, "kind": "part", "remark": remark,
        "masses": [{"printed": "12.50 kg", "u": "0.02 kg", "state": "dry", "source": "s", "where": remark}],
    }  # fmt: skip
    source = {"source": "s", "name": name, "kind": "weighed"}
    collection = read_texts([("a.yml", dump_text([record, source]))]).collection
    if len(records(collection)) < 2:  # the reader of records does not take the text
        return
    files = package_files(collection, name="x")
    for data in files.values():
        for line in data.decode().splitlines()[1:]:
            assert not line.startswith(("=", "+", "@"))

    back = read_package(write(tmp_path / "out", files))

    assert [str(f) for f in back.findings] == []
    assert records(back.collection) == records(collection)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("datapackage.json", "{"), "datapackage.json:1: cannot be read as the descriptor of an export"),
        (("components.csv", None), "components.csv:1: cannot be read"),
        (("components.csv", "component,name,kind\r\na,b\r\n"), "components.csv:2: this row has 2 cells, the heading line has 3"),
        (("mass-statements.csv", "component,printed,source\r\nzz,1 kg,s\r\n"), "mass-statements.csv:1: component: 'zz' is in no row of components.csv"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_a_fault(tmp_path: Path, change, told: str) -> None:
    text = "- {component: a, name: A, kind: part, masses: [{printed: 1 kg, source: s}]}\n- {source: s, name: S, kind: weighed}\n"
    folder = write(tmp_path / "out", package_files(read_texts([("a.yml", text)]).collection, name="x"))
    file, content = change
    if content is None:
        (folder / file).unlink()
    else:
        (folder / file).write_text(content)

    assert told in "\n".join(str(finding) for finding in read_package(folder).findings)
