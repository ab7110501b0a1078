"""Building a database anew whenever a record is saved, while it is served."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.quantities.display import counted

REST = 0.2  # between two looks, at least [s]
SHARE = 10  # of the time that one look takes, so that looking at very many files leaves the machine free


class Rebuilding:
    """Looks at record folders and tables again and again, and builds over the database when one was saved.

    What has a fault is told and built by nobody: the file that is there is served on.

    Parameters
    ----------
    paths : sequence of Path
        Record folders, record files and tables.
    out : Path
        The database.
    say : function of a text
    """

    def __init__(self, paths: Sequence[Path], out: Path, say: Callable[[str], None]) -> None:
        self.paths, self.out, self._say = tuple(paths), out, say
        self.after: Callable[[], None] = lambda: None  # called when the file was built anew
        self._seen: frozenset[tuple[str, int, int]] = frozenset()
        self._rest = REST
        self._ended = threading.Event()
        self._thread = threading.Thread(
            target=self.look_on, args=(self._ended.wait,), name="rebuilding", daemon=True
        )

    def start(self) -> None:
        """Build once, and look on in a thread beside the service.

        Raises
        ------
        HandlingError
            As `begin`.
        """
        self.begin()
        self._thread.start()

    def begin(self) -> None:
        """Build once, so that there is something to serve.

        Raises
        ------
        HandlingError
            There is no file yet and none can be built.
        """
        self._seen = frozenset(self._looks())
        try:
            self._build()
        except HandlingError as error:
            if not self.out.exists():
                raise
            self._say(f"{error}\nThe file as it was is served.")

    def stop(self) -> None:
        """End; what is being built is finished first."""
        self._ended.set()
        if self._thread.is_alive():
            self._thread.join()

    def look_on(self, ended: Callable[[float], bool]) -> None:
        """Look again and again.

        Parameters
        ----------
        ended : function of seconds
            Waits so long, unless it is time to end.
        """
        while not ended(self._rest):
            try:
                self.look()
            except HandlingError as error:
                self._say(f"{error}\nThe file as it was is served until that is put right.")
            except OSError as error:  # a file went while it was read; the next look sees how it ended
                self._say(f"{error.filename}: {error.strerror}")

    def look(self) -> bool:
        """Look at every file once, and build over the database if one is otherwise than it was.

        Returns
        -------
        bool
            Whether one was.

        Raises
        ------
        HandlingError
            What was saved has a fault.
        OSError
            A file went while it was read.
        """
        began = time.monotonic()
        seen = frozenset(self._looks())
        self._rest = max(REST, SHARE * (time.monotonic() - began))
        if seen == self._seen:
            return False
        self._seen = seen  # what is saved from here on is another look, and built after this
        self._build()
        return True

    def _build(self) -> None:
        from handling_db.database.building import build_with_bar

        began = time.monotonic()
        built = build_with_bar(self.paths, self.out)
        if built.records == 0:
            return
        what = f"as a whole ({built.because})" if built.records is None else counted(built.records, "record")
        self._say(f"{self.out.name}: built {what} in {time.monotonic() - began:.1f} s")
        self.after()

    def _looks(self) -> Iterator[tuple[str, int, int]]:
        """Name, size and time of every file; what a build leaves out counts too, since it costs nothing."""
        waiting = [str(path) for path in self.paths]
        while waiting:
            path = waiting.pop()
            try:
                with os.scandir(path) as found:
                    for entry in found:
                        if entry.name.startswith("."):
                            continue
                        if entry.is_dir(follow_symlinks=False):
                            waiting.append(entry.path)
                        else:
                            told = entry.stat()
                            yield entry.path, told.st_size, told.st_mtime_ns
            except NotADirectoryError:
                told = Path(path).stat()
                yield path, told.st_size, told.st_mtime_ns
            except FileNotFoundError:
                continue  # it went meanwhile: another look
