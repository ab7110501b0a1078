"""What came from another shop, and what people here decided about it: marks beside records, never in them."""

from __future__ import annotations

import datetime
import hashlib
import json
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

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
    id: Id
    version: Version


class Origin(Part):
    """From which shop and in which parcel one version of one record came."""

    origin: Id
    of: Of
    shop: Id
    parcel: Id
    signed: Line | None = None
    on: Date

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.origin


class Aside(Part):
    """A version of a record that is kept but not in force: another shop's, or one that waits for a person."""

    aside: Id
    of: Of
    shop: Id | None = None
    parcel: Id | None = None
    signed: Line | None = None
    on: Date
    record: dict[str, Any]

    @model_validator(mode="after")
    def _says_what_it_holds(self) -> Aside:
        found = version_of(self.record)
        if found != self.of.version:
            raise ValueError(
                f"'record' was edited: its version is {found}, not {self.of.version}; "
                "put the text back, or write the change as a record of your own"
            )
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.aside


class Review(Part):
    """What a person decided about a version that came from elsewhere, and why.

    `over` names the other versions that lay beside it when the person chose: a version that turns up
    later is a new question.
    """

    review: Id
    of: Of
    decision: Decision
    over: tuple[Version, ...] = ()
    by: Line
    shop: Id | None = None
    on: Date
    reason: Text

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.review


class Pairing(Part):
    """Two ids of components that a person found to be one and the same thing."""

    pairing: Id
    keep: Id
    same: Id
    by: Line
    on: Date
    reason: Text

    @model_validator(mode="after")
    def _two(self) -> Pairing:
        if self.keep == self.same:
            raise ValueError("'keep' and 'same' are two different ids; leave the pairing out")
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.pairing


def mark_id(kind: str, record_id: str, version: str) -> str:
    """The id of the mark of one version: the same in every shop, however it got there."""
    return version_of({"kind": kind, "id": record_id, "version": version})


def decided_at(review: Review) -> tuple[datetime.date, str]:
    """Reviews in the order they were made: by day, then by their time-ordered id."""
    return (review.on, review.review)
