"""Writing jobs: the change is there, everything else is as it was, and nothing is ever half-written."""

from __future__ import annotations

import shutil
import threading
from pathlib import Path

import pytest

from handling_db.errors import HandlingError, UnknownNameError
from handling_db.files import atomic
from handling_db.files import jobs as jobs_room
from handling_db.files.atomic import only_one
from handling_db.files.folders import read_collection
from handling_db.files.jobs import change_job, jobs_in, open_job
from handling_db.records.kinds.job import Job

DEMO = Path(__file__).parents[2] / "data" / "demo"

BOOK = """\
# Units in hand.
- source: book     # typed by hand, spaces and all
  name:   Handbook
  kind: maker's manual

# The first unit.
- job: first
  unit: box
  opened: {on: 2026-01-02, by: fitter}   # on a Friday
  remark: waits

# The second unit, not to be touched.
- job:   second
  unit: box
  opened: {on: 2026-01-03, by: fitter}
"""


def signed(day: str = "2026-01-05", by: str = "fitter") -> dict[str, str]:
    return {"on": day, "by": by}


def closed(job: Job) -> Job:
    return job.model_validate({**job.as_written(), "closed": signed()})


def new(name: str = "third") -> Job:
    return Job.model_validate({"job": name, "unit": "box", "opened": signed()})


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "units.yml").write_text(BOOK)
    return tmp_path


def test_only_the_lines_of_the_job_change(folder: Path) -> None:
    job, file = change_job(folder, "first", closed)

    text = (folder / "units.yml").read_text()
    assert file == folder / "units.yml"
    assert job.closed is not None
    before, after = BOOK.split("- job: first")[0], BOOK.split("waits\n")[1]
    assert text.startswith(before)
    assert text.endswith(after)
    assert jobs_in(folder)["first"][0] == job
    assert read_collection([folder]).findings == ()


def test_the_last_job_of_a_file_without_an_end_of_line(folder: Path) -> None:
    (folder / "units.yml").write_text(BOOK.rstrip("\n"))

    change_job(folder, "second", closed)

    text = (folder / "units.yml").read_text()
    assert text.startswith(BOOK.split("- job:   second")[0])
    assert jobs_in(folder)["second"][0].closed is not None


def test_a_job_alone_in_its_file_keeps_the_remark_above(tmp_path: Path) -> None:
    file = tmp_path / "one.yml"
    file.write_text("# Mine.\njob: one\nunit: box\nopened: {on: 2026-01-02, by: fitter}\n")

    change_job(tmp_path, "one", closed)

    assert file.read_text().startswith("# Mine.\njob: one\n")
    assert jobs_in(tmp_path)["one"][0].closed is not None


def test_every_record_of_the_demo_is_there_after_a_change(tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    before = read_collection([DEMO]).collection

    change_job(tmp_path / "demo", "qsn-1187", lambda job: job.model_copy(update={"remark": "waits"}))

    after = read_collection([tmp_path / "demo"])
    assert after.findings == ()
    changed = [
        (kind, record.id)
        for (kind, record), (_, other) in zip(before.records(), after.collection.records(), strict=True)
        if record != other
    ]
    assert changed == [("job", "qsn-1187")]


def test_opening_writes_a_file_of_its_own(folder: Path) -> None:
    file = open_job(folder, new())

    assert file == folder / "jobs" / "third.yml"
    assert jobs_in(folder)["third"][0] == new()
    assert (folder / "units.yml").read_text() == BOOK


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("first", "there is a job 'first' already; choose another id"),
        ("../out", "'../out' makes no file name"),
        ("a b", "'a b' makes no file name"),
    ],
)
def test_opening_is_refused(folder: Path, name: str, words: str) -> None:
    with pytest.raises(HandlingError, match=words.replace(".", r"\.")):
        open_job(folder, new(name))
    assert not (folder / "jobs").exists()


def test_no_such_job(folder: Path) -> None:
    with pytest.raises(UnknownNameError, match=r".*: there is no job 'x'; there are: first, second"):
        change_job(folder, "x", closed)


def test_a_refusal_inside_the_change_writes_nothing(folder: Path) -> None:
    def refuse(job: Job) -> Job:
        raise HandlingError("not like this")

    with pytest.raises(HandlingError, match="not like this"):
        change_job(folder, "first", refuse)
    assert (folder / "units.yml").read_text() == BOOK


def test_what_cannot_be_read_back_is_not_written(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A splice that would swallow another record is caught before anything is written."""
    monkeypatch.setattr(jobs_room, "_with", lambda text, name, job: "- job: first\n  unit: box\n")

    with pytest.raises(HandlingError, match=r"without changing something else in it.*nothing was written"):
        change_job(folder, "first", closed)
    assert (folder / "units.yml").read_text() == BOOK


def test_a_stop_while_writing_leaves_the_old_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(self: Path, target: Path) -> None:
        raise OSError("power cut")

    monkeypatch.setattr(Path, "replace", stop)
    with pytest.raises(HandlingError, match=r"cannot be written \(power cut\)"):
        change_job(folder, "first", closed)
    assert (folder / "units.yml").read_text() == BOOK


def test_two_at_once_lose_nothing(folder: Path) -> None:
    """Every change that was not refused is there in the end."""
    done: list[str] = []
    refused: list[str] = []

    def add(name: str) -> None:
        entry = {"of": [name], **signed()}
        try:
            change_job(
                folder,
                "first",
                lambda job: job.model_validate(
                    {**job.as_written(), "off": [*job.as_written().get("off", []), entry]}
                ),
            )
        except HandlingError as error:
            refused.append(str(error))
        else:
            done.append(name)

    threads = [threading.Thread(target=add, args=(f"part-{i}",)) for i in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert done
    assert all("another command has been writing to it" in told for told in refused)
    assert sorted(off.of[0] for off in jobs_in(folder)["first"][0].off) == sorted(done)


def test_a_held_folder_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(atomic, "PATIENCE", 0.2)
    with only_one(folder), pytest.raises(HandlingError, match="another command has been writing to it"):
        change_job(folder, "first", closed)
