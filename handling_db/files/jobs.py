"""Writing jobs: one record in a file is changed, everything else in it stays as it was typed.

The new text is read back before anything is written: the job has to be what was meant and every other record
has to be what it was, otherwise the file stays untouched. It is written beside the old one and renamed.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from handling_db.errors import HandlingError, UnknownNameError, not_there
from handling_db.files.atomic import only_one, replace_file, write_file
from handling_db.files.folders import record_files, record_text, records_text
from handling_db.files.reached import ENDINGS
from handling_db.files.reading import ReadFiles, read_texts
from handling_db.files.yaml_text import load_text
from handling_db.findings import Verdict
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job


def jobs_in(folder: Path) -> dict[str, tuple[Job, Path]]:
    """Every job in a folder or file, with the file it stands in.

    Raises
    ------
    HandlingError
        The folder cannot be read. Faults of other records are no hindrance.
    """
    found: dict[str, tuple[Job, Path]] = {}
    for file in record_files(folder):
        if b"job:" in file.read_bytes():
            for name, job in _read(file).collection.jobs.items():
                found.setdefault(name, (job, file))
    return found


def open_job(folder: Path, job: Job) -> Path:
    """Write a new job into a file of its own.

    Parameters
    ----------
    folder : Path
        The collection's folder; the file is ``jobs/ID.yml`` in it.
    job : Job

    Returns
    -------
    Path
        The file.

    Raises
    ------
    HandlingError
        A job of that id is there, its id makes no file name, or the folder is not there.
    """
    if not folder.is_dir():
        raise HandlingError(f"{folder}: no such folder; a new job is written into a folder of records")
    if not job.id.replace("-", "").replace("_", "").isalnum():
        raise HandlingError(f"{job.id!r} makes no file name; use letters, digits and hyphens for a job's id")
    with only_one(folder):
        if job.id in jobs_in(folder):
            raise HandlingError(f"there is a job {job.id!r} already; choose another id")
        file = folder / "jobs" / f"{job.id}{ENDINGS[0]}"
        if file.exists():
            raise HandlingError(
                f"{file} is there already and holds no job {job.id!r}; move it or choose another id"
            )
        text = record_text(job)
        _verify(file, text, job, {})
        file.parent.mkdir(exist_ok=True)
        write_file(file, text.encode())
    return file


def job_in(folder: Path, job_id: str) -> tuple[Job, Path]:
    """One job, and the file that holds it.

    Raises
    ------
    UnknownNameError
        There is no such job; the message lists those there are.
    """
    found = jobs_in(folder)
    if job_id not in found:
        raise UnknownNameError(f"{folder}: {not_there('job', job_id, sorted(found))}")
    return found[job_id]


def change_job(folder: Path, job_id: str, change: Callable[[Job], Job]) -> tuple[Job, Path]:
    """Change one job where it stands.

    Parameters
    ----------
    folder : Path
        A folder of records, or the file.
    job_id : str
    change : callable
        Takes the job as it is, gives it as it shall be; may raise to refuse.

    Returns
    -------
    (Job, Path)
        As it was written, and the file.

    Raises
    ------
    UnknownNameError
        There is no such job; the message lists those there are.
    HandlingError
        The file has a fault at the job, or could not be changed without changing something else in it.
    """
    with only_one(folder if folder.is_dir() else folder.parent):
        old, file = job_in(folder, job_id)
        new = change(old)
        before = file.read_bytes().decode("utf-8-sig")
        text = _with(before, str(file), new)
        _verify(file, text, new, _others(_read(file).collection, job_id))
        replace_file(file, text.encode())
    return new, file


def _read(file: Path) -> ReadFiles:
    try:
        return read_texts([(str(file), file.read_bytes().decode("utf-8-sig"))])
    except UnicodeDecodeError:
        raise HandlingError(f"{file}: not UTF-8 text; save the file as UTF-8") from None


def _others(collection: Collection, job_id: str) -> dict[tuple[str, str], object]:
    return {
        (kind, record.id): record
        for kind, record in collection.records()
        if (kind, record.id) != ("job", job_id)
    }


def _with(text: str, name: str, job: Job) -> str:
    """The text with the lines of one job replaced, and nothing else."""
    loaded = load_text(text, name)
    lines = text.splitlines(keepends=True)
    if not isinstance(loaded.value, list):
        # One record a file: what stands before its first key, such as a remark, stays.
        first = loaded.lines.get(("job",), 1) - 1
        return "".join(lines[:first]) + record_text(job)
    starts = [loaded.lines[(i,)] - 1 for i in range(len(loaded.value))]
    at = next(
        i for i, item in enumerate(loaded.value) if isinstance(item, dict) and item.get("job") == job.id
    )
    start = starts[at]
    end = starts[at + 1] if at + 1 < len(starts) else len(lines)
    # Blank lines and remarks at the margin before the next record belong to that one.
    while end > start + 1 and (not lines[end - 1].strip() or lines[end - 1].startswith("#")):
        end -= 1
    return "".join(lines[:start]) + records_text([job]) + "".join(lines[end:])


def _verify(file: Path, text: str, job: Job, others: dict[tuple[str, str], object]) -> None:
    """Read the new text back before it is written."""
    reading = read_texts([(str(file), text)])
    faults = [finding for finding in reading.findings if finding.verdict is Verdict.FAULT]
    now = _others(reading.collection, job.id)
    kept = all(now.get(key) == record for key, record in others.items()) and len(now) == len(others)
    if reading.collection.jobs.get(job.id) != job or not kept:
        said = f" ({faults[0]})" if faults else ""
        raise HandlingError(
            f"{file} could not be changed without changing something else in it{said}; nothing was written. "
            "Put the job into a file of its own."
        )
