"""Commands run as a person would, on a home of their own."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from handling_db import loading
from handling_db.cli import main
from handling_db.records.proved import Records
from handling_db.tables.read import HowRead

Run = Callable[..., Result]


@pytest.fixture(autouse=True)
def demo_read_once(demo_folder: Path, demo_records: Records, monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo as it stands is read once for all commands of this room; `test_loading` has each read it itself."""
    read = loading.read

    def of_the_demo(paths: Iterable[Path | str], *, how: HowRead | None = None) -> Records:
        asked = [Path(path) for path in paths]
        return demo_records if asked == [demo_folder] and how is None else read(asked, how=how)

    monkeypatch.setattr(loading, "read", of_the_demo)


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
