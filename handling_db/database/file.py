"""A database file is built beside its place, checked, and renamed into it: the old file or the new one."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TypeVar

from handling_db.database.references import broken_reference
from handling_db.database.schema import APPLICATION, VERSION
from handling_db.errors import HandlingError
from handling_db.files.atomic import force

_Answer = TypeVar("_Answer")

_Look = tuple[int, int, int, int, int]

_ENDING = ".building"
_SEEN = 64 << 20  # a file up to this is looked over where it lies; a larger one would fill memory [bytes]
_FORGOTTEN = 24 * 3600  # age of a leftover where nothing tells whether its build still runs [s]
_FREE = 4  # a changed file of which more than one page in so many holds nothing is written once more
_looked_over: dict[Path, _Look] = {}  # files that this process built and looked over, by whole name


def publish(out: Path, fill: Callable[[sqlite3.Connection], None], *, in_order: bool = False) -> None:
    """Build a database and put it in place of the file that is there.

    Parameters
    ----------
    out : Path
        Its folder must exist.
    fill : function of a connection
        Makes the tables and puts the rows in.
    in_order : bool
        Whether nearly all rows come in the order of their keys, so that no page is left half empty; otherwise
        the file is written once more, page by page full.

    Raises
    ------
    HandlingError
        The place is taken by something else than a database of this program, or cannot be written, or what
        was built does not pass its checks. The file that was there is then still there.
    """
    _publish(out, lambda built: _build(built, fill, in_order=in_order))


def publish_changed(out: Path, change: Callable[[sqlite3.Connection], None]) -> str:
    """Change a copy of a database and put it in place of the file that is there.

    Parameters
    ----------
    out : Path
    change : function of a connection
        It writes; nobody reads the copy meanwhile.

    Returns
    -------
    str
        `look_of` the new file.

    Raises
    ------
    HandlingError
        As `publish`.
    """

    def make(built: Path) -> None:
        shutil.copyfile(out, built)
        with contextlib.closing(_open_alone(built)) as connection:
            change(connection)
            _give_back_free_pages(connection)

    return _publish(out, make)


def _publish(out: Path, make: Callable[[Path], None]) -> str:
    """Make a file beside its place, look it over and put it there; its `look_of`."""
    refuse_other_files(out)
    try:
        remove_leftovers(out)
        with room_beside(out) as room:
            built = room / "handling.db"
            make(built)
            check_file(built)
            force(built)
            look = look_of(built)
            _put_in_place(built, out)
    except OSError as error:
        raise HandlingError(f"{out}: cannot be written: {error.strerror or error}") from error
    return look


def _give_back_free_pages(connection: sqlite3.Connection) -> None:
    """Write the file once more where much of it holds nothing: each copy of it would carry that along."""
    (free,) = connection.execute("pragma freelist_count").fetchone()
    (pages,) = connection.execute("pragma page_count").fetchone()
    if free * _FREE > pages:
        connection.execute("vacuum")


def _put_in_place(built: Path, out: Path) -> None:
    """Rename a file that was looked over into its place."""
    before = built.stat()
    built.replace(out)
    force(out.parent)
    there = out.stat()  # its time of change is that of the renaming
    if (there.st_ino, there.st_mtime_ns) == (before.st_ino, before.st_mtime_ns):
        _looked_over[out.resolve()] = _told_apart(there)


def looked_over(file: Path) -> bool:
    """Whether a file is one that this process built and looked over before it put it there."""
    return _looked_over.get(file.resolve()) == _told_apart(file.stat())


def _told_apart(told: os.stat_result) -> _Look:
    return told.st_dev, told.st_ino, told.st_size, told.st_mtime_ns, told.st_ctime_ns


def look_of(file: Path) -> str:
    """Size and time of a file; another look means that it may hold something else."""
    told = file.stat()
    return f"{told.st_size} {told.st_mtime_ns}"


def refuse_other_files(out: Path) -> None:
    """Say no to a target that is a folder, or a file that this program did not write.

    Raises
    ------
    HandlingError
    """
    if out.is_dir():
        raise HandlingError(f"{out} is a folder; give the name of a file, such as {out / 'handling.db'}")
    if not out.parent.is_dir():
        raise HandlingError(f"{out}: there is no folder {out.parent}; make it first")
    if out.exists() and not out.is_file():
        raise HandlingError(f"{out} is no plain file; give another name")  # a device or a pipe would be gone
    if out.exists() and not is_ours(out):
        raise HandlingError(
            f"{out} is there already and is no database of this program; give another name, or move it away"
        )


def is_ours(file: Path) -> bool:
    """Whether a file is empty or carries this program's mark."""
    return not file.stat().st_size or has_mark(file)


def has_mark(file: Path) -> bool:
    """Whether a file carries this program's mark (bytes 68 to 71 of an SQLite file)."""
    with file.open("rb") as opened:
        head = opened.read(72)
    return head[:15] == b"SQLite format 3" and head[68:72] == APPLICATION.to_bytes(4, "big")


def remove_leftovers(out: Path) -> None:
    """Remove what killed builds of this file left beside it; a build that still runs is left alone."""
    for room in out.parent.glob(f".{out.name}.*{_ENDING}"):
        if room.is_dir() and not in_use(room):
            shutil.rmtree(room, ignore_errors=True)


def check_file(file: Path) -> None:
    """Look a finished file over: every page, row and reference.

    Whether every index entry has its row is not looked at: the file was written in one go just before, and
    that takes as long as all the rest.

    Raises
    ------
    HandlingError
        It is damaged, or a row refers to one that is not there.
    """
    with ThreadPoolExecutor(1) as other:  # two looks at once: SQLite works while Python waits
        broken = other.submit(_ask, file, broken_reference)
        said = _ask(file, lambda connection: connection.execute("pragma quick_check").fetchone()[0])
        row = broken.result()
    if said != "ok":
        raise HandlingError(f"the database that was built is damaged ({said}); build it again")
    if row is not None:
        raise HandlingError(
            f"the database that was built has a row of {row[0]!r} that refers to no row of "
            f"{row[2]!r}; that is a fault of this program, please report it"
        )


def _ask(file: Path, question: Callable[[sqlite3.Connection], _Answer]) -> _Answer:
    """What is asked of a file, over a connection of its own."""
    connection = sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)
    try:
        if file.stat().st_size <= _SEEN:
            connection.execute(f"pragma mmap_size = {_SEEN}")
        return question(connection)
    finally:
        connection.close()


def _build(built: Path, fill: Callable[[sqlite3.Connection], None], *, in_order: bool) -> None:
    raw = built if in_order else built.with_name("raw.db")
    with contextlib.closing(_open_alone(raw)) as connection:
        fill(connection)
        connection.execute(f"pragma application_id = {APPLICATION}")
        connection.execute(f"pragma user_version = {VERSION}")
        if not in_order:
            connection.execute("vacuum into ?", [str(built)])


def _open_alone(file: Path) -> sqlite3.Connection:
    """A file that nobody else reads: not worth saving when we are killed, so no journal and no waiting."""
    connection = sqlite3.connect(file, isolation_level=None)
    connection.execute("pragma journal_mode = off")
    connection.execute("pragma synchronous = off")
    connection.execute("pragma cache_size = -262144")
    return connection


@contextlib.contextmanager
def room_beside(out: Path) -> Iterator[Path]:
    """A folder of our own beside the target, held while we build and removed afterwards."""
    room = Path(tempfile.mkdtemp(prefix=f".{out.name}.", suffix=_ENDING, dir=out.parent))
    held = hold(room)
    try:
        yield room
    finally:
        shutil.rmtree(room, ignore_errors=True)
        if held is not None:
            os.close(held)


def hold(room: Path) -> int | None:
    """Hold a folder as long as this process lives; None where the system has no such locks."""
    try:
        import fcntl
    except ImportError:  # pragma: no cover
        return None
    handle = os.open(room, os.O_RDONLY)
    with contextlib.suppress(OSError):
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    return handle


def in_use(room: Path) -> bool:
    """Whether a process that still lives holds a folder."""
    try:
        import fcntl
    except ImportError:  # pragma: no cover
        return time.time() - room.stat().st_mtime < _FORGOTTEN
    try:
        handle = os.open(room, os.O_RDONLY)
    except FileNotFoundError:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return True
    finally:
        os.close(handle)
    return False
