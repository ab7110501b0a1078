"""What other programs run the checker for: gates, findings beside lines, editors, a demo to play with."""

from __future__ import annotations

import importlib
import json
from pathlib import Path

import jsonschema
import pytest

from handling_db.files.editor_line import NAME, editor_line
from handling_db.files.folders import data_folder, read_collection
from handling_db.records.schema import file_schema
from tests.cli.conftest import Run

GAP = "- {component: a, name: A, kind: part}\n"
APART = (
    "- component: box\n  name: Box\n  kind: assembly\n  parts listed: all\n  parts: [{component: pin, quantity: 1}]\n"
    "  masses: [{printed: 50.0 kg, counts: as listed, without: none, checked by: x, state: dry, source: s}]\n"
    "- component: pin\n  name: Pin\n  kind: part\n"
    "  masses: [{printed: 10.0 kg, counts: as listed, without: none, checked by: x, state: dry, source: s}]\n"
    "- {source: s, name: S, kind: weighed}\n"
)
FAULT = "- {component: a, name: A, kind: thing}\n"


@pytest.mark.parametrize(
    ("text", "statuses"),
    [
        (GAP, {None: 3, "fault": 0, "disagrees": 0, "unknown": 3}),
        (APART, {None: 1, "fault": 0, "disagrees": 1, "unknown": 1}),
        (FAULT, {None: 2, "fault": 2, "disagrees": 2, "unknown": 2}),
    ],
    ids=["gap", "apart", "fault"],
)
def test_a_gate_lets_pass_what_it_is_told_to(run: Run, tmp_path: Path, text: str, statuses) -> None:
    file = tmp_path / "a.yml"
    file.write_text(text)

    for gate, status in statuses.items():
        option = ["--fail-on", gate] if gate else []
        assert run("check", str(file), *option).exit_code == status, gate


def test_findings_beside_the_lines_of_a_change(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "a.yml"
    file.write_text(FAULT)

    told = run("check", str(file), "--format", "annotations")
    assert told.exit_code == 2
    assert told.stdout.startswith(f"::error file={file},line=1,title=record::kind: ")
    log = json.loads(run("check", str(file), "--format", "sarif").stdout)
    assert log["version"] == "2.1.0"
    (result,) = log["runs"][0]["results"]
    assert result["level"] == "error"
    assert result["locations"][0]["physicalLocation"]["region"] == {"startLine": 1}
    assert {rule["id"] for rule in log["runs"][0]["tool"]["driver"]["rules"]} == {result["ruleId"]}


def test_issues_of_code_quality_keep_their_fingerprint_where_lines_move(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "a.yml"

    def issues(text: str) -> list[dict[str, object]]:
        file.write_text(text)
        return json.loads(run("check", str(file), "--format", "code-quality").stdout)

    (fault,) = issues(FAULT)
    assert fault["severity"] == "blocker"
    assert fault["check_name"] == "record"
    assert fault["description"].startswith("kind: ")
    assert fault["location"] == {"path": str(file), "lines": {"begin": 1}}
    (moved,) = issues(f"# a line above\n{FAULT}")
    assert moved["location"]["lines"] == {"begin": 2}
    assert moved["fingerprint"] == fault["fingerprint"]
    twice = issues(FAULT + FAULT.replace("component: a", "component: b"))
    assert len({issue["fingerprint"] for issue in twice}) == len(twice) == 2
    assert {issue["severity"] for issue in issues(GAP)} == {"major"}
    apart = issues(APART)
    assert "critical" in {issue["severity"] for issue in apart}
    for issue in apart:
        jsonschema.validate(issue, CODE_QUALITY)


# The fields that a report of code quality has to have; common practice of hosts of code, no source.
CODE_QUALITY = {
    "type": "object",
    "required": ["description", "check_name", "fingerprint", "severity", "location"],
    "properties": {
        "description": {"type": "string", "minLength": 1},
        "check_name": {"type": "string", "minLength": 1},
        "fingerprint": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
        "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
        "location": {
            "type": "object",
            "required": ["path", "lines"],
            "properties": {
                "path": {"type": "string", "minLength": 1},
                "lines": {"type": "object", "required": ["begin"], "properties": {"begin": {"minimum": 1}}},
            },
        },
    },
}


def test_odd_signs_in_a_finding_stay_on_its_line() -> None:
    from handling_db.cli.keep.finding_formats import as_annotations
    from handling_db.findings import Place, fault

    (line,) = as_annotations([fault(Place("a,b:c.yml", 3), "", "50 %\nnext;", "do.")]).splitlines()

    assert line == "::error file=a%2Cb%3Ac.yml,line=3,title=record::50 %25%0Anext; do."


def test_new_and_tidy_write_the_line_for_editors(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "records" / "parts"
    folder.mkdir(parents=True)
    run("new", "component", "plain", "-o", str(folder / "plain.yml"))
    assert not (folder / "plain.yml").read_text().startswith("# yaml-language-server")

    (tmp_path / "records" / NAME).write_text(run("schema", "file").stdout)
    run("new", "component", "gear", "-o", str(folder / "gear.yml"))
    line = f"# yaml-language-server: $schema=../{NAME}\n"
    assert (folder / "gear.yml").read_text().startswith(line)
    assert editor_line(tmp_path / "records" / "a.yml") == f"# yaml-language-server: $schema=./{NAME}\n"
    importlib.import_module("ruamel.yaml")
    for _ in range(2):  # once is enough
        assert run("tidy", str(folder)).exit_code == 0
    assert (folder / "plain.yml").read_text().count(line) == 1
    assert (folder / "gear.yml").read_text().count(line) == 1


@pytest.mark.slow
def test_a_demo_in_a_folder_can_be_played_with(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "try"

    done = run("demo", str(folder), "--no-serve")

    assert done.exit_code == 0, done.stderr
    assert {path.name for path in folder.iterdir()} == {
        ".handling.db.kept",
        "handling.db",
        "metadata.yml",
        "records",
    }
    there = read_collection([folder / "records"])
    assert there.findings == ()
    assert (
        there.collection.components.keys()
        == read_collection([data_folder() / "demo"]).collection.components.keys()
    )
    assert run("weight", "gear-section", "--db", str(folder / "handling.db")).exit_code == 0
    schema = json.loads((folder / "records" / NAME).read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema == json.loads(json.dumps(file_schema()))
    (folder / "metadata.yml").write_text("mine")
    assert run("demo", str(folder), "--no-serve").exit_code == 0, (
        "again, with what stands there left as it is"
    )
    assert (folder / "metadata.yml").read_text() == "mine"
