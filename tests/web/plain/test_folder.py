"""The folder of a copy: whole at every moment, also when killed; what is somebody else's is never touched."""

from __future__ import annotations

import json
import os
import random
import signal
import time
from pathlib import Path

import pytest

from handling_db.errors import HandlingError
from handling_db.web.plain.copy import PlainCopy
from handling_db.web.plain.folder import MARK, copy_view, refuse_other_folders, write_copy


def small(made: str, count: int = 30) -> PlainCopy:
    copy = PlainCopy(made, "stamp 0")
    copy.files = {f"page/{made}-{n}.html": made.encode() * 50 for n in range(count)}
    copy.files["index.html"] = made.encode()
    return copy


def whole(folder: Path) -> str:
    """Which copy a folder holds; fails where it is not exactly one."""
    mark = json.loads((folder / MARK).read_text())
    present = {file.relative_to(folder).as_posix() for file in folder.rglob("*") if file.is_file()}
    assert present == {*mark["files"], MARK}
    made = str(mark["made"])
    for name in mark["files"]:
        assert (folder / name).read_text() in (made, made * 50)
    return made


def test_newer_copy_takes_the_place_of_the_older(tmp_path: Path) -> None:
    target = tmp_path / "view"
    write_copy(small("one"), target)
    assert whole(target) == "one"
    write_copy(small("two", 3), target)
    assert whole(target) == "two"
    assert [file.name for file in tmp_path.iterdir()] == ["view"]


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "view").mkdir()
    write_copy(small("one"), tmp_path / "view")
    assert whole(tmp_path / "view") == "one"


@pytest.mark.parametrize("name", ["letter.txt", "page/letter.txt", "deep/down/letter.txt", ".hidden"])
def test_a_folder_with_something_else_is_refused(tmp_path: Path, name: str) -> None:
    for marked in (False, True):
        target = tmp_path / f"view{marked}"
        if marked:
            write_copy(small("one"), target)
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        (target / name).write_text("dear")
        with pytest.raises(HandlingError) as raised:
            write_copy(small("two"), target)
        assert f"holds something else ({name}); a copy takes the whole folder" in str(raised.value)
        assert (target / name).read_text() == "dear"


@pytest.mark.parametrize("mark", ["", "[]", "{}", '{"what": "x", "files": ["index.html"]}', '{"files": 3}'])
def test_a_mark_that_is_not_ours_is_none(tmp_path: Path, mark: str) -> None:
    (tmp_path / MARK).write_text(mark)
    (tmp_path / "index.html").write_text("mine")
    with pytest.raises(HandlingError, match="holds something else"):
        refuse_other_folders(tmp_path)


def test_a_file_or_a_link_in_the_place_is_refused(tmp_path: Path) -> None:
    (tmp_path / "view").write_text("x")
    with pytest.raises(HandlingError, match="is there already and is no folder"):
        write_copy(small("one"), tmp_path / "view")
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with pytest.raises(HandlingError, match="is there already and is no folder"):
        write_copy(small("one"), tmp_path / "link")


def test_a_copy_that_cannot_be_written_leaves_what_was_there(tmp_path: Path) -> None:
    target = tmp_path / "view"
    write_copy(small("one"), target)
    bad = small("two")
    bad.files["x" * 300] = b"no file can have this name"
    with pytest.raises(HandlingError, match="cannot be written"):
        write_copy(bad, target)
    assert whole(target) == "one"


@pytest.mark.parametrize("exchanged", [True, False])
def test_where_names_cannot_be_exchanged(
    tmp_path: Path, exchanged: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    from handling_db.files import atomic

    if not exchanged:
        monkeypatch.setattr(atomic, "_exchange", lambda one, other: False)
    write_copy(small("one"), tmp_path / "view")
    write_copy(small("two"), tmp_path / "view")
    assert whole(tmp_path / "view") == "two"
    assert [file.name for file in tmp_path.iterdir()] == ["view"]


@pytest.mark.slow
def test_killed_at_any_moment_there_is_a_whole_copy(tmp_path: Path) -> None:
    target = tmp_path / "view"
    write_copy(small("first"), target)
    rng = random.Random(4)
    seen = set()
    for turn in range(12):
        begun, told = os.pipe()
        writer = os.fork()
        if writer == 0:  # writes one copy after the other until it is killed
            try:
                for n in range(10_000):
                    write_copy(small(f"copy-{turn}-{n}", 4), target)
                    if n == 0:
                        os.write(told, b"1")
            finally:
                os._exit(1)
        assert os.read(begun, 1) == b"1"  # one is there; from now on it is in the midst of another
        time.sleep(rng.random() * 0.03)
        os.kill(writer, signal.SIGKILL)
        os.waitpid(writer, 0)
        os.close(begun)
        os.close(told)
        seen.add(whole(target))
    assert len(seen) == 12, "a copy of each is there"
    write_copy(small("last"), target)
    assert whole(target) == "last"
    assert [file.name for file in tmp_path.iterdir() if not file.name.startswith(".part-")] == ["view"]


def test_a_folder_is_refused_before_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "letter.txt").write_text("dear")
    with pytest.raises(HandlingError, match="holds something else"):
        copy_view(tmp_path / "there-is-none.db", tmp_path)
