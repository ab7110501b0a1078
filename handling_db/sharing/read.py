"""Reading a parcel from a shop one has reason to doubt: bounded, and whole or not at all.

Nothing is unpacked to disk. Every entry's name, kind and size is looked at before any content, every
content against its checksum before any record, and every record before anything is said of the parcel.
"""

from __future__ import annotations

import hashlib
import re
import stat
import struct
import unicodedata
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from handling_db.errors import HandlingError
from handling_db.files.pictures import MAX_PICTURE_BYTES, PICTURE_ENDINGS, PICTURES
from handling_db.files.reading import read_texts
from handling_db.findings import Finding, Place, fault
from handling_db.records.kinds.origin import BOOKKEEPING, Aside
from handling_db.sharing import manifest as manifest_file
from handling_db.sharing.manifest import Manifest, ManifestError, read_manifest
from handling_db.sharing.parcel import (
    MAX_ENTRIES,
    MAX_NAME,
    MAX_NODES,
    MAX_PARCEL_BYTES,
    MAX_RATIO,
    MAX_RECORD_BYTES,
    MAX_UNPACKED_BYTES,
    RECORD_ENDINGS,
    SIGNATURE,
    Parcel,
    ParcelReading,
)
from handling_db.sharing.senders import look_at_sender, odd_name
from handling_db.sharing.sign import read_signature

# How a parcel's zip file is laid out: its entries one after the other, the list of them, and nothing else.
#
# A zip file may carry bytes before, between and after its entries that one reader sees and another does not.
# A parcel has none: whatever is in the file is in the manifest.

# Sizes and signatures from the published format: local header, central directory, its end.
_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s6H3L5H2L")
_END = struct.Struct("<4s4H2LH")
_DESCRIBED_LATER = 0x8  # sizes stand behind the content


def stray_bytes(stream: BinaryIO, size: int, entries: Sequence[zipfile.ZipInfo]) -> str:
    """What in a zip file belongs to no entry, in words; empty where every byte has its place.

    Parameters
    ----------
    stream : binary file
    size : int
        Of the whole file. [bytes]
    entries : sequence of ZipInfo
        As the central directory lists them.
    """
    at = 0
    for entry in sorted(entries, key=lambda one: one.header_offset):
        if entry.header_offset != at:
            return f"it holds bytes that belong to none of its files, before {entry.orig_filename!r}"
        stream.seek(at)
        head = stream.read(_LOCAL.size)
        if len(head) < _LOCAL.size:
            return "it ends in the middle of a file"
        fields = _LOCAL.unpack(head)
        name_length, extra_length = fields[9], fields[10]
        raw = stream.read(name_length)
        if raw != _raw_name(entry):
            return f"{entry.orig_filename!r} has another name beside its content than in the list of files"
        if entry.flag_bits & _DESCRIBED_LATER:
            return f"{entry.orig_filename!r} is packed in a way that is not read (its size stands behind it)"
        at += _LOCAL.size + name_length + extra_length + entry.compress_size
    return _end(stream, size, at, len(entries))


def _raw_name(entry: zipfile.ZipInfo) -> bytes:
    # Bit 11: the name is UTF-8; without it a zip file's names are in code page 437.
    return entry.orig_filename.encode("utf-8" if entry.flag_bits & 0x800 else "cp437")


def _end(stream: BinaryIO, size: int, at: int, count: int) -> str:
    """The list of files follows the last one at once, and the end of the file follows the list."""
    stream.seek(at)
    for _ in range(count):
        head = stream.read(_CENTRAL.size)
        if len(head) < _CENTRAL.size or head[:4] != b"PK\x01\x02":
            return "it holds bytes that belong to none of its files, before the list of them"
        fields = _CENTRAL.unpack(head)
        stream.seek(fields[10] + fields[11] + fields[12], 1)
    last = stream.read(_END.size)
    if len(last) < _END.size or last[:4] != b"PK\x05\x06":
        return "it holds bytes that belong to none of its files, after the list of them"
    fields = _END.unpack(last)
    if fields[7] or stream.tell() != size:
        return "bytes were appended to it after it was made"
    return ""


_NOTHING_TAKEN = "nothing was taken from it; ask the sender for a new one."
_ARCHIVES = (
    b"PK\x03\x04",
    b"PK\x05\x06",
    b"\x1f\x8b",
    b"7z\xbc\xaf",
    b"Rar!",
    b"\xfd7zXZ",
    b"BZh",
    b"\x28\xb5\x2f\xfd",
)
# What zipfile and zlib raise on bytes that are no good.
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError, RuntimeError)
_PICTURE_STARTS = {
    ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",),
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".webp": (b"RIFF",),
    ".pdf": (b"%PDF-",),
}
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)


class _Damaged(HandlingError):
    """A parcel that cannot be read on; the message is what is wrong with it."""


def open_parcel(path: Path, keys: Mapping[bytes, str] | None = None) -> ParcelReading:
    """Read and check a whole parcel.

    Parameters
    ----------
    path : Path
        A zip file of at most 200 MB.
    keys : mapping of public key to shop, optional
        Keys that were exchanged by hand, to say whose signature a parcel has.

    Returns
    -------
    ParcelReading
        The parcel, or every fault that was found; a parcel with any fault is not read.

    Raises
    ------
    HandlingError
        There is no such file.
    """
    if not path.is_file():
        raise HandlingError(f"{path}: no such file")
    said = _Said(str(path))
    if path.stat().st_size > MAX_PARCEL_BYTES:
        said.parcel(f"it is larger than {MAX_PARCEL_BYTES // 1_000_000} MB")
        return ParcelReading(None, said.findings())
    try:
        with path.open("rb") as start:
            if start.read(4) != b"PK\x03\x04":
                said.parcel("it is no parcel: a parcel is a zip file")
                return ParcelReading(None, said.findings())
        with path.open("rb") as stream, zipfile.ZipFile(stream) as packed:
            stray = stray_bytes(stream, path.stat().st_size, packed.infolist())
            parcel = _read(packed, said, keys or {})
            if stray and not said.findings():
                said.parcel(stray)
    except HandlingError as error:
        said.parcel(str(error))
        parcel = None
    except _BROKEN as error:
        said.parcel(f"it is damaged ({str(error) or type(error).__name__})")
        parcel = None
    findings = said.findings()
    return ParcelReading(None if findings else parcel, findings)


class _Said:
    """Collects what is wrong with one parcel."""

    def __init__(self, name: str) -> None:
        self.name = name
        self._found: list[Finding] = []

    def parcel(self, what: str) -> None:
        """A fault of the parcel as a whole."""
        self._found.append(fault(Place(self.name, 1), "", f"{what};", _NOTHING_TAKEN, rule="parcel"))

    def entry(self, name: str, what: str) -> None:
        """A fault of one of its files."""
        shown = name if name.isprintable() and len(name) <= MAX_NAME else repr(name[:MAX_NAME])
        place = Place(f"{self.name}/{shown}", 1)
        self._found.append(fault(place, "", f"{what};", _NOTHING_TAKEN, rule="parcel"))

    def more(self, findings: tuple[Finding, ...]) -> None:
        """Faults that the reader of records found."""
        self._found += findings

    def findings(self) -> tuple[Finding, ...]:
        return tuple(self._found)


def _read(packed: zipfile.ZipFile, said: _Said, keys: Mapping[bytes, str]) -> Parcel | None:
    entries = packed.infolist()
    if len(entries) > MAX_ENTRIES:
        raise _Damaged(f"it holds {len(entries):,} files; at most {MAX_ENTRIES:,} are read")
    _look_at_names(entries, said)
    _look_at_sizes(entries, said)
    if said.findings():
        return None
    by_name = {entry.filename: entry for entry in entries}
    if manifest_file.NAME not in by_name:
        raise _Damaged(f"it has no {manifest_file.NAME}: it is no parcel, or not a whole one")
    head = _content(packed, by_name[manifest_file.NAME], manifest_file.MAX_BYTES)
    try:
        manifest = read_manifest(head)
    except ManifestError as error:
        raise _Damaged(str(error)) from None
    odd = odd_name(manifest.sender)
    if odd:
        raise _Damaged(odd)
    _look_at_list(manifest, by_name, said)
    if said.findings():
        return None
    contents = {line.name: _checked(packed, by_name[line.name], line.sha256, said) for line in manifest.files}
    if said.findings():
        return None
    made = _signature(packed, by_name)
    signature = read_signature(head, made) if made is not None else None
    signed = look_at_sender(manifest.sender, signature, keys, frozenset()).signed
    parcel = _parcel(manifest, contents, said)
    return replace(parcel, signature=signature, signed=signed) if parcel is not None else None


def _look_at_names(entries: list[zipfile.ZipInfo], said: _Said) -> None:
    seen: dict[str, str] = {}
    for entry in entries:
        name = entry.orig_filename  # what zipfile makes of it (cut at a zero byte) is not what was sent
        wrong = _wrong_name(name) or _wrong_kind(entry)
        if wrong:
            said.entry(name, wrong)
        folded = unicodedata.normalize("NFC", name).casefold()
        if folded in seen:
            twice = (
                "it is in the parcel twice"
                if seen[folded] == name
                else f"its name clashes with {seen[folded]}"
            )
            said.entry(name, twice)
        seen[folded] = name


def _wrong_name(name: str) -> str:
    """Why an entry may not be called so; empty if it may."""
    if not name or len(name) > MAX_NAME or not name.isprintable():
        return "its name is empty, too long or has control characters"
    if name.startswith(("/", "\\")) or re.match(r"[A-Za-z]:", name):
        return "its name is an absolute path"
    if "\\" in name:
        return "its name has a backslash"
    if name.endswith("/"):
        return "it is a folder entry; a parcel holds files only"
    steps = name.split("/")
    if ".." in steps:
        return "its name leads out of the parcel"
    if any(step in ("", ".") or step.startswith(".") or step.endswith((".", " ")) for step in steps):
        return "its name has an odd step"
    if any(_RESERVED.fullmatch(step) or set(step) & set('<>:"|?*') for step in steps):
        return "its name cannot be a file's on every machine"
    if name in (manifest_file.NAME, SIGNATURE):
        return ""
    ending = PurePosixPath(name).suffix
    if len(steps) == 2 and steps[0] == PICTURES and ending in PICTURE_ENDINGS:
        return (
            ""
            if re.fullmatch(r"[0-9a-f]{64}", steps[1].removesuffix(ending))
            else "its name is not its checksum"
        )
    if ending in RECORD_ENDINGS and steps[0] != PICTURES:
        return ""
    return "it is neither a record file (.yml) nor a picture"


def _wrong_kind(entry: zipfile.ZipInfo) -> str:
    mode = entry.external_attr >> 16
    if stat.S_ISLNK(mode):
        return "it is a link"
    if stat.S_IFMT(mode) not in (0, stat.S_IFREG):
        return "it is no plain file"
    if entry.flag_bits & 0x1:
        return "it is locked with a password"
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return "it is packed in a way that is not read"
    return ""


def _look_at_sizes(entries: list[zipfile.ZipInfo], said: _Said) -> None:
    total = 0
    for entry in entries:
        total += entry.file_size
        most = _most(entry.filename)
        if entry.file_size > most:
            said.entry(entry.orig_filename, f"it is larger than {most // 1_000_000} MB")
        elif entry.file_size > MAX_RATIO * max(entry.compress_size, 64):
            said.entry(
                entry.orig_filename,
                f"it would grow to {entry.file_size:,} bytes from {entry.compress_size:,}",
            )
    if total > MAX_UNPACKED_BYTES:
        said.parcel(f"unpacked it would be larger than {MAX_UNPACKED_BYTES // 1_000_000} MB")


def _most(name: str) -> int:
    if name in (manifest_file.NAME, SIGNATURE):
        return manifest_file.MAX_BYTES
    return MAX_PICTURE_BYTES if name.startswith(f"{PICTURES}/") else MAX_RECORD_BYTES


def _look_at_list(manifest: Manifest, by_name: dict[str, zipfile.ZipInfo], said: _Said) -> None:
    listed = [line.name for line in manifest.files]
    if len(set(listed)) != len(listed):
        said.parcel("its manifest lists a file twice")
    if {manifest_file.NAME, SIGNATURE} & set(listed):
        said.parcel("its manifest lists itself")
    for name in sorted(set(listed) - set(by_name)):
        said.entry(name, "it is in the manifest and not in the parcel")
    for name in sorted(set(by_name) - set(listed) - {manifest_file.NAME, SIGNATURE}):
        said.entry(name, "it is in the parcel and not in the manifest")
    for line in manifest.files:
        entry = by_name.get(line.name)
        if entry is not None and entry.file_size != line.bytes:
            said.entry(line.name, f"it has {entry.file_size:,} bytes, the manifest says {line.bytes:,}")


def _content(packed: zipfile.ZipFile, entry: zipfile.ZipInfo, most: int) -> bytes:
    """An entry's content, never more of it than it says and than is allowed."""
    most = min(most, entry.file_size)
    with packed.open(entry) as stream:
        data = stream.read(most + 1)
    if len(data) > most:
        raise _Damaged(f"{entry.filename} is larger than it says")
    if len(data) != entry.file_size:
        raise _Damaged(f"{entry.filename} is smaller than it says")
    return data


def _checked(packed: zipfile.ZipFile, entry: zipfile.ZipInfo, sha256: str, said: _Said) -> bytes:
    try:
        data = _content(packed, entry, _most(entry.filename))
    except (zipfile.BadZipFile, zlib.error, EOFError) as error:
        said.entry(entry.filename, f"it is damaged ({error})")
        return b""
    if hashlib.sha256(data).hexdigest() != sha256:
        said.entry(entry.filename, "its checksum is not the one in the manifest: it was changed or damaged")
    elif data.startswith(_ARCHIVES):
        said.entry(entry.filename, "it is itself an archive")
    elif entry.filename.startswith(f"{PICTURES}/"):
        ending = PurePosixPath(entry.filename).suffix
        if PurePosixPath(entry.filename).stem != sha256:
            said.entry(entry.filename, "its name is not its checksum")
        elif not data.startswith(_PICTURE_STARTS[ending]):
            said.entry(entry.filename, f"its content is not what {ending} says")
    return data


def _signature(packed: zipfile.ZipFile, by_name: dict[str, zipfile.ZipInfo]) -> bytes | None:
    entry = by_name.get(SIGNATURE)
    return _content(packed, entry, 10_000) if entry is not None else None


def _parcel(manifest: Manifest, contents: dict[str, bytes], said: _Said) -> Parcel | None:
    files = {name: data for name, data in contents.items() if not name.startswith(f"{PICTURES}/")}
    texts = []
    for name, data in sorted(files.items()):
        try:
            texts.append((f"{said.name}/{name}", data.decode("utf-8")))
        except UnicodeDecodeError:
            said.entry(name, "it is not UTF-8 text")
    reading = read_texts(texts, most=MAX_NODES)
    said.more(reading.findings)
    for kind in sorted(BOOKKEEPING - {"aside"}):
        for record_id in sorted(reading.collection.of_kind(kind)):
            place = reading.collection.place(kind, record_id)
            told = f"a record of kind {kind!r} is the sender's own bookkeeping;"
            said.more((fault(place, kind, told, _NOTHING_TAKEN, rule="parcel", about=record_id),))
    said.more(tuple(_odd_asides(reading.collection.asides.values(), said)))
    if not any(True for _ in reading.collection.records()) and not said.findings():
        said.parcel("it holds no records")
    if said.findings():
        return None
    pictures = tuple((name, data) for name, data in sorted(contents.items()) if name not in files)
    return Parcel(said.name, manifest, reading.collection, tuple(sorted(files.items())), pictures)


def _odd_asides(asides: Iterable[Aside], said: _Said) -> Iterator[Finding]:
    from handling_db.records.versions import record_of

    for aside in asides:
        if record_of(aside) is None:
            told = f"the aside {aside.aside} holds no {aside.of.kind} {aside.of.id!r} that can be read;"
            yield fault(Place(said.name, 1), "record", told, _NOTHING_TAKEN, rule="parcel", about=aside.aside)
