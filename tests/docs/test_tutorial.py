"""The tutorial, command by command: what it shows is what comes out."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.docs.pages import DOCS, blocks, played, steps
from tests.docs.write_outputs import PLAYED

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("name", PLAYED)
def test_commands_of_the_page_print_what_it_shows(name: str, tmp_path: Path) -> None:
    shown = (DOCS / name).read_text(encoding="utf-8")
    now = played(shown, tmp_path)

    assert [block.body for block in blocks(shown)] == [block.body for block in blocks(now)]


def test_a_wrong_output_would_be_noticed(tmp_path: Path) -> None:
    page = "```console\n$ echo one\ntwo\n```\n"

    assert played(page, tmp_path) == "```console\n$ echo one\none\n```\n"


def test_tutorial_shows_the_commands_of_a_first_unit() -> None:
    text = (DOCS / "tutorial.md").read_text(encoding="utf-8")
    shown = [
        command
        for block in blocks(text)
        if block.info.startswith("console")
        for command, _ in steps(block.body)
    ]
    for start in ("check", "build", "weight", "notes", "serve"):
        assert any(command.startswith(f"handling-db {start}") for command in shown), start
