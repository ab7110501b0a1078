"""How a parcel's zip file is laid out: its entries one after the other, the list of them, and nothing else.

A zip file may carry bytes before, between and after its entries that one reader sees and another does not.
A parcel has none: whatever is in the file is in the manifest.
"""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Sequence
from typing import BinaryIO

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
