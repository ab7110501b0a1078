"""Writing into a collection's folder so that a stop at any moment leaves all of it there or none of it.

A new folder or file is written under a name that starts with a dot, which no reader looks at, is forced to
disk, and then gets its real name in one step. What is there already is never written to.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path

from handling_db.errors import HandlingError

LOCK = ".handling-lock"
_PART = ".part-"


@contextlib.contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Hold a collection's folder for one writer; the hold ends with the process, however it ends.

    Raises
    ------
    HandlingError
        There is no such folder, or another process holds it.
    """
    if not folder.is_dir():
        raise HandlingError(f"{folder}: no such folder")
    handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        try:
            import fcntl
        except ImportError:  # no such locks on this system; one person at a time has to do
            yield
            return
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise HandlingError(
                f"{folder}: another command is writing to it; wait until it is done"
            ) from None
        yield
    finally:
        os.close(handle)


def write_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Write a new folder of files, whole or not at all.

    Parameters
    ----------
    target : Path
        It must not be there yet.
    files : mapping of relative name to content

    Raises
    ------
    HandlingError
        The target is there already.
    """
    if target.exists():
        raise HandlingError(f"{target}: is there already")
    part = target.parent / f"{_PART}{target.name}"
    target.parent.mkdir(parents=True, exist_ok=True)
    if part.exists():
        shutil.rmtree(part)  # left by a run that was stopped
    part.mkdir()
    for name, data in files.items():
        file = part / name
        file.parent.mkdir(parents=True, exist_ok=True)
        _write(file, data)
    for folder in sorted({(part / name).parent for name in files} | {part}, reverse=True):
        _force(folder)
    part.rename(target)
    _force(target.parent)
    _force(target.parent.parent)


def write_file(target: Path, data: bytes) -> None:
    """Write a new file, whole or not at all.

    Raises
    ------
    HandlingError
        The target is there already.
    """
    if target.exists():
        raise HandlingError(f"{target}: is there already")
    replace_file(target, data)


def replace_file(target: Path, data: bytes) -> None:
    """Write a file in the place of one that may be there, whole or not at all."""
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.parent / f"{_PART}{target.name}"
    _write(part, data)
    part.replace(target)
    _force(target.parent)


def _write(file: Path, data: bytes) -> None:
    with file.open("wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())


def _force(folder: Path) -> None:
    """Force a folder's list of names to disk, where the system lets one."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
