"""Which record files a folder holds, and what in it cannot be reached: told with its path, never skipped."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.findings import Finding, Place, fault

ENDINGS = (".yml", ".yaml")
MAX_FILES = 100_000
MAX_DEPTH = 60

_LOST = "what it holds would be missing without a word, so nothing is worked out before it can be read."


@dataclass(frozen=True, slots=True)
class Reached:
    """The record files below a path, and a fault for whatever may hide one.

    Parameters
    ----------
    files : tuple of Path
        In one fixed order.
    findings : tuple of Finding
    """

    files: tuple[Path, ...]
    findings: tuple[Finding, ...]


def is_record_name(name: str) -> bool:
    """Whether a file is a record file by its name; capitals in the ending make no difference."""
    return name.lower().endswith(ENDINGS) and not name.startswith(".")


def reach(path: Path) -> Reached:
    """The record files of a folder, or the one file itself.

    Names that start with a dot are passed over: they are the program's own and other programs' (locks, git).
    Links are followed to files inside the folder. A link that leads out of it or nowhere, a folder or file
    that cannot be opened, and whatever has a record's name without being a plain file is a fault.

    Raises
    ------
    HandlingError
        There is no such file or folder, or it is absurdly large.
    """
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        told = "leads to nothing that is there" if path.is_symlink() else "no such file or folder"
        raise HandlingError(f"{path}: {told}") from None
    except OSError as error:
        raise HandlingError(f"{path}: cannot be read ({error.strerror or error})") from None
    except ValueError:  # a zero byte
        raise HandlingError(f"{str(path)!r} cannot be the name of a file or folder") from None
    if stat.S_ISREG(mode):
        return Reached((path,), ())
    if not stat.S_ISDIR(mode):
        raise HandlingError(f"{path}: neither a folder nor a plain file; give a folder of records")
    root = path.resolve()
    files: list[Path] = []
    findings: list[Finding] = []
    for found in _below(path, root, 0):
        if isinstance(found, Finding):
            findings.append(found)
            continue
        files.append(found)
        if len(files) > MAX_FILES:
            raise HandlingError(f"{path}: more than {MAX_FILES} record files; give a smaller folder")
    # The order of paths, not of names within each folder: what `sorted` makes of whole paths.
    return Reached(tuple(sorted(files)), tuple(findings))


def _below(folder: Path, root: Path, depth: int) -> Iterator[Path | Finding]:
    if depth > MAX_DEPTH:
        yield _lost(folder, f"folders are nested more than {MAX_DEPTH} deep;", "flatten them")
        return
    try:
        with os.scandir(folder) as listing:
            entries = sorted(listing, key=lambda entry: entry.name)
    except OSError as error:
        yield _lost(folder, f"this folder cannot be read ({error.strerror or error});", "see who may read it")
        return
    for entry in entries:
        if entry.name.startswith("."):
            continue
        path = folder / entry.name
        try:
            yield from _entry(entry, path, root, depth)
        except OSError as error:
            yield _lost(path, f"cannot be looked at ({error.strerror or error});", "see who may read it")


def _entry(entry: os.DirEntry[str], path: Path, root: Path, depth: int) -> Iterator[Path | Finding]:
    named = is_record_name(entry.name)
    if entry.is_symlink():
        yield from _link(path, root, named)
    elif entry.is_dir(follow_symlinks=False):
        yield from _below(path, root, depth + 1)
    elif named and entry.is_file(follow_symlinks=False):
        yield path
    elif named:
        yield _lost(path, "has a record file's name and is no plain file;", "rename it, or take it away")


def _link(path: Path, root: Path, named: bool) -> Iterator[Path | Finding]:
    """A link: to a file in the folder it is that file; where it may hide records it is a fault."""
    # A name without an ending may have been a folder of records; a photograph's link hides none.
    may_be_folder = path.suffix == ""
    try:
        target = path.resolve(strict=True)
    except (OSError, RuntimeError):  # RuntimeError: a ring of links, before Python 3.13
        if named or may_be_folder:
            yield _lost(path, "is a link that leads nowhere;", "mend it, or take it away")
        return
    inside = target.is_relative_to(root)
    if target.is_dir():
        if not inside:
            yield _lost(
                path, f"is a link to a folder outside, {target};", "give that folder as well, or copy it"
            )
        return  # inside: its files are read where they stand
    if not named:
        return
    if not inside:
        yield _lost(path, f"is a link that leads out of the folder, to {target};", "copy the file here")
    elif not target.is_file():
        yield _lost(path, "is a link to something that is no plain file;", "take it away")
    else:
        yield path


def _lost(path: Path, sentence: str, remedy: str) -> Finding:
    return fault(Place(str(path), 1), "", sentence, f"{remedy}; {_LOST}", rule="not-reached")
