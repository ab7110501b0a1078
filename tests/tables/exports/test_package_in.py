"""A whole collection out as tables and in again: every record as it was, whatever its texts begin with."""

from __future__ import annotations

import json
import os
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


@pytest.mark.slow
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


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=16)
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


DEEP = "[" * 60_000
ODD = {
    "both sides of a merge": ("components.csv", "<<<<<<< a\ncomponent,name,kind\n=======\ncomponent,name\n>>>>>>> b\n"),
    "lies in the folder of an export": ("weighings.csv", "weighing,of,gross\nw,a,3 kg\n"),
    "its descriptor does not name it": ("more.yml", "component: b\nname: B\nkind: part\n"),
    "cannot be read as the descriptor": ("datapackage.json", DEEP),
    "remark": ("components.csv", f"component,name,kind,masses\r\na,A,part,{DEEP}\r\n"),
}  # fmt: skip


@pytest.mark.parametrize("told", ODD)
def test_nothing_is_lost_and_nothing_falls_over(tmp_path: Path, told: str) -> None:
    """Before: both sides of a merge were many torn rows, files beside were passed over, brackets a trace."""
    text = "- {component: a, name: A, kind: part, masses: [{printed: 1 kg, source: s}]}\n- {source: s, name: S, kind: weighed}\n"
    folder = write(tmp_path / "out", package_files(read_texts([("a.yml", text)]).collection, name="x"))
    file, content = ODD[told]
    (folder / file).write_text(content)

    found = "\n".join(str(finding) for finding in read_package(folder).findings)

    assert (told if told != "remark" else "masses") in found


@pytest.mark.skipif(os.name != "posix", reason="pipes with names and links are of POSIX systems")
@pytest.mark.parametrize("odd", ["pipe", "link"])
def test_a_table_that_is_no_plain_file_is_a_fault(tmp_path: Path, odd: str) -> None:
    text = "- {component: a, name: A, kind: part}\n"
    folder = write(tmp_path / "out", package_files(read_texts([("a.yml", text)]).collection, name="x"))
    (folder / "components.csv").unlink()
    if odd == "pipe":
        os.mkfifo(folder / "components.csv")
    else:
        (tmp_path / "elsewhere.csv").write_text("component,name,kind\r\na,A,part\r\n")
        (folder / "components.csv").symlink_to(tmp_path / "elsewhere.csv")

    assert "components.csv:1: cannot be read" in "\n".join(map(str, read_package(folder).findings))


def test_a_table_in_two_files_is_read_whole(tmp_path: Path) -> None:
    text = "- {component: a, name: A, kind: part}\n- {component: b, name: B, kind: part}\n"
    folder = write(tmp_path / "out", package_files(read_texts([("a.yml", text)]).collection, name="x"))
    table = (folder / "components.csv").read_text().splitlines()
    (folder / "components.csv").write_text("\n".join(table[:2]) + "\n")
    (folder / "more.csv").write_text("\n".join([table[0], table[2]]) + "\n")
    described = json.loads((folder / "datapackage.json").read_text())
    described["resources"].append({"name": "components", "path": "more.csv"})
    (folder / "datapackage.json").write_text(json.dumps(described))

    assert {*read_package(folder).collection.components} == {"a", "b"}
