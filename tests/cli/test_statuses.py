"""How a run ends: failing writes, closed pipes, faults of the program, three writers at once."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest

from handling_db.cli import main
from handling_db.cli.statuses import run as ended
from handling_db.errors import HandlingError
from handling_db.files import atomic
from handling_db.files.folders import data_folder, read_collection
from tests.cli.conftest import Run

RUN = [sys.executable, "-c", "from handling_db.cli import main; main()"]


def shell(command: str, **more) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "PYTHON": sys.executable}
    line = f'set -o pipefail; hdb() {{ "$PYTHON" -c \'from handling_db.cli import main; main()\' "$@"; }}; {command}'
    return subprocess.run(["bash", "-c", line], capture_output=True, text=True, env=env, check=False, **more)


def test_a_full_disk_behind_the_output_is_a_sentence() -> None:
    """The status was 120, with "Exception ignored" below it."""
    done = shell("hdb --help > /dev/full")

    assert done.returncode == 2
    assert done.stderr == "handling-db: the output: cannot be read or written (No space left on device)\n"


@pytest.mark.slow
def test_a_closed_pipe_is_a_sentence_and_not_a_disagreement() -> None:
    """The status was 1, which says that something disagrees."""
    done = shell("(sleep 0.3; hdb schema; echo $? >&3) 3>&2 | true")

    told, status = done.stderr.splitlines()
    assert told == "handling-db: the output was closed before everything was printed"
    assert status == "2"


def test_a_fault_of_the_program_has_its_own_status_and_leaves_a_trace(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken() -> None:
        raise KeyError("no such thing\nin here")

    assert ended(broken) == 70

    (line,) = capsys.readouterr().err.splitlines()
    (file,) = (home / "faults").iterdir()
    assert line == (
        "handling-db: this is a fault of the program, not of your records (KeyError: 'no such thing\\nin here'); "
        f"its trace is in {file}; please report it"
    )
    assert "raise KeyError" in file.read_text()


def test_where_no_trace_can_be_written_it_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("HANDLING_DB_HOME", "/proc/nowhere")
    monkeypatch.setattr("tempfile.gettempdir", lambda: "/proc/nowhere")

    assert ended(lambda: 1 // 0) == 70

    assert "its trace could not be written" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("raised", "status"),
    [
        (KeyboardInterrupt(), 130),
        (click.Abort(), 130),
        (MemoryError(), 2),
        (click.FileError("x.yml"), 2),
        (PermissionError(13, "Permission denied", "a.yml"), 2),
        (SystemExit("words"), 2),
        (SystemExit(3), 3),
        (SystemExit(), 0),
    ],
)
def test_every_other_end(raised: BaseException, status: int, home: Path) -> None:
    def call() -> None:
        raise raised

    assert ended(call) == status


@pytest.mark.parametrize(
    "words",
    [
        ("new", "component", "x", "-o", "OUT"),
        ("template", "OUT.xlsx"),
        ("build", "DEMO", "-o", "OUT"),
        ("export", "DEMO", "-o", "OUT"),
        ("export", "DEMO", "--component", "joint-set", "-o", "OUT.csv"),
        ("parcel", "make", "DEMO", "-o", "OUT", "--component", "joint-set", "--shop", "quay", "--by", "foreman"),
        ("parcel", "key", "OUT"),
        ("demo", "--no-serve", "OUT"),
    ],
    ids=lambda words: words[0] + words[1],
)  # fmt: skip
@pytest.mark.parametrize("where", ["long", "no folder", "file for a folder"])
def test_a_write_that_fails_is_a_sentence_and_leaves_nothing(
    words: tuple[str, ...], where: str, run: Run, tmp_path: Path
) -> None:
    place = tmp_path / "place"
    place.mkdir()
    (place / "file").write_text("mine")
    out = {
        "long": place / ("n" * 300),
        "no folder": Path("/proc/nowhere/x"),
        "file for a folder": place / "file" / "x",
    }
    put = {"OUT": str(out[where]), "DEMO": str(data_folder() / "demo"), "OUT.csv": f"{out[where]}.csv",
           "OUT.xlsx": f"{out[where]}.xlsx"}  # fmt: skip

    done = run(*(put.get(word, word) for word in words))

    assert done.exit_code == 2, done.output
    assert len(done.stderr.splitlines()) == 1
    assert [file.name for file in place.iterdir()] == ["file"]
    assert (place / "file").read_text() == "mine"


def test_a_disk_that_fills_up_leaves_no_part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(atomic.WriteError, match=r"a.yml: cannot be written \(No space left on device\)"):
        atomic.write_file(tmp_path / "a.yml", b"x")
    with pytest.raises(atomic.WriteError, match=r"folder: cannot be written \(No space left on device\)"):
        atomic.write_folder(tmp_path / "folder", {"a.yml": b"x"})

    assert [*tmp_path.iterdir()] == []


def test_a_folder_that_was_made_for_nothing_is_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An empty folder stayed behind, and of several files those before the one that did not fit."""
    sizes = iter([False, True])

    def full(handle: int) -> None:
        if next(sizes, True):
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(atomic.WriteError):
        atomic.write_files({tmp_path / "new" / "a.yml": b"x", tmp_path / "new" / "deep" / "b.yml": b"x"})
    with pytest.raises(atomic.WriteError):
        atomic.write_folder(tmp_path / "demo" / "records", {"a.yml": b"x"})

    assert [*tmp_path.iterdir()] == []


@pytest.mark.skipif(os.name != "posix", reason="pipes with names are of POSIX systems")
def test_a_device_or_a_pipe_is_never_written_over(run: Run, tmp_path: Path) -> None:
    """A database took the place of a device of the system."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)

    done = run("build", str(data_folder() / "demo"), "-o", str(pipe))

    assert (done.exit_code, "is no plain file" in done.stderr) == (2, True)
    with pytest.raises(HandlingError, match="is no plain file"):
        atomic.replace_file(pipe, b"x")
    assert pipe.is_fifo()


def test_the_longest_name_a_file_may_have_can_be_written(tmp_path: Path) -> None:
    """The name under which it is written until it is whole was five signs too long for the system."""
    name = "n" * 251 + ".yml"
    atomic.write_file(tmp_path / name, b"x")

    assert [file.name for file in tmp_path.iterdir()] == [name]


@pytest.mark.slow
def test_three_notes_at_once_wait_for_each_other(tmp_path: Path) -> None:
    """Two of three failed before: "another command is writing to it"."""
    folder = tmp_path / "demo"
    shutil.copytree(data_folder() / "demo", folder)
    before = len(read_collection([folder]).collection.notes)
    words = [*RUN, "add-note", str(folder), "--about", "component=gear-section", "--kind", "set-down", "--author",
             "fitter", "--text", "On wood.", "--fact", "base=wood"]  # fmt: skip
    with atomic.only_one(folder):
        runs = [
            subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
            for _ in range(3)
        ]
        for one in runs:
            with pytest.raises(subprocess.TimeoutExpired):
                one.wait(0.3)

    ends = [one.communicate(timeout=60) for one in runs]

    assert [one.returncode for one in runs] == [0, 0, 0], ends
    assert len(read_collection([folder]).collection.notes) == before + 3


def test_a_writer_gives_up_in_the_end(tmp_path: Path) -> None:
    with atomic.only_one(tmp_path):
        code = (
            "from pathlib import Path; from handling_db.files.atomic import only_one\n"
            f"with only_one(Path({str(tmp_path)!r}), patience=0.2): pass"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert "another command has been writing to it for 0 s; wait until it is done" in done.stderr


def test_the_command_is_the_one_that_ends_so() -> None:
    with pytest.raises(SystemExit) as end:
        main(["weight", "x", "--db", "/nowhere/at/all.db"])

    assert end.value.code == 2
