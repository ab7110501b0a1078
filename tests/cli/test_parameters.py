"""Paths and --help against click's own: the same values, the same words."""

from __future__ import annotations

import os
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from handling_db.cli.common import FILE, FOLDER, PATH
from handling_db.cli.parameters import Helped, PathType

TEXT = PathType("file", as_text=True, dir_okay=False)
PAIRS = [
    (FILE, click.Path(path_type=Path, dir_okay=False)),
    (FOLDER, click.Path(path_type=Path, file_okay=False)),
    (PATH, click.Path(path_type=Path)),
    (TEXT, click.Path(dir_okay=False)),
]


@pytest.fixture
def room(tmp_path: Path) -> Path:
    (tmp_path / "file").write_text("x")
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to("file")
    (tmp_path / "nowhere").symlink_to("none")
    os.mkfifo(tmp_path / "pipe")
    return tmp_path


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
@pytest.mark.parametrize(
    "name", ["file", "folder", "link", "nowhere", "pipe", "none", "file/below", "-", ".", "a/../file"]
)
def test_a_path_is_taken_or_refused_as_click_does(room: Path, monkeypatch, ours, theirs, name: str) -> None:
    monkeypatch.chdir(room)

    def told(kind: click.ParamType) -> tuple[str, object]:
        try:
            return "taken", kind.convert(name, None, None)
        except click.BadParameter as error:
            return "refused", error.message

    assert told(ours) == told(theirs)
    assert type(told(ours)[1]) is type(told(theirs)[1])


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
def test_a_path_that_may_not_be_read_is_refused_as_click_does(room: Path, monkeypatch, ours, theirs) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    for name in ("file", "folder"):
        words = []
        for kind in (ours, theirs):
            with pytest.raises(click.BadParameter) as error:
                kind.convert(str(room / name), None, None)
            words.append(error.value.message)
        assert words[0] == words[1]


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
def test_a_path_is_named_and_completed_as_click_does(ours, theirs) -> None:
    assert ours.name == theirs.name
    context, parameter = click.Context(click.Command("x")), click.Option(["--x"])
    completed = [
        [(one.value, one.type) for one in kind.shell_complete(context, parameter, "ab")]
        for kind in (ours, theirs)
    ]
    assert completed[0] == completed[1]


def asked(kind: type[click.Command], words: list[str], **how) -> tuple[int, str, str]:
    command = kind(
        "x", params=[click.Option(["--some"], help="Some."), click.Option(["-q"])], help="X.", **how
    )
    done = CliRunner().invoke(command, words, prog_name="x")
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.parametrize(
    "words", [["--help"], ["-h"], ["--nope"], ["--some"], ["-h", "--some", "a"], ["extra"]]
)
@pytest.mark.parametrize("names", [["-h", "--help"], ["--help"], [], ["-q", "--help"], ["-q"]])
@pytest.mark.parametrize("offered", [True, False])
def test_help_is_as_click_gives_it(words: list[str], names: list[str], offered: bool) -> None:
    how = {"context_settings": {"help_option_names": names}, "add_help_option": offered}
    assert asked(Helped, words, **how) == asked(click.Command, words, **how)
