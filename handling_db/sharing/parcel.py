"""A parcel: a zip file of record files and a manifest, which one shop sends another. Limits and parts."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.findings import Finding
from handling_db.records.collection import Collection
from handling_db.sharing.manifest import Manifest
from handling_db.sharing.sign import Signature

MAX_PARCEL_BYTES = 200_000_000
MAX_ENTRIES = 20_000
MAX_RECORD_BYTES = 4_000_000
MAX_UNPACKED_BYTES = 250_000_000
MAX_RATIO = 200  # text packs by ten or twenty; a bomb by a thousand
MAX_NAME = 200
MAX_NODES = 1_000_000  # values and keys of all record files: some 400 MB in memory

SIGNATURE = "signature.json"
RECORD_ENDINGS = (".yml",)


@dataclass(frozen=True, slots=True)
class Parcel:
    """A parcel whose every file was checked and read.

    Parameters
    ----------
    file : str
        As it was given.
    manifest : Manifest
    collection : Collection
        Its records, with asides for versions that are not in force at the sender.
    files : tuple of (str, bytes)
        Record files by name.
    pictures : tuple of (str, bytes)
        Photographs and pages by name; each name is the SHA-256 of its content.
    signature : Signature, optional
        None where it is not signed.
    signed : str
        In words: ``not signed``, or by which key.
    """

    file: str
    manifest: Manifest
    collection: Collection
    files: tuple[tuple[str, bytes], ...]
    pictures: tuple[tuple[str, bytes], ...] = ()
    signature: Signature | None = None
    signed: str = "not signed"


@dataclass(frozen=True, slots=True)
class ParcelReading:
    """A parcel, or everything that is wrong with it; never both."""

    parcel: Parcel | None
    findings: tuple[Finding, ...]
