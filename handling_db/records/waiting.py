"""Which records of other shops are not in force before a person here has looked at them, and why.

A record from elsewhere that nobody here has decided about is *foreign*; every other one is ours. A foreign
record is in force, marked, only where no answer about anything of ours can change by it. Whatever names
something of ours, goes by a name of ours, is spoken of by a record of ours, or counts for every lift here
waits, and so does whatever builds on a record that waits. Which wait follows from the records alone, not
from the order in which they came.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from handling_db.records.collection import Collection
from handling_db.records.kinds.origin import BOOKKEEPING
from handling_db.records.parts.texts import Part

Key = tuple[str, str]

# Answers choose among all that are recorded of these, so a new one counts even where nothing names it.
_COUNT_EVERYWHERE = frozenset({"shop", "mover"})
# Looked up by name, alias and part number.
LOOKED_UP = ("component", "joint", "lift group")
# Naming one of these is no reason to wait: they say how good a figure is, not which thing it is about.
_EVIDENCE_ONLY = frozenset({"source", "source kind", "material"})
_FIGURE_ID = re.compile("[0-9a-f]{12}")


def reasons_to_wait(collection: Collection, foreign: Iterable[Key]) -> dict[Key, str]:
    """The foreign records that wait, each with a sentence on why.

    Parameters
    ----------
    collection : Collection
        Ours and the foreign records together, as if all of them were in force.
    foreign : iterable of (kind, id)
        Which of them nobody here has decided about.

    Returns
    -------
    dict of (kind, id) to str
    """
    theirs = {key: collection.of_kind(key[0]).get(key[1]) for key in foreign}
    strangers = {key: record for key, record in sorted(theirs.items()) if record is not None}
    if not strangers:
        return {}
    named = {key: frozenset(texts_of(record)) for key, record in strangers.items()}
    ours = _Ours(collection, strangers, named)
    found: dict[Key, str] = {}
    for key, record in strangers.items():
        why = ours.why(key, record, named[key])
        if why:
            found[key] = why
    _spread(collection, strangers, named, found)
    return found


class _Ours:
    """What is ours, by everything it may be named with."""

    def __init__(
        self, collection: Collection, strangers: Mapping[Key, Part], named: Mapping[Key, frozenset[str]]
    ) -> None:
        self.collection = collection
        self.strangers = strangers
        self.ids: dict[str, Key] = {}
        self.names: dict[str, Key] = {}
        self.spoken: dict[str, Key] = {}
        self.lifted = False  # whether there is anything of ours to lift
        wanted = {record_id for _, record_id in strangers}
        # The ids of figures are hashes: worked out only where some foreign record names a hash.
        hashes = any(_FIGURE_ID.fullmatch(text) for texts in named.values() for text in texts)
        for kind, record in collection.records():
            key = (kind, record.id)
            if kind in BOOKKEEPING or key in strangers:
                continue
            for text in wanted.intersection(texts_of(record)):
                self.spoken.setdefault(text, key)
            if kind in _EVIDENCE_ONLY:
                continue
            self.lifted = self.lifted or kind in LOOKED_UP
            self.ids.setdefault(record.id, key)
            if kind in LOOKED_UP:
                for text in names_of(record):
                    self.names.setdefault(squashed(text), key)
            for text in _inner_ids(record, hashes=hashes):
                self.ids.setdefault(text, key)

    def why(self, key: Key, record: Any, named: frozenset[str]) -> str:
        """Why a record waits by itself; empty where it does not."""
        kind, record_id = key
        said = self._observed(kind, record)
        if said:
            return said
        if kind in _COUNT_EVERYWHERE and self.lifted:
            return f"A {kind} counts for lifts and moves of ours."
        if kind in LOOKED_UP:
            for text in names_of(record):
                own = self.names.get(squashed(text))
                if own is not None:
                    return f"It goes by {text!r}, and so does our {own[0]} {own[1]}."
        for text in sorted(named - {record_id}):
            if text in self.ids:
                own_kind, own_id = self.ids[text]
                inside = "" if text == own_id else f" ({text})"
                return f"It names our {own_kind} {own_id}{inside}."
        if record_id in self.ids:
            own_kind, own_id = self.ids[record_id]
            return f"Its id is taken here: {own_kind} {own_id}."
        if record_id in self.spoken:
            own_kind, own_id = self.spoken[record_id]
            return f"Our {own_kind} {own_id} speaks of {record_id}, which nobody here has recorded."
        return ""

    def _observed(self, kind: str, record: Any) -> str:
        """What an observation would do to something of ours."""
        replaces = getattr(record, "replaces", None) if kind in ("weighing", "note", "choice") else None
        if replaces and (kind, replaces) not in self.strangers and replaces in self.collection.of_kind(kind):
            return f"It says that it replaces {replaces}."
        of = {"weighing": "of", "choice": "component"}.get(kind)
        code = str(getattr(record, of)) if of else ""
        if code in self.collection.components and ("component", code) not in self.strangers:
            name = self.collection.components[code].name
            if kind == "weighing":
                return f"It would count as a mass of {name}."
            return f"It would decide which figure of {name} is used."
        return ""


def _spread(
    collection: Collection,
    strangers: Mapping[Key, Part],
    named: Mapping[Key, frozenset[str]],
    found: dict[Key, str],
) -> None:
    """What builds on a record that waits, or lists a part that is not here, waits as well."""
    held = {(a.of.kind, a.of.id) for a in collection.asides.values()}
    absent = {(k, i) for k, i in held if k not in BOOKKEEPING and i not in collection.of_kind(k)}
    missing: dict[str, Key] = {}
    for key in sorted({*absent, *found}):
        if key[0] not in _COUNT_EVERYWHERE:
            missing.setdefault(key[1], key)
    parts = {
        key: tuple(line.component for line in getattr(record, "parts", ()) or ())
        for key, record in strangers.items()
        if key[0] == "component"
    }
    grew = True
    while grew:
        grew = False
        for key in strangers:
            if key in found:
                continue
            on = next((missing[text] for text in sorted(named[key] & missing.keys()) if text != key[1]), None)
            gone = next((code for code in parts.get(key, ()) if code not in collection.components), None)
            if on is not None:
                found[key] = f"It names {on[0]} {on[1]}, which waits."
            elif gone is not None:
                found[key] = f"It lists component {gone}, which is not here."
            else:
                continue
            grew = True
            missing.setdefault(key[1], key)


def names_of(record: Any) -> tuple[str, ...]:
    """Everything a record can be looked up by: id, name, aliases, part number."""
    also = getattr(record, "also_called", None) or ()
    texts = (record.id, getattr(record, "name", None), getattr(record, "part_number", None), *also)
    return tuple(str(text) for text in texts if text)


def squashed(text: str) -> str:
    """A name as people may type it: capitals, spaces, hyphens and points make no difference."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    letters = "".join(sign for sign in plain if sign.isalnum())
    return letters or " ".join(plain.split())


def texts_of(record: Any) -> Iterator[str]:
    """Every plain text that stands in a record, without writing the record out."""
    if isinstance(record, str):
        yield record
    elif isinstance(record, Part):
        for value in record.__dict__.values():
            yield from texts_of(value)
    elif isinstance(record, dict):
        for value in record.values():
            yield from texts_of(value)
    elif isinstance(record, list | tuple):
        for value in record:
            yield from texts_of(value)


def _inner_ids(record: Any, *, hashes: bool) -> Iterator[str]:
    """Ids of what stands inside a record and is named from outside: ties, figures, part lines."""
    for tie in getattr(record, "tie_list", ()):
        yield tie.key(record.id) if hashes else tie.id or record.id
    for line in (*(getattr(record, "masses", ()) or ()), *(getattr(record, "parts", ()) or ())):
        if line.id is not None:
            yield line.id
        elif hashes:
            yield line.key(record.id)
