"""What a parcel says about itself: who sends it, when, which files, what it builds on."""

from __future__ import annotations

import hashlib
import json
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from handling_db.errors import HandlingError
from handling_db.records.kinds.origin import Of
from handling_db.records.parts.texts import Date, Id, Line

NAME = "manifest.json"
FORMAT = "handling-db parcel"
FORMAT_VERSION = 1
MAX_BYTES = 8_000_000


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]


class FileLine(_Strict):
    """One file of the parcel with its size and checksum."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    bytes: Annotated[int, Field(ge=0)]
    sha256: Sha256


class Manifest(_Strict):
    """The first thing to read of a parcel.

    Parameters
    ----------
    sender : str
        Id of the shop that sends it.
    by : str
        Role of the person who made it.
    on : date
    about : str
        In words: a component, the news since a day, everything.
    files : tuple of FileLine
        Every file but this one and its signature, by name.
    builds_on : tuple of Of
    """

    format: Literal["handling-db parcel"]
    version: Literal[1]
    sender: Id
    by: Line
    on: Date
    about: Line
    files: tuple[FileLine, ...]
    builds_on: tuple[Of, ...] = ()

    def text(self) -> str:
        """As it stands in the parcel; the same manifest always gives the same text."""
        return json.dumps(self.model_dump(mode="json"), indent=1, sort_keys=True, ensure_ascii=False) + "\n"

    @property
    def id(self) -> str:
        """Id of the parcel: the first 16 hex digits of the SHA-256 of its manifest."""
        return hashlib.sha256(self.text().encode()).hexdigest()[:16]


class ManifestError(HandlingError):
    """A manifest that cannot be read; the message is a sentence on why."""


def read_manifest(data: bytes) -> Manifest:
    """Read a manifest, believing nothing.

    Raises
    ------
    ManifestError
        Not JSON, another format, another version, or a field that is missing or wrong.
    """
    try:
        value: Any = json.loads(data.decode("utf-8"), object_pairs_hook=_no_doubles)
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise ManifestError(f"its manifest is not JSON ({error})") from None
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise ManifestError(f"its manifest does not say 'format': '{FORMAT}'")
    if value.get("version") != FORMAT_VERSION:
        raise ManifestError(
            f"it has format version {value.get('version')!r}, and this program reads {FORMAT_VERSION}; "
            "update the older of the two programs"
        )
    try:
        return Manifest.model_validate(value)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(step) for step in first["loc"])
        raise ManifestError(f"its manifest is wrong at {where}: {first['msg']}") from None


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    value = dict(pairs)
    if len(value) != len(pairs):
        raise ValueError("a key is given twice")
    return value
