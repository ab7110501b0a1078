"""Records of a database file that are gathered for one question, unit by unit and one by one."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Collection, Iterable

from handling_db.database.queries.records import record_of
from handling_db.records.collection import KINDS, collect
from handling_db.records.collection import Collection as Records

Key = tuple[str, str]


class GatheredRecords:
    """Records gathered out of a database; what belongs to every unit is there from the start.

    Parameters
    ----------
    connection : sqlite3.Connection
    leave_out : function of a key to bool, optional
        Which records are passed over.
    """

    def __init__(
        self, connection: sqlite3.Connection, leave_out: Callable[[Key], bool] = lambda _: False
    ) -> None:
        self._connection = connection
        self._leave_out = leave_out
        self._texts: dict[Key, str] = {}
        self._units: set[str] = set()
        self.add_units({""})

    def add_units(self, labels: Iterable[str]) -> bool:
        """Gather all records of some units; whether any of the units is new."""
        new = set(labels) - self._units
        self._units |= new
        self._put(
            self._connection.execute(f"{_RECORDS} indexed by record_unit {_IN_UNIT}", (texts_json(new),))
        )
        return bool(new)

    def add_units_of(self, codes: Collection[str]) -> bool:
        """Gather the units of all records that go by some ids; whether any of the units is new."""
        rows = self._connection.execute(f"select unit from record {_BY_ID}", (texts_json(codes),))
        return self.add_units([str(row[0]) for row in rows])

    def add_records(self, codes: Collection[str]) -> bool:
        """Gather records by their ids, without what they belong with; whether any of them is new."""
        before = len(self._texts)
        self._put(self._connection.execute(f"{_RECORDS} {_BY_ID}", (texts_json(codes),)))
        return len(self._texts) > before

    def records(self) -> Records:
        """All of them as a collection."""
        return collect([(kind, record_of(kind, code, text)) for (kind, code), text in self._texts.items()])

    def _put(self, rows: Iterable[tuple[str, str, str]]) -> None:
        for kind, code, text in rows:
            if not self._leave_out((kind, code)):
                self._texts[kind, code] = text


_RECORDS = "select kind, code, text from record"
_IN_UNIT = "where unit in (select value from json_each(?))"
# by both, so that the index of kinds and ids is used and not every text is gone through
_EVERY_KIND = ", ".join(f"'{kind}'" for kind in KINDS)
_BY_ID = f"where kind in ({_EVERY_KIND}) and code in (select value from json_each(?))"


def texts_json(texts: Iterable[str]) -> str:
    """Texts as one value of a statement, however many they are: ``in (select value from json_each(?))``."""
    return json.dumps(sorted(texts))
