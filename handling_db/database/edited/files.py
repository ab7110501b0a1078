"""Which files changed since a build: by their size and times, and where these do not tell by content."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from handling_db.database.build import digest_of, shown_name, shown_names
from handling_db.database.edited.kept import FileLook
from handling_db.files.folders import reference_folder
from handling_db.files.reached import reach
from handling_db.findings import Finding

SETTLED = 2_000_000_000  # a file that was written this short before it was looked at may change unseen [ns]


@dataclass(frozen=True, slots=True)
class Changed:
    """What is otherwise than it was.

    Parameters
    ----------
    now : mapping of name to FileLook
        Every file that is read.
    written, gone : tuple of str
        Files that are new or hold something else, and files that are no longer there.
    findings : tuple of Finding
        What cannot be reached.
    """

    now: Mapping[str, FileLook]
    written: tuple[str, ...]
    gone: tuple[str, ...]
    findings: tuple[Finding, ...]


def files_of(paths: Sequence[Path]) -> tuple[list[Path], list[Finding]]:
    """Every file that a build of these paths reads, each once, with what cannot be reached."""
    files: list[Path] = []
    findings: list[Finding] = []
    for path in paths:
        reached = reach(path)
        files += reached.files
        findings += reached.findings
    files += sorted(reference_folder().glob("*.yml"))
    return list(dict.fromkeys(files)), findings


def look(
    files: Iterable[Path], paths: Sequence[Path], before: Mapping[str, FileLook], since: int
) -> list[FileLook]:
    """How files are now; what looks as before is not read.

    Parameters
    ----------
    before : mapping of name to FileLook
        As they were.
    since : int
        When that was. [ns since 1970]
    """
    rename = shown_names(paths)
    found = []
    for file in files:
        name, told = str(file), file.stat()
        old = before.get(name)
        alike = old is not None and (old.size, old.modified, old.inode) == (
            told.st_size, told.st_mtime_ns, told.st_ino,
        )  # fmt: skip
        digest = (
            old.digest
            if old is not None and alike and told.st_mtime_ns < since - SETTLED
            else digest_of(file)
        )
        shown = old.shown if old is not None else shown_name(name, rename)
        found.append(FileLook(name, shown, told.st_size, told.st_mtime_ns, told.st_ino, digest))
    return found


def changed(paths: Sequence[Path], before: Mapping[str, FileLook], since: int) -> Changed:
    """What changed in the files of some paths."""
    files, findings = files_of(paths)
    now = {one.name: one for one in look(files, paths, before, since)}
    written = [name for name, one in now.items() if name not in before or before[name].digest != one.digest]
    gone = [name for name in before if name not in now]
    return Changed(now, tuple(written), tuple(gone), tuple(findings))
