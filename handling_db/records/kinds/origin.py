"""What came from another shop, and what people here decided about it: marks beside records, never in them."""

from __future__ import annotations

import datetime
import hashlib
import json
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from handling_db.records.parts.common import Recorded
from handling_db.records.parts.texts import Date, Id, Line, Part, Text

Decision = Literal["accept", "refuse", "add its masses"]
DECISIONS: tuple[str, ...] = Decision.__args__  # type: ignore[attr-defined]

# These say what happened in one shop, and stay there.
BOOKKEEPING = frozenset({"origin", "aside", "review", "pairing"})


def version_of(written: dict[str, Any]) -> str:
    """The version of a record: 32 hex digits of the SHA-256 of its plain values, the order of keys aside."""
    text = json.dumps(written, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def _version(value: str) -> str:
    if len(value) != 32 or set(value) - set("0123456789abcdef"):
        raise ValueError(
            f"{value!r} is not a version; it has 32 digits 0-9 and a-f, as the program writes it"
        )
    return value


Version = Annotated[str, Field(max_length=64), AfterValidator(_version)]


class Of(Part):
    """Which version of which record something is about."""

    kind: Id
    """kind of the record"""
    id: Id
    """its id"""
    version: Version
    """its version"""


class Origin(Recorded):
    """From which shop and in which parcel one version of one record came."""

    origin: Id
    """its id"""
    of: Of
    """which version of which record"""
    shop: Id
    """from which shop it came"""
    parcel: Id
    """in which parcel"""
    signed: Line | None = None
    """whether and by whose key that parcel was signed"""
    on: Date
    """on which day it was taken in"""


class Aside(Recorded):
    """A version of a record that is kept but not in force: another shop's, or one that waits for a person."""

    aside: Id
    """its id"""
    of: Of
    """which version of which record"""
    shop: Id | None = None
    """from which shop it came"""
    parcel: Id | None = None
    """in which parcel"""
    signed: Line | None = None
    """whether and by whose key that parcel was signed"""
    on: Date
    """on which day"""
    record: dict[str, Any]
    """the record itself, kept but not in force"""

    @model_validator(mode="after")
    def _says_what_it_holds(self) -> Aside:
        found = version_of(self.record)
        if found != self.of.version:
            raise ValueError(
                f"'record' was edited: its version is {found}, not {self.of.version}; "
                "put the text back, or write the change as a record of your own"
            )
        return self


class Review(Recorded):
    """What a person decided about a version that came from elsewhere, and why.

    `over` names the other versions that lay beside it when the person chose: a version that turns up
    later is a new question.
    """

    review: Id
    """its id"""
    of: Of
    """which version of which record"""
    decision: Decision
    """`accept`, `refuse` or `add its masses`"""
    over: tuple[Version, ...] = ()
    """versions that lay beside it; one that turns up later is a new question"""
    by: Line
    """whose role decided"""
    shop: Id | None = None
    """in which shop"""
    on: Date
    """on which day"""
    reason: Text
    """why, in a sentence"""


class Pairing(Recorded):
    """Two ids of components that a person found to be one and the same thing."""

    pairing: Id
    """its id"""
    keep: Id
    """the id that is kept"""
    same: Id
    """the other id for the same thing"""
    by: Line
    """whose role said so"""
    on: Date
    """on which day"""
    reason: Text
    """how that is known"""

    @model_validator(mode="after")
    def _two(self) -> Pairing:
        if self.keep == self.same:
            raise ValueError("'keep' and 'same' are two different ids; leave the pairing out")
        return self


def mark_id(kind: str, record_id: str, version: str) -> str:
    """The id of the mark of one version: the same in every shop, however it got there."""
    return version_of({"kind": kind, "id": record_id, "version": version})


def decided_at(review: Review) -> tuple[datetime.date, str]:
    """Reviews in the order they were made: by day, then by their time-ordered id."""
    return (review.on, review.review)
