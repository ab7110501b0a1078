"""What the shell suggests for a name: whole units first, what begins as typed before what only holds it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from handling_db.cli.completion import suggestions
from handling_db.database.building import build_with_bar
from handling_db.database.queries import open_database

RECORDS = """
- {component: gear-unit, name: Gear unit, kind: assembly, parts: [{component: case, quantity: 1}, {component: ring-gear, quantity: 1}]}
- {component: case, name: Gear case, also called: [old gear box], kind: part}
- {component: ring-gear, name: Ring gear, kind: part}
- {component: gear, name: Gear, kind: part}
- {component: engine, name: Engine, also called: [geared motor], kind: assembly, parts: [{component: gear, quantity: 2}, {component: case, quantity: 1}]}
- {component: pump, name: Pump, kind: part}
- {lift group: gear-out, name: Gear out, root: engine, takes: [[gear]]}
- {joint: gear-joint, name: Gear joint, within: engine, between: [gear, case]}
"""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("completion")
    (folder / "a.yml").write_text(RECORDS)
    build_with_bar([folder / "a.yml"], folder / "handling.db")
    return folder / "handling.db"


def codes(file: Path, typed: str, *kinds: str) -> list[str]:
    connection = open_database(file)
    return [str(item.value) for item in suggestions(connection, typed, kinds)]


def test_exact_words_and_whole_units_come_first(file: Path) -> None:
    assert codes(file, "gear", "component") == ["gear", "engine", "gear-unit", "case", "ring-gear"]
    assert codes(file, "", "component")[:2] == ["engine", "gear-unit"]
    assert codes(file, "geared", "component") == ["engine"], "an alias"
    assert codes(file, "box", "component") == ["case"]
    assert codes(file, "%", "component") == []


def test_other_kinds_go_by_their_ids(file: Path) -> None:
    assert codes(file, "gear", "lift group") == ["gear-out"]
    assert codes(file, "joint", "joint") == ["gear-joint"]
    assert codes(file, "x", "lift group") == []


def test_the_shell_gets_them(file: Path, tmp_path: Path) -> None:
    """As bash asks: words and the number of the one that is typed."""
    code = "import sys; sys.argv[0] = 'handling-db'; from handling_db.cli import main; main()"
    asked = {
        "COMP_WORDS": f"handling-db weight --db {file} pu",
        "COMP_CWORD": "4",
        "_HANDLING_DB_COMPLETE": "bash_complete",
    }
    home = {"HANDLING_DB_HOME": str(tmp_path / "none")}

    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, **asked, **home},
        capture_output=True,
        text=True,
        check=True,
    )
    nothing = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        env={**os.environ, **asked, **home, "COMP_WORDS": "handling-db weight pu", "COMP_CWORD": "2"},
    )  # fmt: skip

    assert done.stdout.splitlines() == ["plain,pump"]
    assert nothing.stdout.strip() == "", "no database, nothing to suggest, no trace"
