"""Writing into a collection's folder so that a stop at any moment leaves all of it there or none of it.

A new folder or file is written under a name that starts with a dot, which no reader looks at, is forced to
disk, and then gets its real name in one step. What is there already is never written to.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from handling_db.errors import HandlingError

LOCK = ".handling-lock"
PATIENCE = 60.0  # how long a writer waits for another one before it gives up [s]
_LOOK_AGAIN = 0.05  # [s]
_PART = ".part-"
_LONGEST_NAME = 255  # of most file systems [bytes]


class WriteError(HandlingError):
    """Something could not be written; nothing of it is there."""


@contextlib.contextmanager
def told(target: Path) -> Iterator[None]:
    """Turn what the system says of a failed write into a sentence.

    Raises
    ------
    WriteError
    """
    try:
        yield
    except OSError as error:
        why = error.strerror or str(error) or type(error).__name__
        raise WriteError(f"{target}: cannot be written ({why}); nothing was changed") from error


@contextlib.contextmanager
def only_one(folder: Path, patience: float | None = None) -> Iterator[None]:
    """Hold a collection's folder for one writer; the hold ends with the process, however it ends.

    Others wait for each other.

    Parameters
    ----------
    folder : Path
    patience : float, optional
        How long to wait while another process holds it; `PATIENCE` unless given. [s]

    Raises
    ------
    HandlingError
        There is no such folder, it cannot be written to, or another process held it all the time.
    """
    if not folder.is_dir():
        raise HandlingError(f"{folder}: no such folder")
    with told(folder / LOCK):
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        try:
            import fcntl
        except ImportError:  # no such locks on this system; one person at a time has to do
            yield
            return
        patience = PATIENCE if patience is None else patience
        until = time.monotonic() + patience
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except OSError:
                if time.monotonic() >= until:
                    raise HandlingError(
                        f"{folder}: another command has been writing to it for {patience:.0f} s; "
                        "wait until it is done"
                    ) from None
                time.sleep(_LOOK_AGAIN)
        yield
    finally:
        os.close(handle)


def _refuse_there(target: Path) -> None:
    with told(target):
        there = target.exists()
    if there:
        raise HandlingError(f"{target}: is there already")


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
        The target is there already, or cannot be written; then nothing of it is there.
    """
    _refuse_there(target)
    part = _part_of(target)
    with told(target), _parents(target):
        if part.exists():
            shutil.rmtree(part)  # left by a run that was stopped
        try:
            part.mkdir()
            for name, data in files.items():
                file = part / name
                file.parent.mkdir(parents=True, exist_ok=True)
                _write(file, data)
            for folder in sorted({(part / name).parent for name in files} | {part}, reverse=True):
                force(folder)
            part.rename(target)
        except OSError:
            shutil.rmtree(part, ignore_errors=True)
            raise
        force(target.parent)
        force(target.parent.parent)


def replace_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Write a folder of files in the place of one that may be there, whole or not at all.

    Where the system can exchange two names, there is a whole folder at every moment. Elsewhere there is none
    for the moment between two renames.

    Parameters
    ----------
    target : Path
        What stands there is removed: whoever calls this has looked at it.
    files : mapping of relative name to content

    Raises
    ------
    HandlingError
        It cannot be written; what was there is still there.
    """
    if not target.exists():
        write_folder(target, files)
        return
    fresh = target.with_name(f".{target.name}.fresh")
    with told(target):
        if fresh.exists():
            shutil.rmtree(fresh)  # left by a run that was stopped
    write_folder(fresh, files)
    with told(target):
        if not _exchange(fresh, target):
            old = target.with_name(f".{target.name}.old")
            if old.exists():
                shutil.rmtree(old)
            target.rename(old)
            fresh.rename(target)
            fresh = old
        force(target.parent)
    shutil.rmtree(fresh, ignore_errors=True)


def _exchange(one: Path, other: Path) -> bool:
    """Let two names change places in one step; False where the system cannot."""
    import ctypes

    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError, TypeError):
        return False
    here = -100  # AT_FDCWD: names count from the working folder
    exchange = 2  # RENAME_EXCHANGE of renameat2(2)
    return bool(renameat2(here, os.fsencode(one), here, os.fsencode(other), exchange) == 0)


def write_file(target: Path, data: bytes) -> None:
    """Write a new file, whole or not at all.

    Raises
    ------
    HandlingError
        The target is there already, or cannot be written; then nothing of it is there.
    """
    _refuse_there(target)
    replace_file(target, data)


def write_files(files: Mapping[Path, bytes]) -> None:
    """Write several new files; where one cannot be written, those before it are taken away again.

    Raises
    ------
    HandlingError
        One is there already, or cannot be written; then none of them is there.
    """
    written: list[Path] = []
    made: set[Path] = set()
    for file in files:
        with told(file):
            made |= {folder for folder in file.parents if not folder.exists()}
    try:
        for file, data in files.items():
            write_file(file, data)
            written.append(file)
    except HandlingError:
        for file in written:
            file.unlink(missing_ok=True)
        _take_away(made)
        raise


def replace_file(target: Path, data: bytes) -> None:
    """Write a file in the place of one that may be there, whole or not at all.

    Raises
    ------
    WriteError
        It cannot be written; what was there is still there, and nothing else.
    HandlingError
        What is there is no plain file.
    """
    part = _part_of(target)
    with told(target):
        if target.exists() and not target.is_file():  # a device or a pipe: renamed over, it would be gone
            raise HandlingError(f"{target}: is no plain file; give another name")
    with told(target), _parents(target):
        try:
            _write(part, data)
            part.replace(target)
        except OSError:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)
            raise
        force(target.parent)


@contextlib.contextmanager
def _parents(target: Path) -> Iterator[None]:
    """The folders above a target, made where they are missing; taken away again where nothing came of it."""
    made = [folder for folder in target.parents if not folder.exists()]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        yield
    except OSError:
        _take_away(made)
        raise


def _take_away(folders: Iterable[Path]) -> None:
    """Remove folders that were made for nothing, the deepest first."""
    for folder in sorted(folders, key=lambda one: len(one.parts), reverse=True):
        with contextlib.suppress(OSError):  # somebody else wrote into it, or it was never made
            folder.rmdir()


def _part_of(target: Path) -> Path:
    """The name under which something is written until it is whole.

    A name that is as long as the system allows has no room for more signs before it: then a short one.
    """
    name = f"{_PART}{target.name}"
    if len(os.fsencode(name)) > _LONGEST_NAME:
        name = f"{_PART}{hashlib.sha256(os.fsencode(target.name)).hexdigest()[:16]}"
    return target.parent / name


def _write(file: Path, data: bytes) -> None:
    with file.open("wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())


def force(path: Path) -> None:
    """Have the system write a file or a folder's names to the disk."""
    with contextlib.suppress(OSError):  # some systems cannot sync a folder
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
