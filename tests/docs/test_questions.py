"""The forty questions: all there, every command runs on the demo collection, every page is served."""

from __future__ import annotations

import asyncio
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from handling_db.cli import main
from handling_db.web.serving import application
from tests.docs.pages import DOCS, ROOT

pytestmark = pytest.mark.slow

PAGE = (DOCS / "questions.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| (\d+) \| (.+?) \| (.+?) \| (.+?) \| (.+?) \|$", PAGE, re.MULTILINE)
COMMANDS = sorted({text for row in ROWS for text in re.findall(r"`(handling-db [^`]+)`", row[2])})
ADDRESSES = sorted({text for row in ROWS for text in re.findall(r"`(/[^`]*)`", row[3])})


def test_all_forty_are_there_in_order() -> None:
    assert [int(row[0]) for row in ROWS] == list(range(1, 41))
    assert all("`handling-db " in row[2] and "`/" in row[3] for row in ROWS)


@pytest.mark.parametrize("text", COMMANDS)
def test_command_answers(
    text: str, demo_db: Path, demo_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HANDLING_DB_HOME", str(demo_db.parent))
    monkeypatch.chdir(ROOT)
    words = shlex.split(text)[1:]
    result = CliRunner().invoke(main, words)

    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert result.exit_code in ({0, 1, 3} if words[0] == "check" else {0}), result.stderr
    assert result.stdout.strip()


def test_pages_are_served(demo_db: Path) -> None:
    served: Any = application(demo_db)

    async def statuses() -> dict[str, int]:
        return {address: (await served.client.get(address)).status_code for address in ADDRESSES}

    assert {a: s for a, s in asyncio.run(statuses()).items() if s != 200} == {}


def test_what_is_not_answered_is_said() -> None:
    """A question without a full answer is marked; this list grows shorter, never by taking the mark away alone."""
    marked = [int(row[0]) for row in ROWS if "**" in row[4]]

    assert marked == []
