"""Where our pages are written: in a thread of their own for each database, one after another.

The stock table pages put some twenty short questions each to threads that Datasette keeps for them: behind
pages that are being written each of those would wait its turn. And two pages written at once take as long
as one after the other, since Python runs one thread at a time.
"""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from handling_db.database.queries.collection import stamp_of

Result = TypeVar("Result")


class _Reader:
    """The thread of one database, with its connection and the stamp where that cannot change."""

    def __init__(self) -> None:
        self.thread = ThreadPoolExecutor(1, "pages")
        self.stamp: str | None = None
        self._connection: sqlite3.Connection | None = None

    def answer(self, database: Any, question: Callable[[sqlite3.Connection], Result]) -> Result:
        """In the thread: ask, over the one connection."""
        if self._connection is None:
            connection = database.connect()  # the database closes it
            if not database.is_mutable:
                self.stamp = stamp_of(connection)
            self._connection = connection
        return question(self._connection)


_readers: WeakKeyDictionary[Any, _Reader] = WeakKeyDictionary()  # by database


async def read(datasette: Any, database: Any, question: Callable[[sqlite3.Connection], Result]) -> Result:
    """Ask a database in the thread of our pages.

    Parameters
    ----------
    datasette : Datasette
        One that keeps no threads asks where it is.
    database : Database
        One of its databases.
    question : function of a connection
    """
    if datasette.executor is None:
        answered: Result = await database.execute_fn(question)
        return answered
    reader = _readers.get(database)
    if reader is None:
        reader = _readers[database] = _Reader()
    loop = asyncio.get_running_loop()
    return await loop.run_in_executor(reader.thread, reader.answer, database, question)


def stamp_kept(database: Any) -> str | None:
    """The stamp of a database that cannot change and was asked already; None for any other."""
    reader = _readers.get(database)
    return None if reader is None else reader.stamp


def end_reading(database: Any) -> None:
    """Wait for the page that is being written of a database, and end its thread."""
    reader = _readers.pop(database, None)
    if reader is not None:
        reader.thread.shutdown(wait=True)
