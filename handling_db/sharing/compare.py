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

from handling_db.checker import check
from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.contradictions import statements_apart
from handling_db.files.joined import joined, with_masses_of
from handling_db.findings import Finding, Verdict
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.origin import BOOKKEEPING, Aside, Of, Origin, mark_id
from handling_db.records.parts.texts import Part
from handling_db.records.versions import OBSERVED, Key, record_of, unreviewed, versions
from handling_db.records.waiting import reasons_to_wait
from handling_db.records.written import version, written


class VersionStanding(StrEnum):
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
    standing : VersionStanding
    waits : bool
        It is kept aside until a person decides: it would change what this shop's own records say.
    why : str
        In words, empty for what is new or the same.
    """

    kind: str
    id: str
    version: str
    record: Part
    standing: VersionStanding
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


def compare(own: Collection, sent: Collection, *, doubt: str = "") -> tuple[Incoming, ...]:
    """What is new, the same, different or contradictory in another shop's records.

    Parameters
    ----------
    own : Collection
        What is in force here, with its asides.
    sent : Collection
        What the other shop sends; asides in it count as versions that are not in force there.
    doubt : str
        Why the parcel may not be from whom it says; with a doubt every record of it waits.

    Returns
    -------
    tuple of Incoming
        By kind and id, the version in force there first.
    """
    here = versions(own)
    contradicting = _contradicting(own, sent)
    rows = [*_sent(sent)]
    new = {
        (kind, code): record for kind, code, _, record, there in rows if there and (kind, code) not in here
    }
    waiting = {} if doubt else held_back(own, new)
    found = []
    for kind, record_id, stamp, record, there in rows:
        key = (kind, record_id)
        known = here.get(key, {})
        if stamp in known:
            found.append(Incoming(*key, stamp, record, VersionStanding.SAME, waits=False))
            continue
        against = contradicting.get(_about(kind, record), ())
        if known:
            why = _differs(kind, own.of_kind(kind).get(record_id), record)
            standing = VersionStanding.CONTRADICTORY if against else VersionStanding.DIFFERENT
            found.append(Incoming(*key, stamp, record, standing, waits=True, why=" ".join((why, *against))))
            continue
        reason = waiting.get(key, "")
        why = " ".join((*([reason] if reason else []), *against))
        standing = VersionStanding.CONTRADICTORY if against else VersionStanding.NEW
        waits = bool(reason or doubt) or not there
        found.append(Incoming(*key, stamp, record, standing, waits=waits, why=why))
    return tuple(found)


def held_back(own: Collection, new: Mapping[Key, Any]) -> dict[Key, str]:
    """Which new records of another shop may not be in force yet, each with a sentence on why.

    Those that would change an answer about something of ours, and those with which the checker would find a
    fault that it does not find without them: a fault stops every build.

    Parameters
    ----------
    own : Collection
    new : mapping of (kind, id) to record
        None of them is here in any version.
    """
    foreign = {*unreviewed(own), *new}
    together = collect([*own.records(), *((kind, record) for (kind, _), record in new.items())])
    waiting = reasons_to_wait(together, foreign)
    before: dict[tuple[str, str, str], Finding] | None = None
    while True:
        waiting = {key: why for key, why in waiting.items() if key in new}
        left = {key: record for key, record in new.items() if key not in waiting}
        if not left:
            return waiting
        tried = collect([*own.records(), *_as_asides(waiting, new), *_as_taken(left)])
        faults = faults_here(tried)
        if faults and before is None:
            before = faults_here(own)
        faults = {at: fault for at, fault in faults.items() if at not in (before or {})}
        if not faults:
            return waiting
        blamed = {about: sentence for _, about, sentence in faults}
        theirs = {key: f"It has a fault: {blamed[key[1]]}" for key in left if key[1] in blamed}
        # A fault of a record of ours that only comes with the parcel: all that is left of it waits.
        _, _, said = next(iter(faults))
        theirs = theirs or dict.fromkeys(left, f"With it a record of ours would have a fault: {said}")
        waiting |= theirs
        rest = reasons_to_wait(
            collect([*own.records(), *_as_asides(waiting, new), *_as_taken(left)]),
            {key for key in foreign if key not in waiting},
        )
        waiting |= {key: why for key, why in rest.items() if key in left}


_NO_DAY = datetime.date(1980, 1, 1)  # of marks that are tried and thrown away


def _as_taken(records: Mapping[Key, Any]) -> Iterator[tuple[str, Any]]:
    """Records as they would stand here, each with the mark that it came from elsewhere."""
    for (kind, record_id), record in records.items():
        stamp = version(kind, record)
        of = Of(kind=kind, id=record_id, version=stamp)
        mark = mark_id(kind, record_id, stamp)
        yield kind, record
        yield "origin", Origin(origin=mark, of=of, shop="elsewhere", parcel="tried", on=_NO_DAY)


def _as_asides(waiting: Iterable[Key], new: Mapping[Key, Any]) -> Iterator[tuple[str, Any]]:
    """Records that wait, as the marks they would be kept as: what names one of them waits as well."""
    for kind, record_id in waiting:
        record = new[kind, record_id]
        stamp = version(kind, record)
        of = Of(kind=kind, id=record_id, version=stamp)
        mark = mark_id(kind, record_id, stamp)
        yield "aside", Aside(aside=mark, of=of, on=_NO_DAY, record=written(kind, record))


def faults_here(collection: Collection) -> dict[tuple[str, str, str], Finding]:
    """Faults of these records once every pairing is carried out, by rule, record and sentence."""
    together, found = joined(collection)
    return {
        (finding.rule, finding.about, finding.sentence): finding
        for finding in (*found, *check(together))
        if finding.verdict is Verdict.FAULT
    }


def additions(incoming: Iterable[Incoming], came: Came) -> tuple[tuple[str, Part], ...]:
    """What taking adds: what is in force at once, with a mark of origin, and what is put aside."""
    found: list[tuple[str, Part]] = []
    filled: set[Key] = set()
    for one in incoming:
        if one.standing is VersionStanding.SAME:
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


def _about(kind: str, record: Any) -> str:
    if kind == "weighing":
        return str(record.of)
    if kind == "choice":
        return str(record.component)
    return str(record.id) if kind == "component" else ""


def _contradicting(own: Collection, sent: Collection) -> Mapping[str, tuple[str, ...]]:
    """By component, the sentences on figures that lie apart once both shops' figures stand together."""
    before = {(finding.about, finding.sentence) for finding in _apart(own)}
    together: dict[str, list[str]] = {}
    for finding in _apart(_side_by_side(own, sent)):
        if (finding.about, finding.sentence) not in before:
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
