"""Commands run as a person would, on a home of their own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from handling_db.cli import main

Run = Callable[..., Result]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HANDLING_DB_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def run(home: Path) -> Run:
    """Run a command line; an exception that is not an exit is a failure of the test."""

    def call(*words: str, stdin: str | None = None) -> Result:
        result = CliRunner().invoke(main, list(words), input=stdin)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert result.exit_code != 70, result.stderr  # a fault of the program
        return result

    return call
