"""Field types that records share: texts with units, counts, dates, ids, three-valued fields."""

from __future__ import annotations

import datetime
import hashlib
import json
import re
from collections.abc import Iterable
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    PlainSerializer,
    PlainValidator,
    WithJsonSchema,
)

from handling_db.records.last_worked import LastWorked
from handling_db.records.parts.patterns import NOBODY_LOOKED, NONE, plain_text, serialise_or_none


class Part(BaseModel):
    """A mapping inside a record: frozen, unknown keys refused, names written with spaces."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        alias_generator=lambda name: name.rstrip("_").replace("_", " "),
        str_strip_whitespace=True,
        serialize_by_alias=True,
        defer_build=True,  # what checks a record is made for the kinds that are read, when the first is
    )

    def as_written(self) -> dict[str, Any]:
        """The fields that were given, as plain text, lists and mappings."""
        return self.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True)


def short_id(written: Any) -> str:
    """First 12 hex digits of the SHA-256 of a value's canonical text; the id of what carries none."""
    return hashlib.sha256(canonical(written).encode()).hexdigest()[:12]


_short_ids: LastWorked[str] = LastWorked(2048)  # each is asked for by a dozen rules


def id_within(part: Part, whose: str, of: str) -> str:
    """The id of a part of a record that carries none: from its text and from whose it is.

    Parameters
    ----------
    part : Part
    whose, of : str
        What kind of record it stands in, and the id of that.
    """
    kept = _short_ids.get((part,), whose, of)
    if kept is None:
        kept = _short_ids.keep(short_id({whose: of, **part.as_written()}), (part,), whose, of)
    return kept


def canonical(value: Any) -> str:
    """One text for one value, and another for every other: JSON with sorted keys and no spaces."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), default=str)


def refuse_twice(what: str, ids: Iterable[str]) -> None:
    """Refuse two things of one record that go by the same id.

    Raises
    ------
    ValueError
        Two of them do.
    """
    seen: set[str] = set()
    for one in ids:
        if one in seen:
            raise ValueError(f"two {what} go by {one!r}; give one another id")
        seen.add(one)


def _id(value: str) -> str:
    if not value or not value.isprintable() or value != " ".join(value.split()):
        raise ValueError(
            f"{value!r} has odd spaces or control characters; write a plain id such as gear-section"
        )
    return value


Id = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_id)]


def _ids(value: Any) -> tuple[str, ...]:
    if isinstance(value, list | tuple) and value and all(isinstance(item, str) for item in value):
        return tuple(_id(item) for item in value)
    raise ValueError("write a list of ids, such as [parking-brake]")


def _ids_or(*words: str) -> tuple[Any, ...]:
    def read(value: Any) -> Any:
        if value is None or value == NOBODY_LOOKED:
            return None
        if value in words:
            return value
        if isinstance(value, str):
            told = " or ".join(repr(word) for word in words)
            raise ValueError(
                f"{value!r}: write {told}, a list of ids, or leave the field out (nobody looked)"
            )
        return _ids(value)

    schema = {
        "anyOf": [
            {"enum": [*words, NOBODY_LOOKED]},
            {"type": "array", "items": {"type": "string"}, "minItems": 1},
        ]
    }
    return (PlainValidator(read), PlainSerializer(serialise_or_none), WithJsonSchema(schema))


Counts = Annotated[Literal["as listed"] | tuple[str, ...] | None, *_ids_or("as listed")]
Without = Annotated[Literal["none"] | tuple[str, ...] | None, *_ids_or(NONE)]


# Control characters, halves of surrogate pairs, and breaks of lines and paragraphs: Unicode's Cc, Cs, Zl, Zp.
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\u2028\u2029]")


def _line(value: str) -> str:
    if _CONTROL.search(value):
        raise ValueError(f"{value!r} has a line break or a control character in it; write it on one line")
    return value


def _paragraphs(value: str) -> str:
    if any(sign not in "\n\t" for sign in _CONTROL.findall(value)):
        raise ValueError(f"{value!r} has a control character in it; write plain text")
    return value


Text = Annotated[str, Field(min_length=1, max_length=4000), AfterValidator(_paragraphs)]
Line = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_line)]


def _date(value: Any) -> datetime.date:
    if isinstance(value, datetime.date):
        return value
    text = plain_text(value).strip()
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
        try:
            return datetime.date.fromisoformat(text)
        except ValueError:
            pass
    raise ValueError(f"{text!r} is not a date; write year-month-day, such as 2026-03-09")


Date = Annotated[
    datetime.date,
    PlainValidator(_date),
    PlainSerializer(lambda day: day.isoformat(), return_type=str),
    WithJsonSchema({"type": "string", "format": "date"}),
]

_SERIAL = re.compile(r"\d{1,12}", re.ASCII)


def _serial(value: Any) -> int:
    if isinstance(value, int):
        return value
    text = plain_text(value).strip()
    if not _SERIAL.fullmatch(text):
        raise ValueError(f"{text!r} is not a serial number in digits; write it as 1187")
    return int(text)


_PIECES = re.compile(r"[0-9]{1,6}", re.ASCII)


def _pieces(value: Any) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    text = plain_text(value).strip()
    if not _PIECES.fullmatch(text) or int(text) < 2:
        raise ValueError(f"{text!r} is not how many were weighed together; write a whole number from 2 up")
    return int(text)


Together = Annotated[
    int,
    PlainValidator(_pieces),
    PlainSerializer(str, return_type=str),
    WithJsonSchema({"type": "string", "pattern": "^[0-9]{1,6}$", "examples": ["4"]}),
]
Serial = Annotated[
    int,
    PlainValidator(_serial),
    PlainSerializer(str, return_type=str),
    WithJsonSchema({"type": "string", "pattern": "^[0-9]{1,12}$"}),
]


State = Literal["dry", "drained", "filled"]
STATES: tuple[State, ...] = ("dry", "drained", "filled")
