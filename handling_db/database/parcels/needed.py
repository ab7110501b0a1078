"""The records that a parcel is made of, or that a parcel is held against, without reading all others.

Everything said from them is what all records say: tests hold it against that, unit by unit.
"""

from __future__ import annotations

import re
import sqlite3
from dataclasses import dataclass

from handling_db.database.parcels.gathered import GatheredRecords, Key, texts_json
from handling_db.database.units import SHARED, inner_ids, unit_of_component, words_in
from handling_db.errors import HandlingError
from handling_db.files.folders import reference_folder
from handling_db.records.collection import KINDS, Collection
from handling_db.records.kinds.origin import BOOKKEEPING
from handling_db.records.versions import record_of as record_aside
from handling_db.records.waiting import LOOKED_UP, names_of, squashed
from handling_db.records.written import written
from handling_db.sharing.contents import for_component, ids_with_notes
from handling_db.sharing.parcel import Parcel
from handling_db.sharing.same_as import FIRST, Beside, NamesHere, goes_by

_FIGURE_ID = re.compile("[0-9a-f]{12}")  # of what has no id of its own: a hash, which no table holds for ties


class AllNeeded(HandlingError):
    """Why a question about a parcel cannot be answered from a part of the records, in words."""


@dataclass(frozen=True, slots=True)
class HeldAgainst:
    """What a parcel is held against.

    Parameters
    ----------
    own : Collection
        Our records that what it brings speaks of, or that speak of it, with all that they belong with.
    beside : Beside or None
        Among which components one is looked for that may be one of it; None where all are in `own`.
    """

    own: Collection
    beside: Beside | None = None


def records_to_send(connection: sqlite3.Connection, kept: sqlite3.Connection, code: str) -> Collection:
    """The records among which `handling_db.sharing.contents.for_component` finds all that a parcel holds.

    Parameters
    ----------
    connection : sqlite3.Connection
    kept : sqlite3.Connection
        What was kept beside it, which tells the reference data that comes with the program.
    code : str
        The component.

    Raises
    ------
    AllNeeded
        Ids are joined here, and the records do not stand in the file as they are written.
    UnknownNameError
        There is no such component.
    """
    _refuse_joined(connection)
    shipped = _shipped(connection, kept)
    found = GatheredRecords(connection, shipped.__contains__)
    gather_around(connection, found, code)
    return found.records()


def gather_around(connection: sqlite3.Connection, found: GatheredRecords, code: str) -> frozenset[Key]:
    """Gather what `handling_db.sharing.contents.for_component` finds for a component, and all it is in.

    Returns
    -------
    frozenset of key
        What it finds.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    found.add_units_of([code])
    while True:
        own = found.records()
        chosen = for_component(own, code)
        words = {word for key in chosen for word in words_in(_plain(own, key))}
        # notes about a fixture may belong to another unit, and its components may be named by what is sent
        rows = connection.execute(
            "select code from note where about in (select value from json_each(?))",
            (texts_json(ids_with_notes(own, chosen)),),
        )
        if not found.add_records({*words, *(str(row[0]) for row in rows)}):
            return chosen


def records_to_hold_against(
    connection: sqlite3.Connection, kept: sqlite3.Connection, parcel: Parcel
) -> HeldAgainst:
    """The records with which `handling_db.sharing.take_in.look_at` says what all of them would say.

    Parameters
    ----------
    connection : sqlite3.Connection
    kept : sqlite3.Connection
        What was kept beside it.
    parcel : Parcel

    Raises
    ------
    AllNeeded
        It cannot be told which records these are.
    """
    _refuse_joined(connection)
    sent = _Sent(parcel)
    if sent.hashes:
        raise AllNeeded(f"the parcel names {min(sent.hashes)}, which may be a tie of any joint")
    found = GatheredRecords(connection)
    found.add_units_of(sent.words | sent.ids)
    found.add_units(_holding(kept, sent))
    strangers = {(str(row[0]), str(row[1])) for row in connection.execute(_CAME)}
    found.add_units_of(_first_that_speak(connection, sent.ids, strangers))
    found.add_units_of(_first_by_name(connection, sent.names, strangers))
    everyone = found.records()
    shared = [(kind, one.id) for kind, one in everyone.records() if kind in SHARED]
    # what the shop has once is checked with what it names: a name that is not there would be a fault
    found.add_units_of({word for key in shared for word in words_in(_plain(everyone, key))})
    own = found.records()
    names = _names(connection)
    found.add_units_of(_alike(connection, parcel.collection, names))
    return HeldAgainst(own, Beside(found.records(), names))


_CAME = (
    "select json_extract(text, '$.of.kind'), json_extract(text, '$.of.id') from record where kind = 'origin'"
)


class _Sent:
    """What a parcel's records say, as far as anything of ours may be meant by it."""

    def __init__(self, parcel: Parcel) -> None:
        sent = parcel.collection
        records = [(kind, record) for kind, record in sent.records() if kind not in BOOKKEEPING]
        held = [(aside.of.kind, record_aside(aside)) for aside in sent.asides.values()]
        records += [(kind, record) for kind, record in held if record is not None]  # type: ignore[misc]
        self.ids = {str(record.id) for _, record in records}
        self.words = {one.id for one in parcel.manifest.builds_on}
        self.names: set[str] = set()
        self.about: set[str] = set()  # what notes speak of inside of records
        self.inside: set[str] = set()
        own: set[str] = set()
        for kind, record in records:
            plain = written(kind, record)
            self.words.update(words_in(plain))
            for what, name in inner_ids(kind, record, plain):
                (self.about if what == "about" else self.inside).add(name)
                own.add(name)
            own |= {tie.key(record.id) for tie in getattr(record, "tie_list", ())}
            own |= {line.key(record.id) for line in getattr(record, "parts", ()) or ()}
            if kind in LOOKED_UP:
                self.names.update(squashed(name) for name in names_of(record))
        self.hashes = {word for word in self.words if _FIGURE_ID.fullmatch(word)} - own - self.ids


def _holding(kept: sqlite3.Connection, sent: _Sent) -> set[str]:
    """Units of ours in which something stands that is named, or that is spoken of under a name in it."""
    asked = (
        ("i.what in ('figure', 'line')", sent.words | sent.ids | sent.inside),
        ("i.what = 'held' and i.kind = 'joint'", sent.words | sent.ids | sent.inside),
        ("i.what = 'held'", sent.about),
        ("i.what = 'about'", sent.inside),
    )
    found: set[str] = set()
    for what, names in asked:
        rows = kept.execute(
            "select distinct r.unit from inner_id i join record r on r.kind = i.kind and r.code = i.code "
            f"where i.name in (select value from json_each(?)) and {what}",
            (texts_json(names),),
        )
        found.update(unit_of_component(str(row[0])) for row in rows)
    return found


def _first_that_speak(connection: sqlite3.Connection, ids: set[str], came: set[Key]) -> set[str]:
    """Ids of records that name what is sent: of ours the first by kind and id, of those from elsewhere all.

    What is held against it is said of the first one only.
    """
    odd = [code for code in ids if not code.isprintable() or '"' in code or "\\" in code]
    if odd:
        raise AllNeeded(f"{odd[0]!r} is no plain id")
    first: dict[str, tuple[int, str]] = {}
    found: set[str] = set()
    order = {kind: place for place, kind in enumerate(KINDS)}
    for kind, code, text in connection.execute("select kind, code, text from record"):
        pieces = text.split('"')  # every text of a record stands between two of these, and more than these
        if kind in BOOKKEEPING or ids.isdisjoint(pieces):
            continue
        if (kind, code) in came:
            found.add(code)
            continue
        for word in ids.intersection(pieces):
            first[word] = min(first.get(word, (len(order), "")), (order[kind], code))
    return found | {code for _, code in first.values()}


def _first_by_name(connection: sqlite3.Connection, names: set[str], came: set[Key]) -> set[str]:
    """Ids of what goes by names that are sent, as above; and one thing of ours that may be lifted, if any."""
    rows = connection.execute(_NAMES)
    first: dict[str, tuple[int, str]] = {}
    found: set[str] = set()
    order = {kind: place for place, kind in enumerate(LOOKED_UP)}
    any_one: tuple[int, str] | None = None
    for kind, code, name in rows:
        is_ours = (kind, code) not in came
        if is_ours and any_one is None:
            any_one = (order[kind], code)
        text = squashed(name)
        if text not in names:
            continue
        if is_ours:
            first[text] = min(first.get(text, (len(order), "")), (order[kind], code))
        else:
            found.add(code)
    return found | {code for _, code in first.values()} | ({any_one[1]} if any_one else set())


_NAMES = """
  select 'component', code, code from component
  union all select 'component', code, name from component
  union all select 'component', code, part_number from component where part_number is not null
  union all select 'component', c.code, a.name from alias a join component c on c.id = a.component
  union all select kind, code, code from record where kind in ('joint', 'lift group')
  union all select kind, code, json_extract(text, '$.name') from record where kind in ('joint', 'lift group')
"""


def _names(connection: sqlite3.Connection) -> NamesHere:
    """What all our components go by."""
    also: dict[str, list[str]] = {}
    for code, name in connection.execute(
        "select c.code, a.name from alias a join component c on c.id = a.component"
    ):
        also.setdefault(code, []).append(name)
    rows = connection.execute("select code, name, part_number from component")
    return NamesHere({code: goes_by(name, also.get(code, ()), number) for code, name, number in rows})


def _alike(connection: sqlite3.Connection, sent: Collection, names: NamesHere) -> set[str]:
    """Ids of our components that are held against one that is sent, as perhaps the same thing."""
    known = {str(row[0]) for row in connection.execute("select code from component")}
    new = [one for code, one in sent.components.items() if code not in known]
    others = {goes_by(one.name, one.also_called, one.part_number) for one in new}
    return {code for other in others for code in names.like(other)[:FIRST]}


def _plain(collection: Collection, key: Key) -> object:
    record = collection.of_kind(key[0]).get(key[1])
    return written(key[0], record) if record is not None else ()


def _shipped(connection: sqlite3.Connection, kept: sqlite3.Connection) -> frozenset[Key]:
    """Kinds of source and materials that come with the program, and stand in no file of the folder."""
    rows = connection.execute("select kind, code from record where kind in ('source kind', 'material')")
    there = {(str(kind), str(code)) for kind, code in rows}
    own = set()
    for kind, code, file in kept.execute(
        "select kind, code, file from record where kind in ('source kind', 'material')"
    ):
        if not file.startswith(f"{reference_folder()}/"):
            own.add((kind, code))
    return frozenset(there - own)


def _refuse_joined(connection: sqlite3.Connection) -> None:
    if connection.execute("select 1 from record where kind = 'pairing' limit 1").fetchone():
        raise AllNeeded("ids are joined here, and records do not stand in the database as in their files")
