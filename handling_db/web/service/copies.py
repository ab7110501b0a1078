"""Copies of database files, taken whole and checked, so that what is served never changes below a reader.

A file may be renamed away, deleted, written over in place or replaced by a broken one while its pages are
read. A copy of our own is none of these.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import shutil
import sqlite3
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from handling_db.database.file import check_file, hold, in_use, looked_over
from handling_db.database.queries import open_database, stamp
from handling_db.errors import HandlingError

_PREFIX = "handling-db-served-"
_YOUNG = 60.0  # a folder may be there before it is held [s]
_LOOKED_OVER = 64_000_000  # largest file that is looked over whole; of larger ones only the head [bytes]


class StillChangingError(HandlingError):
    """The file was written to while it was copied."""


@dataclass(frozen=True, slots=True)
class ServedLook:
    """How a file looks from outside; another look means that it may hold something else.

    Parameters
    ----------
    device, inode : int
    size : int
        [bytes]
    modified, changed : int
        When its content and when anything of it was changed. [ns since 1970]
    """

    device: int
    inode: int
    size: int
    modified: int
    changed: int

    @classmethod
    def of(cls, file: Path) -> ServedLook | None:
        """The look of a file; None where there is none."""
        try:
            told = file.stat()
        except OSError:
            return None
        return cls(told.st_dev, told.st_ino, told.st_size, told.st_mtime_ns, told.st_ctime_ns)


class Copies:
    """A folder of copies that goes with the process; what killed ones left is removed.

    Parameters
    ----------
    parent : Path, optional
        Where the folder stands; the system's folder for temporary files unless given.
    """

    def __init__(self, parent: Path | None = None) -> None:
        root = parent or Path(tempfile.gettempdir())
        remove_left(root)
        self.folder = Path(tempfile.mkdtemp(prefix=_PREFIX, dir=root))
        self._held = hold(self.folder)
        self._numbers = itertools.count(1)

    def take(self, file: Path) -> Path:
        """A checked copy of a database file, with the time of the original.

        Raises
        ------
        StillChangingError
            The file was written to meanwhile.
        HandlingError
            It is not there, cannot be read, is not whole, or is no database of this program and version.
        """
        before = ServedLook.of(file)
        if before is None:
            raise HandlingError(f"{file.name} is not there")
        copy = self._room()
        try:
            copy.parent.mkdir()
            self._fill(copy, file, before)
        except OSError as error:
            self.drop(copy)
            raise HandlingError(f"{file.name} cannot be read: {error.strerror or error}") from None
        except HandlingError:
            self.drop(copy)
            raise
        return copy

    def _room(self) -> Path:
        """Where the next copy will lie."""
        room = self.folder / f"{os.getpid()}-{next(self._numbers)}"
        return room / "handling.db"  # a download bears this name

    def _fill(self, copy: Path, file: Path, before: ServedLook) -> None:
        known = looked_over(file)
        shutil.copyfile(file, copy)
        if ServedLook.of(file) != before:
            raise StillChangingError(f"{file.name} is being written to")
        os.utime(copy, ns=(before.modified, before.modified))
        self._look_over(copy, file.name, whole=not known)

    def newest(self, file: Path, than: ServedLook | None) -> tuple[Path, ServedLook] | None:
        """A copy of what another process of the service took of a file, with its look; None for none."""
        return None

    @staticmethod
    def _look_over(copy: Path, name: str, *, whole: bool) -> None:
        with copy.open("rb") as opened:
            head = opened.read(32)
        size = copy.stat().st_size
        # Bytes 16 and 28 of an SQLite file: size of a page (1 stands for 65536) and number of pages. A file
        # that is still on its way is shorter than its own head says.
        page = int.from_bytes(head[16:18], "big")
        pages = int.from_bytes(head[28:32], "big")
        if head[:15] == b"SQLite format 3" and size != (65536 if page == 1 else page) * pages:
            raise HandlingError(f"{name} is not whole: it has {size} bytes and says that it has others")
        connection = open_database(copy, called=name)
        try:
            stamp(connection)
        except sqlite3.Error as error:
            raise HandlingError(f"{name} is damaged ({error}); build it again") from None
        finally:
            connection.close()
        if whole and size <= _LOOKED_OVER:
            try:
                check_file(copy)
            except sqlite3.Error as error:
                raise HandlingError(f"{name} is damaged ({error}); build it again") from None

    def drop(self, copy: Path) -> None:
        """Remove a copy."""
        shutil.rmtree(copy.parent, ignore_errors=True)

    def close(self) -> None:
        """Remove all of them."""
        shutil.rmtree(self.folder, ignore_errors=True)
        if self._held is not None:
            os.close(self._held)
            self._held = None


def remove_left(root: Path, young: float = _YOUNG) -> None:
    """Remove what killed services of this user left; folders of those that run are left alone.

    Parameters
    ----------
    root : Path
    young : float
        Age up to which a folder may belong to a service that has just begun. [s]
    """
    for folder in root.glob(f"{_PREFIX}*"):
        with contextlib.suppress(OSError):
            told = folder.stat()
            mine = not hasattr(os, "getuid") or told.st_uid == os.getuid()
            if mine and time.time() - told.st_mtime > young and not in_use(folder):
                shutil.rmtree(folder, ignore_errors=True)
