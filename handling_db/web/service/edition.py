"""What is served of one copy of a database file, from its first reader to its last."""

from __future__ import annotations

import asyncio
import threading
import time
from pathlib import Path
from typing import Any

from handling_db.database.queries import open_database, stamp
from handling_db.lookup.listings import Stamp
from handling_db.web.reading import end_reading
from handling_db.web.service.copies import Copies, ServedLook
from handling_db.web.service.memory import give_back

_UNHURRIED = 2.0  # memory of a former file is given back so long after it: first pages do not wait for it [s]


class Edition:
    """What is served of one copy of a file, and how many requests still read it.

    Parameters
    ----------
    datasette : Datasette
    copies : Copies
        To which the copy is given back.
    copy : Path
    seen : ServedLook
        Of the file that was copied.
    """

    def __init__(self, datasette: Any, copies: Copies, copy: Path, seen: ServedLook) -> None:
        self.datasette = datasette
        self.app = datasette.app()
        self.seen = seen
        connection = open_database(copy)
        self.stamp: Stamp = stamp(connection)
        connection.close()
        self.readers = 0
        self._copies = copies
        self._copy = copy
        self._retired = False
        self._starting = asyncio.Lock()

    async def ready(self) -> None:
        """Wait until it can answer: who asks while the first one starts it would meet it half started."""
        async with self._starting:
            await self.datasette.invoke_startup()

    def leave(self) -> None:
        """One reader less."""
        self.readers -= 1
        self._close_if_unread()

    def retire(self) -> None:
        """No new readers; the last one closes the door."""
        self._retired = True
        self._close_if_unread()

    def _close_if_unread(self) -> None:
        if self._retired and self.readers <= 0:
            threading.Thread(target=self._close, daemon=True).start()

    def _close(self) -> None:
        _shut(self.datasette)
        self.datasette = self.app = None  # who still holds the edition for a moment shall not hold the view
        self._copies.drop(self._copy)
        time.sleep(_UNHURRIED)
        give_back(self.stamp.stamp)


def _shut(datasette: Any) -> None:
    # A thread may still be at work for a reader who went away: it is waited for, nothing is closed below it.
    if datasette.executor is not None:
        datasette.executor.shutdown(wait=True)
    for database in list(datasette.databases.values()):
        end_reading(database)
        _end_writing(database)
        database.close()


def _end_writing(database: Any) -> None:
    """End the thread that a stock database keeps for writing: it never ends, and holds a whole view."""
    from datasette.database import WriteTask

    def end(connection: Any) -> None:
        connection.close()
        raise SystemExit  # ends the thread without a word, where any other exception is answered

    if database._write_queue is not None:
        database._write_queue.put(WriteTask(end, None, None))
