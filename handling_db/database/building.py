"""Building from whatever a command was pointed at, with a bar on standard error when it takes long."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from handling_db.database.edited.build import Built, build_over
from handling_db.database.edited.kept import kept_file
from handling_db.tables.read import HowRead
from handling_db.tables.sources import split_paths

Progress = Callable[[str, int, int], None]

_SHOWN_AFTER = 1.0  # seconds; a short build shows nothing
_WIDTH = 30


def bar_after_a_while(clock: Callable[[], float] = time.monotonic) -> Progress:
    """A progress function that draws on standard error once a build has taken a second, if a person looks.

    Parameters
    ----------
    clock : function without arguments
        Seconds from anywhere.
    """
    started = clock()
    seen = sys.stderr.isatty()

    def tell(what: str, done: int, of: int) -> None:
        if not seen or clock() - started < _SHOWN_AFTER or of <= 0:
            return
        filled = _WIDTH * done // of
        end = "\n" if done >= of else ""
        sys.stderr.write(f"\r{what:<24} [{'#' * filled}{'.' * (_WIDTH - filled)}] {done} of {of}{end}")
        sys.stderr.flush()

    return tell


def build_with_bar(
    paths: Sequence[Path], out: Path, *, how: HowRead | None = None, whole: bool = False
) -> Built:
    """Build the database file from folders, record files and tables; over one that is there, what changed.

    Parameters
    ----------
    paths : sequence of Path
    out : Path
    how : HowRead, optional
    whole : bool
        Whether to build everything, whatever is there.

    Raises
    ------
    HandlingError
        A path cannot be read, or the records have faults; the old file stays as it was.
    """
    records, tables = split_paths(paths)
    out.parent.mkdir(parents=True, exist_ok=True)
    if whole:
        kept_file(out).unlink(missing_ok=True)
    return build_over(records, out, tables=tables, how=how, progress=bar_after_a_while())
