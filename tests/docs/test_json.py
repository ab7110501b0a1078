"""The page of JSON fields is made from what the commands print, and is current."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from handling_db.cli import COMMANDS
from tests.docs.write_json import EXAMPLES, MARK, PAGE, lines, merged, play, shape


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> str:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HANDLING_DB_HOME", "")  # put back when the page is made
        return play(tmp_path_factory.mktemp("json"))


def test_page_is_current(made: str) -> None:
    """Run ``python -m tests.docs.write_json``, read the difference, and say it in the changelog."""
    assert PAGE.read_text(encoding="utf-8") == made


def test_every_command_with_json_has_its_fields() -> None:
    shown = {command.split()[0] for commands in EXAMPLES for command in commands}
    folder = Path(__file__).resolve().parents[2] / "handling_db" / "cli"
    takes = {
        name
        for name, (module, _) in COMMANDS.items()
        if "json_option" in (folder / f"{module.replace('.', '/')}.py").read_text(encoding="utf-8")
    }
    silent = {"job", "parcel", "schema", "sheet"}  # they write, exchange or read a file of the shop's own

    assert sorted(takes - shown - silent) == []


def test_words_on_the_page_are_fields_that_are_printed(made: str) -> None:
    top, below = made.split(MARK)
    table = top.split("## Words")[1]
    named = re.findall(r"`(\w+)`", "\n".join(row.split("|")[1] for row in table.splitlines() if "| `" in row))
    printed = set(re.findall(r"^ *(\w+):", below, re.MULTILINE))

    assert named
    assert [word for word in named if word not in printed] == []


def test_shapes_are_merged_over_entries() -> None:
    form = merged([shape([{"a": 1}, {"a": None, "b": ["x"]}])])

    assert list(lines(form[1])) == ["a: number or nothing", "b: list of text"]
