"""Which version of each record is in force, which lie beside it, and what a person still has to look at.

Versions are only ever added, and reviews too. What is in force follows from both, so two collections that
hold the same versions and the same reviews hold the same records in force, however they came by them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from pydantic import ValidationError

from handling_db.records.collection import KINDS, Collection, Lines, collect
from handling_db.records.kinds.origin import BOOKKEEPING, Aside, Of, Review, decided_at, mark_id
from handling_db.records.parts.texts import Part
from handling_db.records.waiting import reasons_to_wait
from handling_db.records.written import version, written

Key = tuple[str, str]

# Written once and replaced by reference; everything else is edited, and two versions of it are two opinions.
OBSERVED = frozenset({"weighing", "note", "choice"})


class Wait(StrEnum):
    """Why a person has to look at a version."""

    UNREVIEWED = "not yet reviewed"
    WAITS = "waits for review"
    OTHER = "other version"


@dataclass(frozen=True, slots=True)
class OpenVersion:
    """One version that nobody here has decided about.

    Parameters
    ----------
    kind, id, version : str
    wait : Wait
        In force and marked; kept aside with nothing in force; or beside another version that is in force.
    shop, parcel : str
        Where it came from; empty for a version of this shop that was put aside.
    signed : str
        In words, as it was when it was taken; empty for this shop's own.
    record : Part
    """

    kind: str
    id: str
    version: str
    wait: Wait
    shop: str
    parcel: str
    signed: str
    record: Part


def record_of(aside: Aside) -> Part | None:
    """The record that an aside holds, or None where the reader of its kind refuses it."""
    model = KINDS.get(aside.of.kind)
    if model is None or aside.of.kind in BOOKKEEPING:
        return None
    try:
        record = model.model_validate(aside.record)
    except ValidationError:
        return None
    return record if record.id == aside.of.id else None


def versions(collection: Collection) -> dict[Key, dict[str, Part]]:
    """Every version of every record, in force or aside; the marks themselves left out."""
    found: dict[Key, dict[str, Part]] = {}
    for kind, record in collection.records():
        if kind not in BOOKKEEPING:
            found.setdefault((kind, record.id), {})[version(kind, record)] = record
    for _, aside in sorted(collection.asides.items()):
        held = record_of(aside)
        if held is not None:
            found.setdefault((aside.of.kind, aside.of.id), {}).setdefault(aside.of.version, held)
    return found


def reviews_of(collection: Collection) -> Mapping[Key, tuple[Review, ...]]:
    """What was decided about each record, the earliest first."""
    found: dict[Key, list[Review]] = {}
    for review in sorted(collection.reviews.values(), key=decided_at):
        found.setdefault((review.of.kind, review.of.id), []).append(review)
    return {key: tuple(reviews) for key, reviews in found.items()}


def chosen(own: str | None, held: Iterable[str], reviews: Iterable[Review]) -> str | None:
    """The version in force.

    Parameters
    ----------
    own : str or None
        The version that stands in the collection as a record of its own.
    held : versions kept aside
    reviews : iterable of Review
        Of this record, the earliest first.

    Returns
    -------
    str or None
        The version a person accepted last, unless the own one was changed after that; else the own one,
        unless it was refused; else none.
    """
    known = {*held} | ({own} if own else set())
    accepted: Review | None = None
    refused: set[str] = set()
    for review in reviews:
        if review.decision == "accept":
            accepted = review
            refused.discard(review.of.version)
        elif review.decision == "refuse":
            refused.add(review.of.version)
            if accepted is not None and accepted.of.version == review.of.version:
                accepted = None
    if accepted is not None and accepted.of.version in known:
        looked_at = {accepted.of.version, *accepted.over}
        if own is None or own in looked_at:
            return accepted.of.version
    return own if own is not None and own not in refused else None


def in_force(collection: Collection) -> Collection:
    """The collection with the accepted versions in force, the refused ones and those that wait out of it.

    Whatever gives way is kept as an aside, so that nothing is lost and asking again gives the same.
    """
    if not collection.asides and not collection.reviews and not collection.origins:
        return collection
    return _held_back(_decided(collection))


def _held_back(collection: Collection) -> Collection:
    """What came from elsewhere and would change an answer about something of ours is put aside."""
    waits = reasons_to_wait(collection, unreviewed(collection))
    if not waits:
        return collection
    marks = {(o.of.kind, o.of.id, o.of.version): o for o in collection.origins.values()}
    lines = dict(collection.lines)
    rows: list[tuple[str, Any]] = []
    for kind, record in collection.records():
        key = (kind, record.id)
        if key not in waits:
            rows.append((kind, record))
            continue
        stamp = version(kind, record)
        origin = marks[kind, record.id, stamp]
        aside = Aside(
            aside=mark_id(kind, record.id, stamp),
            of=origin.of,
            shop=origin.shop,
            parcel=origin.parcel,
            signed=origin.signed,
            on=origin.on,
            record=written(kind, record),
        )
        rows.append(("aside", aside))
        if key in lines:
            lines.setdefault(("aside", aside.aside), lines.pop(key))
    return collect(rows, lines)


def _decided(collection: Collection) -> Collection:
    """The collection as people here decided it."""
    reviews = reviews_of(collection)
    asides: dict[Key, dict[str, Aside]] = {}
    for _, aside in sorted(collection.asides.items()):
        if record_of(aside) is not None:
            asides.setdefault((aside.of.kind, aside.of.id), {})[aside.of.version] = aside
    records: dict[Key, Any] = {(kind, record.id): record for kind, record in collection.records()}
    lines = dict(collection.lines)
    for key in sorted({*asides, *reviews}):
        kind, record_id = key
        own = records.get(key)
        own_version = version(kind, own) if own is not None else None
        held = asides.get(key, {})
        winner = chosen(own_version, held, reviews.get(key, ()))
        if winner == own_version:
            continue
        if own is not None and own_version is not None:
            settled = reviews[key][-1]
            mark = mark_id(kind, record_id, own_version)
            of = Of(kind=kind, id=record_id, version=own_version)
            put_aside = Aside(aside=mark, of=of, on=settled.on, record=written(kind, own))
            records.setdefault(("aside", mark), put_aside)
            if key in lines:
                lines.setdefault(("aside", mark), lines[key])
            del records[key]
            lines.pop(key, None)
        if winner is not None:
            records[key] = record_of(held[winner])
            place = collection.lines.get(("aside", held[winner].aside))
            if place is not None:
                lines[key] = _inside(place)
    return collect(((kind, record) for (kind, _), record in records.items()), lines)


def _inside(lines: Lines) -> Lines:
    """The lines of the record that an aside holds."""
    at = {path[1:]: line for path, line in lines.at.items() if path[:1] == ("record",)}
    return Lines(lines.file, at)


def questions(collection: Collection) -> tuple[OpenVersion, ...]:
    """Every version that came from elsewhere and that nobody here has decided about, by kind and id."""
    return tuple(sorted(_questions(collection), key=lambda q: (_ORDER[q.wait], q.kind, q.id, q.version)))


_ORDER = {Wait.WAITS: 0, Wait.OTHER: 1, Wait.UNREVIEWED: 2}


def _questions(collection: Collection) -> Iterator[OpenVersion]:
    reviews = reviews_of(collection)
    for _, aside in sorted(collection.asides.items()):
        key = (aside.of.kind, aside.of.id)
        held = record_of(aside)
        if held is None or decided(aside.of.version, reviews.get(key, ())):
            continue
        own = collection.of_kind(aside.of.kind).get(aside.of.id)
        if own is not None and version(aside.of.kind, own) == aside.of.version:
            continue
        wait = Wait.WAITS if own is None else Wait.OTHER
        sent = (aside.shop or "", aside.parcel or "", aside.signed or "")
        yield OpenVersion(*key, aside.of.version, wait, *sent, held)
    for _, origin in sorted(collection.origins.items()):
        key = (origin.of.kind, origin.of.id)
        own = collection.of_kind(origin.of.kind).get(origin.of.id)
        if own is None or version(origin.of.kind, own) != origin.of.version:
            continue  # changed here since: it is this shop's own now
        if not decided(origin.of.version, reviews.get(key, ())):
            sent = (origin.shop, origin.parcel, origin.signed or "")
            yield OpenVersion(*key, origin.of.version, Wait.UNREVIEWED, *sent, own)


def decided(asked: str, reviews: Iterable[Review]) -> bool:
    """Whether a person decided about a version, or chose another with this one in sight."""
    return any(asked == review.of.version or asked in review.over for review in reviews)


def unreviewed(collection: Collection) -> frozenset[Key]:
    """Records that are in force here though nobody here has looked at them."""
    return frozenset((q.kind, q.id) for q in _questions(collection) if q.wait is Wait.UNREVIEWED)


def came_from(collection: Collection) -> dict[Key, str]:
    """The standing of every record in force that came from another shop, in words for a page.

    ``from low-tarrowby (not signed), not yet reviewed``, ``from low-tarrowby (signed by key of low-tarrowby),
    accepted by foreman on 2026-11-25``.
    """
    reviews = reviews_of(collection)
    found = {}
    marks = [(o.of, o.shop, o.signed) for _, o in sorted(collection.origins.items())]
    marks += [(a.of, a.shop, a.signed) for _, a in sorted(collection.asides.items()) if a.shop]
    for of, shop, signed in marks:
        own = collection.of_kind(of.kind).get(of.id) if of.kind in KINDS else None
        if own is None or version(of.kind, own) != of.version:
            continue
        settled = [r for r in reviews.get((of.kind, of.id), ()) if of.version in (r.of.version, *r.over)]
        last = settled[-1] if settled else None
        told = f"accepted by {last.by} on {last.on.isoformat()}" if last else Wait.UNREVIEWED
        found[of.kind, of.id] = f"from {shop} ({signed or 'not signed'}), {told}"
    return found
