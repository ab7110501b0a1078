"""What the shell suggests for a name: whole units first, what begins as typed before what only holds it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.types import StringParamType

from handling_db import loading
from handling_db.cli import main
from handling_db.cli.completion import complete_names, suggestions
from handling_db.database import queries
from handling_db.database.building import build_with_bar
from handling_db.database.queries import open_database
from handling_db.errors import UnknownNameError
from handling_db.files.folders import data_folder
from handling_db.records.proved import Records
from tests.cli.examples import commands as _commands

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
    assert codes(file, "gear", "component") == ["gear", "gear-unit", "engine", "case", "ring-gear"]
    assert codes(file, "", "component")[:2] == ["engine", "gear-unit"]
    assert codes(file, "geared", "component") == ["engine"], "an alias"
    assert codes(file, "box", "component") == ["case"]
    assert codes(file, "%", "component") == []


def test_other_kinds_go_by_their_ids(file: Path) -> None:
    assert codes(file, "gear", "lift group") == ["gear-out"]
    assert codes(file, "joint", "joint") == ["gear-joint"]
    assert codes(file, "x", "lift group") == []


def test_what_has_no_record_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_text(
        "- component: frame\n  name: Frame\n  kind: part\n  parameters: {bays: {unit: each, default: 2}}\n"
        "  pick points:\n    - {id: ear-left, name: left ear, at: [0 mm, 0 mm, 0 mm]}\n"
    )
    build_with_bar([tmp_path / "a.yml"], tmp_path / "handling.db")

    assert codes(tmp_path / "handling.db", "ear", "pick point") == ["ear-left"]
    assert codes(tmp_path / "handling.db", "", "parameter") == ["bays"]


def test_every_name_that_a_command_takes_is_completed() -> None:
    """Options such as --job, --pallet and --shop, and the arguments of newer commands, were not."""
    plain = {
        "text",
        "seen",
        "values",
        "settings",
        "assumed",
        "kind",
        "id",
        "tie",
        "step",
        "thing",
    }  # no names of records
    unfinished = []
    for words, command in _commands(main, click.Context(main)):
        for one in complete_names(command).params:
            named = isinstance(one, click.Argument) or one.name in (
                "job_id",
                "shop",
                "pallet",
                "fixture",
                "packing",
            )
            if named and isinstance(one.type, StringParamType) and one._custom_shell_complete is None:
                unfinished += [f"{words}: {one.name}"] if one.name not in plain else []

    assert unfinished == []


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("gear", ["ferry-reduction-gear", "gear-section"]),
        ("rear", ["differential-section", "rear-cover"]),
        ("gaer section", ["gear-section"]),
        ("box", ["transfer-box"]),
    ],
)
def test_what_comes_near_is_told_in_the_order_people_mean_it(
    typed: str, near: list[str], demo_db: Path
) -> None:
    """For 'gear' a small gear and a wheel of 112 teeth stood before the section."""
    records = loading.read([data_folder() / "demo"])
    for said in (
        queries.near_names(open_database(demo_db), typed, 3),
        _refused(records, typed),
    ):
        ids = [getattr(one, "id", one) for one in said]
        assert ids[: len(near)] == near


def _refused(records: Records, typed: str) -> list[str]:
    with pytest.raises(UnknownNameError) as error:
        loading.named(records, typed)
    return str(error.value).partition("did you mean: ")[2].rstrip("?").split(", ")


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
