"""Taking another shop's records in: a union of versions, in which nothing is edited and nothing overwritten.

The same version taken twice is taken once; in any order and through any shop the same versions come
together. What is in force while nobody has decided is what was here first.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.contradictions import statements_apart
from handling_db.findings import Finding
from handling_db.records.collection import Collection, collect
from handling_db.records.joined import with_masses_of
from handling_db.records.kinds.origin import BOOKKEEPING, Aside, Of, Origin, mark_id
from handling_db.records.parts.texts import Part
from handling_db.records.versions import OBSERVED, Key, in_force, record_of, unreviewed, versions
from handling_db.records.written import version, written


class Standing(StrEnum):
    """What one incoming version is, beside what is here."""

    NEW = "new"
    SAME = "same"
    DIFFERENT = "different"
    CONTRADICTORY = "contradictory"


@dataclass(frozen=True, slots=True)
class Incoming:
    """One version of one record that another shop sends.

    Parameters
    ----------
    kind, id, version : str
    record : Part
    standing : Standing
    waits : bool
        It is kept aside until a person decides: it would change what this shop's own records say.
    why : str
        In words, empty for what is new or the same.
    """

    kind: str
    id: str
    version: str
    record: Part
    standing: Standing
    waits: bool
    why: str = ""

    @property
    def key(self) -> Key:
        """Kind and id."""
        return (self.kind, self.id)


@dataclass(frozen=True, slots=True)
class Came:
    """From which shop, in which parcel, signed or not, taken on which day."""

    shop: str
    parcel: str
    on: datetime.date
    signed: str = "not signed"


def compare(own: Collection, sent: Collection) -> tuple[Incoming, ...]:
    """What is new, the same, different or contradictory in another shop's records.

    Parameters
    ----------
    own : Collection
        What is in force here, with its asides.
    sent : Collection
        What the other shop sends; asides in it count as versions that are not in force there.

    Returns
    -------
    tuple of Incoming
        By kind and id, the version in force there first.
    """
    here = versions(own)
    foreign = unreviewed(own)
    contradicting = _contradicting(own, sent)
    found = []
    for kind, record_id, stamp, record, there in _sent(sent):
        key = (kind, record_id)
        known = here.get(key, {})
        if stamp in known:
            found.append(Incoming(*key, stamp, record, Standing.SAME, waits=False))
            continue
        against = contradicting.get(_about(kind, record), ())
        if known:
            why = _differs(kind, own.of_kind(kind).get(record_id), record)
            standing = Standing.CONTRADICTORY if against else Standing.DIFFERENT
            found.append(Incoming(*key, stamp, record, standing, waits=True, why=" ".join((why, *against))))
            continue
        waiting = _touches_own(own, foreign, kind, record)
        why = " ".join((*([waiting] if waiting else []), *against))
        standing = Standing.CONTRADICTORY if against else Standing.NEW
        found.append(Incoming(*key, stamp, record, standing, waits=bool(waiting) or not there, why=why))
    return tuple(found)


def additions(incoming: Iterable[Incoming], came: Came) -> tuple[tuple[str, Part], ...]:
    """What taking adds: what is in force at once, with a mark of origin, and what is put aside."""
    found: list[tuple[str, Part]] = []
    filled: set[Key] = set()
    for one in incoming:
        if one.standing is Standing.SAME:
            continue
        mark = mark_id(one.kind, one.id, one.version)
        of = Of(kind=one.kind, id=one.id, version=one.version)
        if one.waits or one.key in filled:
            aside = Aside(
                aside=mark,
                of=of,
                shop=came.shop,
                parcel=came.parcel,
                signed=came.signed,
                on=came.on,
                record=written(one.kind, one.record),
            )
            found.append(("aside", aside))
            continue
        filled.add(one.key)
        origin = Origin(
            origin=mark, of=of, shop=came.shop, parcel=came.parcel, signed=came.signed, on=came.on
        )
        found += [(one.kind, one.record), ("origin", origin)]
    return tuple(found)


def merged(own: Collection, added: Iterable[tuple[str, Part]]) -> Collection:
    """The collection with records added; what is there already stays as it is."""
    return in_force(collect([*own.records(), *added], own.lines))


def take(own: Collection, sent: Collection, came: Came) -> Collection:
    """Compare, add and merge in one step."""
    return merged(own, additions(compare(own, sent), came))


def _sent(sent: Collection) -> Iterator[tuple[str, str, str, Part, bool]]:
    """Kind, id, version, record and whether it is in force there, in a fixed order."""
    rows: list[tuple[str, str, bool, str, Part]] = []
    for kind, record in sent.records():
        if kind not in BOOKKEEPING:
            rows.append((kind, record.id, False, version(kind, record), record))
    for aside in sent.asides.values():
        held = record_of(aside)
        if held is not None:
            rows.append((aside.of.kind, aside.of.id, True, aside.of.version, held))
    seen: set[tuple[str, str, str]] = set()
    for kind, record_id, beside, stamp, part in sorted(rows, key=lambda row: row[:4]):
        if (kind, record_id, stamp) not in seen:
            seen.add((kind, record_id, stamp))
            yield kind, record_id, stamp, part, not beside


def _touches_own(own: Collection, foreign: frozenset[Key], kind: str, record: Any) -> str:
    """Why a new observation waits, in words; empty where it says nothing about what this shop stands for."""
    if kind not in OBSERVED:
        return ""
    replaces = (kind, record.replaces)
    if record.replaces and record.replaces in own.of_kind(kind) and replaces not in foreign:
        return f"It says that it replaces {record.replaces}."
    if kind == "weighing" and record.of in own.components and ("component", record.of) not in foreign:
        return f"It would count as a mass of {own.components[record.of].name}."
    if (
        kind == "choice"
        and record.component in own.components
        and ("component", record.component) not in foreign
    ):
        return f"It would decide which figure of {own.components[record.component].name} is used."
    return ""


def _about(kind: str, record: Any) -> str:
    if kind == "weighing":
        return str(record.of)
    if kind == "choice":
        return str(record.component)
    return str(record.id) if kind == "component" else ""


def _contradicting(own: Collection, sent: Collection) -> Mapping[str, tuple[str, ...]]:
    """By component, the sentences on figures that lie apart once both shops' figures stand together."""
    before = {finding.sentence for finding in _apart(own)}
    together: dict[str, list[str]] = {}
    for finding in _apart(_side_by_side(own, sent)):
        if finding.sentence not in before:
            together.setdefault(finding.about, []).append(finding.sentence)
    return {code: tuple(sentences) for code, sentences in together.items()}


def _apart(collection: Collection) -> Iterable[Finding]:
    return statements_apart(Evidence(collection))


def _side_by_side(own: Collection, sent: Collection) -> Collection:
    """Both shops' figures for each component, as if all of them were in force."""
    rows: list[tuple[str, Any]] = []
    for kind, record in own.records():
        other = sent.of_kind(kind).get(record.id)
        is_both = kind == "component" and other is not None
        rows.append((kind, with_masses_of(record, other) if is_both else record))
    return collect([*rows, *((k, r) for k, r in sent.records() if k not in BOOKKEEPING)])


def _differs(kind: str, own: Part | None, record: Part) -> str:
    """In which fields two versions differ, in words."""
    if own is None:
        return "Another version of it is kept aside here."
    mine, theirs = written(kind, own), written(kind, record)
    fields = sorted(key for key in {*mine, *theirs} if mine.get(key) != theirs.get(key))
    told = f"Differs in: {', '.join(fields)}."
    if kind in OBSERVED:
        told += " An observation is never edited; one of the two was."
    return told
