"""Rows of some records taken out of a database and put in anew, as a whole build has them."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from handling_db.database import schema
from handling_db.database.build import FILL_HEAVIEST
from handling_db.database.described import described
from handling_db.database.list_rows import NUMBERED
from handling_db.database.note_words import fill_word_lists
from handling_db.database.owned import owners, rows_of
from handling_db.database.rows import RowsByTable, insert
from handling_db.database.units import Key
from handling_db.records.collection import KINDS

WORDS = {
    "component": ("name", "also_called", "code", "part_number", "fits"),
    "note": ("text", "hazard", "gear_used", "about_name"),
}
FRAGMENTS = {"component": schema.COMPONENT_FRAGMENTS}  # of notes, by their words


class Rewriting:
    """Changes a copy of a database, which nobody else reads yet.

    Parameters
    ----------
    connection : sqlite3.Connection
    """

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection
        self._old = {
            table: dict(connection.execute(f"select code, id from {table}").fetchall())
            for table in NUMBERED.values()
        }
        self._moved: set[str] = set()
        self._words: dict[tuple[str, int], tuple[object, ...]] = {}
        self._spare: dict[str, list[int]] = {}
        self._same_records = False  # whether the same records are there as before
        self._statements: Counter[int] = Counter()  # by component, how many were taken out

    def numbers(self, removed: Iterable[Key], added: Iterable[Key]) -> dict[tuple[str, str], int]:
        """The number of every record as a whole build gives them, as `RowsByTable.ids` holds them."""
        out, new = set(removed), set(added)
        self._same_records = not (out or new)
        if self._same_records:  # then each has the number that it had
            return {(table, code): i for table, old in self._old.items() for code, i in old.items()}
        ids: dict[tuple[str, str], int] = {}
        for kind, table in NUMBERED.items():
            gone, come = ({code for k, code in keys if k == kind} for keys in (out, new))
            codes = self._old[table].keys()
            ids.update({(table, code): i for i, code in enumerate(sorted((codes - gone) | come), 1)})
        return ids

    def take_out(self, keys: Iterable[Key]) -> None:
        """Take out every row of some records."""
        run = self.connection.execute
        ids: dict[str, list[tuple[int]]] = {}
        for kind, code in sorted(keys):
            number = self._old.get(NUMBERED.get(kind, ""), {}).get(code)
            if number is not None:
                ids.setdefault(kind, []).append((number,))
                if kind in WORDS:
                    self._words[kind, number] = self._searched(kind, number)
            if kind == "job":
                self.connection.execute("delete from open_job where code = ?", (code,))
            if kind == "note":
                self.connection.execute("delete from note_picture where note = ?", (code,))
            self._spare_ids("record", "kind = ? and code = ?", [(kind, code)])
            self.connection.execute("delete from record where kind = ? and code = ?", (kind, code))
        for table, (column, _, kind) in owners().items():
            if table == "statement":
                self._spare_ids(table, f"{column} = ?", ids.get(kind, []))
                of = (key for (key,) in ids.get(kind, ()))
                asked = f"select count(*) from {table} where {column} = ?"
                self._statements.update({key: run(asked, (key,)).fetchone()[0] for key in of})
            self.connection.executemany(f"delete from {table} where {column} = ?", ids.get(kind, []))

    def _spare_ids(self, table: str, where: str, keys: Sequence[tuple[object, ...]]) -> None:
        spare = self._spare.setdefault(table, [])
        for key in keys:
            spare += [row[0] for row in self.connection.execute(f"select id from {table} where {where}", key)]

    def move(self, ids: Mapping[tuple[str, str], int]) -> None:
        """Carry changed numbers into the rows that stay and into all that refer to them."""
        if self._same_records:
            return
        for table, old in self._old.items():
            moves = [
                (number, ids[table, c]) for c, number in old.items() if ids.get((table, c), number) != number
            ]
            if moves:
                self._moved.add(table)
                self._move(table, moves)

    def _move(self, table: str, moves: Sequence[tuple[int, int]]) -> None:
        run = self.connection.execute
        run("create temp table if not exists moved (old integer primary key, new integer not null)")
        run("delete from moved")
        self.connection.executemany("insert into moved values (?, ?)", moves)
        referring = [(table, "id")]
        referring += [
            (other.name, column.name)
            for other in described()
            if not other.view
            for column in other.columns
            if column.refers_to == table
        ]
        for name, column in referring:  # by way of negative numbers: two rows never share one
            run(
                f'update "{name}" set "{column}" = -(select new from moved where old = "{column}") '
                f'where "{column}" in (select old from moved)'
            )
            run(f'update "{name}" set "{column}" = -"{column}" where "{column}" < 0')

    def put_in(self, rows: RowsByTable, keys: Iterable[Key]) -> None:
        """Put in the rows that belong to some records, and no other rows that were gathered with them."""
        own = set(keys)
        counted: Counter[int] = Counter()
        for table, mine in rows_of(rows, own):
            spare = sorted(self._spare.get(table, ()))
            if table == "statement":
                counted.update(row[1] for row in mine)
            if table in ("record", "statement") and len(spare) == len(mine):
                mine = [(number, *row[1:]) for number, row in zip(spare, mine, strict=True)]
            insert(self.connection, table, mine)
        known = {row[0] for row in self.connection.execute("select name from picture")}
        insert(
            self.connection, "picture", [row for row in rows.rows.get("picture", ()) if row[0] not in known]
        )
        self.connection.execute(
            "delete from picture where name not in (select picture from component_picture "
            "where picture is not null union select picture from note_picture where picture is not null "
            "union select picture from place_picture where picture is not null)"
        )
        if not self._same_records:
            ranks = " ".join(f"when '{kind}' then {rank}" for rank, kind in enumerate(KINDS))
            self._in_order("record", f"case kind {ranks} end, code")
        # as many of each component as before took the numbers that were free, in the same order
        if not self._same_records or counted != +self._statements:
            self._in_order("statement", "component, position")
        for kind in WORDS:
            self._index(kind, {rows.ids[kind, code] for k, code in own if k == kind})

    def _in_order(self, table: str, order: str) -> None:
        """Number the rows of a table by an order, from one."""
        ids = [row[0] for row in self.connection.execute(f"select id from {table} order by {order}")]
        moves = [(-now, old) for now, old in enumerate(ids, 1) if now != old]
        if moves:
            self.connection.executemany(f"update {table} set id = ? where id = ?", moves)
            self.connection.execute(f"update {table} set id = -id where id < 0")

    def _searched(self, kind: str, number: int) -> tuple[object, ...]:
        """What of a row is found by its words and by its fragments, if it has an index of these."""
        columns = ", ".join((*WORDS[kind], FRAGMENTS.get(kind, "null")))
        row = self.connection.execute(f"select {columns} from {kind} where id = ?", (number,)).fetchone()
        return tuple(row)

    def _index(self, kind: str, numbers: Iterable[int]) -> None:
        """Bring the indexes of the search up to the rows."""
        words, fragments = f"{kind}_words", f"{kind}_fragments"
        run = self.connection.execute
        if kind in self._moved:
            run(f"insert into {words} ({words}) values ('rebuild')")
            if kind in FRAGMENTS:
                run(f"insert into {fragments} ({fragments}) values ('delete-all')")
                run(
                    f"insert into {fragments} (rowid, fragments) "
                    f"select id, {FRAGMENTS[kind]} from {kind} order by id"
                )
            self._list(kind)
            return
        columns = ", ".join(WORDS[kind])
        marks = ", ".join("?" * len(WORDS[kind]))
        new = {number: self._searched(kind, number) for number in numbers}
        old = {number: told for (k, number), told in self._words.items() if k == kind}
        for number, told in old.items():
            if new.get(number) != told:
                run(
                    f"insert into {words} ({words}, rowid, {columns}) values ('delete', ?, {marks})",
                    (number, *told[:-1]),
                )
                if kind in FRAGMENTS:
                    run(
                        f"insert into {fragments} ({fragments}, rowid, fragments) values ('delete', ?, ?)",
                        (number, told[-1]),
                    )
        for number, told in new.items():
            if old.get(number) != told:
                run(f"insert into {words} (rowid, {columns}) values (?, {marks})", (number, *told[:-1]))
                if kind in FRAGMENTS:
                    run(f"insert into {fragments} (rowid, fragments) values (?, ?)", (number, told[-1]))
        if old != new:
            self._list(kind)

    def _list(self, kind: str) -> None:
        """List anew which words and pieces there are, and which notes hold each word."""
        if kind == "note":
            fill_word_lists(self.connection)
        else:
            for statement in schema.FILL_HELD:
                self.connection.execute(statement)

    def heaviest(self) -> None:
        """List the heaviest again."""
        self.connection.execute("delete from heaviest")
        self.connection.execute(FILL_HEAVIEST)
