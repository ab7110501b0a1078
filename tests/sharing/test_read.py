"""Hostile and damaged parcels, each with the sentence it is refused with; and nothing changed by any of them."""

from __future__ import annotations

import datetime
import hashlib
import io
import json
import random
import stat
import struct
import warnings
import zipfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handling_db.records.collection import collect
from handling_db.records.kinds.source import Source
from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.read import open_parcel

DAY = datetime.date(2026, 11, 25)
END = "; nothing was taken from it; ask the sender for a new one."
RECORDS = b"- {source: scale, name: Floor scale, kind: weighed}\n"


def manifest(files, /, **changed):
    lines = [
        {"name": name, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        for name, data in files.items()
    ]
    fields = {
        "format": "handling-db parcel",
        "version": 1,
        "sender": "quay-shed-nine",
        "by": "foreman",
        "on": "2026-11-25",
        "about": "everything",
        "files": lines,
    }
    return json.dumps({**fields, **changed}).encode()


def packed(files=None, *, extra=(), change=None, how=zipfile.ZIP_STORED, head=None):
    """A zip of a manifest and files; `extra` are (name or ZipInfo, data) that the manifest does not know."""
    files = {"records/sources.yml": RECORDS} if files is None else files
    out = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(out, "w", how) as archive:
        warnings.simplefilter("ignore", UserWarning)  # of names that stand twice
        archive.writestr("manifest.json", head if head is not None else manifest(files))
        for name, data in [*files.items(), *extra]:
            archive.writestr(name, data)
    data = out.getvalue()
    return change(data) if change else data


@pytest.fixture
def said(tmp_path):
    """What is said of a parcel of these bytes, the file's name left out."""
    file = tmp_path / "p.zip"

    def read(data):
        file.write_bytes(data)
        reading = open_parcel(file)
        assert (reading.parcel is None) == bool(reading.findings)
        return [str(finding).replace(str(file), "P") for finding in reading.findings]

    return read


def test_a_plain_parcel_is_read(said, tmp_path):
    assert said(packed()) == []
    parcel = open_parcel(tmp_path / "p.zip").parcel
    assert parcel.manifest.sender == "quay-shed-nine"
    assert list(parcel.collection.sources) == ["scale"]
    assert parcel.signed == "not signed"


def test_a_packed_one_too(said):
    assert said(packed(how=zipfile.ZIP_DEFLATED)) == []


def link():
    info = zipfile.ZipInfo("records/a.yml")
    info.create_system = 3
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    return info


def device():
    info = zipfile.ZipInfo("records/a.yml")
    info.create_system = 3
    info.external_attr = (stat.S_IFCHR | 0o666) << 16
    return info


NAMES = {
    "/etc/a.yml": "its name is an absolute path",
    "C:/a.yml": "its name is an absolute path",
    "\\\\host\\a.yml": "its name is an absolute path",
    "../a.yml": "its name leads out of the parcel",
    "records/../../a.yml": "its name leads out of the parcel",
    "records\\..\\a.yml": "its name has a backslash",
    "records/": "it is a folder entry; a parcel holds files only",
    "records//a.yml": "its name has an odd step",
    "./a.yml": "its name has an odd step",
    ".hidden.yml": "its name has an odd step",
    "records /a.yml": "its name has an odd step",
    "records/con.yml": "its name cannot be a file's on every machine",
    "records/a?.yml": "its name cannot be a file's on every machine",
    "records/a.yml:stream": "its name cannot be a file's on every machine",
    "records/a.exe": "it is neither a record file (.yml) nor a picture",
    "records/a.zip": "it is neither a record file (.yml) nor a picture",
    "records/a": "it is neither a record file (.yml) nor a picture",
    "pictures/a.jpg": "its name is not its checksum",
    "pictures/a.yml": "it is neither a record file (.yml) nor a picture",
    "records/" + "a" * 200 + ".yml": "its name is empty, too long or has control characters",
}


@pytest.mark.parametrize(("name", "sentence"), NAMES.items())
def test_names_that_are_not_taken(name, sentence, said):
    (line,) = said(packed({name: RECORDS}))

    assert line.endswith(f": {sentence}{END}")
    assert line.startswith("P/")


def test_a_name_with_a_zero_byte(said):
    data = packed({"records/aXyml": RECORDS}).replace(b"records/aXyml", b"records/a\x00yml")

    (line,) = said(data)
    assert line == f"P/'records/a\\x00yml':1: its name is empty, too long or has control characters{END}"


def in_both_headers(data, field, value):
    """Other bytes in the two headers of the last file, at places that a zip has 2 bytes apart."""
    out = bytearray(data)
    for sign, offset in ((b"PK\x03\x04", field), (b"PK\x01\x02", field + 2)):
        at = out.rfind(sign) + offset
        out[at : at + len(value)] = value
    return bytes(out)


def locked(data):
    """The flag that says 'needs a password'."""
    return in_both_headers(data, 6, b"\x01")


def other_packing(data):
    return in_both_headers(data, 8, struct.pack("<H", 99))


def says_smaller(data):
    """The last file is empty once unpacked, it says, and it is not."""
    return in_both_headers(data, 22, struct.pack("<I", 3))


def bare(files):
    """A zip that has nothing of a parcel."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return out.getvalue()


BOMB = b"- {source: a, name: " + b" " * 3_000_000 + b"x, kind: weighed}\n"
JPEG = b"\xff\xd8\xff" + b"x" * 50


def picture(data, name=None):
    return {"records/s.yml": RECORDS, f"pictures/{name or hashlib.sha256(data).hexdigest()}.jpg": data}


CASES = {
    "no zip": (b"hello", "P:1: it is no parcel: a parcel is a zip file"),
    "empty": (b"", "P:1: it is no parcel: a parcel is a zip file"),
    "a zip behind a program": (b"MZ" + packed(), "P:1: it is no parcel: a parcel is a zip file"),
    "no manifest": (
        bare({"a.yml": RECORDS}),
        "P:1: it has no manifest.json: it is no parcel, or not a whole one",
    ),
    "a link": (packed({}, extra=[(link(), b"/etc/passwd")]), "P/records/a.yml:1: it is a link"),
    "a device": (packed({}, extra=[(device(), b"")]), "P/records/a.yml:1: it is no plain file"),
    "locked": (packed(change=locked), "P/records/sources.yml:1: it is locked with a password"),
    "other packing": (
        packed(change=other_packing),
        "P/records/sources.yml:1: it is packed in a way that is not read",
    ),
    "twice": (
        packed(extra=[("records/sources.yml", RECORDS)]),
        "P/records/sources.yml:1: it is in the parcel twice",
    ),
    "case clash": (
        packed({"records/a.yml": RECORDS, "records/A.yml": RECORDS}),
        "P/records/A.yml:1: its name clashes with records/a.yml",
    ),
    "same letters, other code points": (
        packed({"records/\u00e9.yml": RECORDS, "records/e\u0301.yml": RECORDS}),
        "P/records/e\u0301.yml:1: its name clashes with records/\u00e9.yml",
    ),
    "bomb": (
        packed({"records/a.yml": BOMB}, how=zipfile.ZIP_DEFLATED),
        f"P/records/a.yml:1: it would grow to {len(BOMB):,} bytes from ",
    ),
    "too large": (
        packed({"records/a.yml": b"# " + random.Random(1).randbytes(2_100_000).hex().encode()}),
        "P/records/a.yml:1: it is larger than 4 MB",
    ),
    "archive inside": (
        packed({"records/a.yml": packed()}),
        "P/records/a.yml:1: it is itself an archive",
    ),
    "compressed inside": (
        packed({"records/a.yml": b"\x1f\x8b\x08\x00"}),
        "P/records/a.yml:1: it is itself an archive",
    ),
    "not listed": (
        packed(extra=[("records/b.yml", RECORDS)]),
        "P/records/b.yml:1: it is in the parcel and not in the manifest",
    ),
    "not there": (
        packed({}, head=manifest({"records/a.yml": RECORDS})),
        "P/records/a.yml:1: it is in the manifest and not in the parcel",
    ),
    "other size": (
        packed({}, extra=[("records/a.yml", RECORDS + b"#")], head=manifest({"records/a.yml": RECORDS})),
        "P/records/a.yml:1: it has 53 bytes, the manifest says 52",
    ),
    "other content": (
        packed(
            {},
            extra=[("records/a.yml", RECORDS.replace(b"F", b"D"))],
            head=manifest({"records/a.yml": RECORDS}),
        ),
        "P/records/a.yml:1: its checksum is not the one in the manifest: it was changed or damaged",
    ),
    "listed twice": (
        packed(
            head=manifest(
                {},
                files=json.loads(manifest({"records/sources.yml": RECORDS}))["files"] * 2,
            )
        ),
        "P:1: its manifest lists a file twice",
    ),
    "lists itself": (
        packed({}, head=manifest({"manifest.json": b"x"})),
        "P:1: its manifest lists itself",
    ),
    "manifest no JSON": (packed(head=b"{"), "P:1: its manifest is not JSON ("),
    "manifest deep": (packed(head=b"[" * 100_000), "P:1: its manifest is not JSON ("),
    "manifest key twice": (
        packed(head=b'{"format": "a", "format": "handling-db parcel"}'),
        "P:1: its manifest is not JSON (a key is given twice)",
    ),
    "other format": (
        packed(head=b'{"format": "x"}'),
        "P:1: its manifest does not say 'format': 'handling-db parcel'",
    ),
    "other version": (
        packed(head=manifest({}, version=2)),
        "P:1: it has format version 2, and this program reads 1; update the older of the two programs",
    ),
    "manifest field": (packed(head=manifest({}, sender=5)), "P:1: its manifest is wrong at sender: "),
    "manifest unknown field": (packed(head=manifest({}, run="x")), "P:1: its manifest is wrong at run: "),
    "no records": (packed({"records/a.yml": b"# nothing\n"}), "P:1: it holds no records"),
    "not text": (packed({"records/a.yml": b"\xff\xfe"}), "P/records/a.yml:1: it is not UTF-8 text"),
    "bookkeeping": (
        packed(
            {
                "records/a.yml": b"- {review: r, of: {kind: source, id: scale, version: "
                + b"0" * 32
                + b"}, decision: accept, by: x, on: 2026-01-01, reason: y}\n"
            }
        ),
        "P/records/a.yml:1: review: a record of kind 'review' is the sender's own bookkeeping",
    ),
    "picture of another name": (
        packed(picture(JPEG, "0" * 64)),
        f"P/pictures/{'0' * 64}.jpg:1: its name is not its checksum",
    ),
    "page in a picture": (
        packed(picture(b"<html><script>")),
        ".jpg:1: its content is not what .jpg says",
    ),
    "signature no good": (
        packed(extra=[("signature.json", b"{}")]),
        "P:1: its signature cannot be read",
    ),
    "says it is smaller": (packed(change=says_smaller), "P/records/sources.yml:1: it has 3 bytes"),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_refused(case, said):
    data, sentence = CASES[case]

    lines = said(data)

    assert len(lines) >= 1
    assert any(sentence in line for line in lines), lines
    assert all(line.endswith(END.removeprefix(";")) for line in lines), lines


def test_the_faults_of_records_come_with_their_line(said):
    lines = said(packed({"records/a.yml": b"- source: a\n  name: A\n  kind: weighed\n  nam: x\n"}))

    assert lines == ["P/records/a.yml:4: nam: is not a field here; did you mean 'name'?"]


def test_an_edited_aside_is_found(said):
    text = (
        f"- {{aside: a, of: {{kind: source, id: scale, version: {'0' * 32}}}, on: 2026-01-01, "
        "record: {source: scale, name: S, kind: weighed}}\n"
    )

    (line,) = said(packed({"records/a.yml": text.encode()}))
    assert "'record' was edited: its version is " in line


def test_an_aside_that_holds_no_record_is_found(said):
    from handling_db.records.kinds.origin import version_of

    inner = {"source": "other", "name": "S", "kind": "weighed"}
    text = (
        f"- {{aside: a, of: {{kind: source, id: scale, version: {version_of(inner)}}}, on: 2026-01-01, "
        "record: {source: other, name: S, kind: weighed}}\n"
    )

    (line,) = said(packed({"records/a.yml": text.encode()}))
    assert "the aside a holds no source 'scale' that can be read" in line


@pytest.mark.slow
def test_twenty_five_thousand_tiny_files_are_not_opened(said):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for number in range(25_000):
            archive.writestr(f"{number}.yml", b"")

    assert said(out.getvalue()) == [f"P:1: it holds 25,000 files; at most 20,000 are read{END}"]


def test_all_that_is_wrong_is_said_in_one_run(said):
    lines = said(packed({"../a.yml": RECORDS, "b.exe": RECORDS, "/c.yml": RECORDS}))

    assert len(lines) == 3


def good():
    record = Source.model_validate({"source": "scale", "name": "Scale", "kind": "weighed"})
    own = collect([("source", record)])
    keys, about = chosen_keys(own)
    return make_parcel(own, keys, about=about, sender="a", by="foreman", on=DAY)


GOOD = good()


@pytest.mark.parametrize("share", range(1, 40))
def test_a_parcel_cut_short_is_refused(share, said):
    assert said(GOOD[: len(GOOD) * share // 40])


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(at=st.integers(0, len(GOOD) - 1), bit=st.integers(0, 7))
def test_a_turned_bit_is_found_or_changes_nothing(at, bit, tmp_path):
    """Bits in a zip's dates and such say nothing about the records; any other is found."""
    changed = bytearray(GOOD)
    changed[at] ^= 1 << bit
    file = tmp_path / "bit.zip"
    file.write_bytes(bytes(changed))

    reading = open_parcel(file)

    if reading.parcel is None:
        assert reading.findings
    else:
        assert reading.parcel.collection.sources["scale"].name == "Scale"
        assert reading.parcel.manifest.sender == "a"


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.binary(max_size=400), head=st.sampled_from([b"", b"PK\x03\x04", GOOD[:200]]))
def test_no_bytes_make_it_stumble(data, head, tmp_path):
    file = tmp_path / "any.zip"
    file.write_bytes(head + data)

    reading = open_parcel(file)

    assert reading.parcel is None
    assert reading.findings
