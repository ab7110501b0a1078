"""From whom a parcel is: signed by another's key, stripped of its signature, in our own name, odd names."""

from __future__ import annotations

import datetime
import json
import zipfile
from pathlib import Path

import pytest

from handling_db.errors import HandlingError
from handling_db.files.reading import read_texts
from handling_db.records.versions import Wait, questions
from handling_db.sharing import sign
from handling_db.sharing.make import make_parcel
from handling_db.sharing.read import open_parcel
from handling_db.sharing.sign import guessable, weakness
from handling_db.sharing.take_in import look_at, own_collection, take

DAY = datetime.date(2026, 11, 25)
RECORDS = """
- {source: their-scale, name: Theirs, kind: weighed}
- {component: their-pin, name: Their pin, kind: part, masses: [{printed: 5 kg, source: their-scale}]}
"""


def made(file: Path, sender: str, key: Path | None = None, records: str = RECORDS) -> Path:
    collection = read_texts([("theirs.yml", records)]).collection
    keys = [(kind, record.id) for kind, record in collection.records()]
    signer = sign.read_key(key) if key else None
    parcel = make_parcel(collection, keys, about="all", sender=sender, by="foreman", on=DAY, sign=signer)
    file.write_bytes(parcel)
    return file


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    """A shop that has the keys of two others."""
    folder = tmp_path / "ours"
    (folder / "keys").mkdir(parents=True)
    (folder / "own.yml").write_text(
        "- {shop: quay, name: Quay}\n- {component: case, name: Case, kind: part}\n"
    )
    for shop in ("far-shed", "mill"):
        sign.new_key(tmp_path / f"{shop}.key")
        (tmp_path / f"{shop}.public").rename(folder / "keys" / f"{shop}.public")
    sign.new_key(tmp_path / "stranger.key")
    return folder


def looked(ours: Path, file: Path):
    parcel = open_parcel(file, sign.known_keys(ours)).parcel
    return look_at(own_collection(ours), parcel, ours)


def test_signed_by_its_own_key_it_is_in_force(ours: Path, tmp_path: Path) -> None:
    look = looked(ours, made(tmp_path / "p.zip", "far-shed", tmp_path / "far-shed.key"))

    assert (look.sender.signed, look.sender.doubt) == ("signed by key of far-shed", "")
    assert look.waiting == 0


@pytest.mark.parametrize(
    ("sender", "key", "signed", "doubt"),
    [
        ("far-shed", "mill", "signed by key of mill", "it is signed by the key of mill, and says that it is from far-shed."),
        ("far-shed", None, "not signed", "a key of far-shed is known here, and this parcel is not signed by it."),
        ("far-shed", "stranger", "signed by key ", "a key of far-shed is known here, and this parcel is signed by another."),
        ("third", "mill", "signed by key of mill", "it is signed by the key of mill, and says that it is from third."),
        ("quay", None, "not signed", "it says that it is from quay, which is this shop or may be, and no key proves it."),
        ("quay", "stranger", "signed by key ", "it says that it is from quay, which is this shop or may be, and no key proves it."),
    ],
)  # fmt: skip
def test_of_whom_it_may_not_be_is_said_first_and_waits(ours, tmp_path, sender, key, signed, doubt) -> None:
    file = made(tmp_path / "p.zip", sender, tmp_path / f"{key}.key" if key else None)

    look = looked(ours, file)

    assert look.sender.signed.startswith(signed)
    assert look.sender.doubt == doubt
    assert look.waiting == len(look.incoming) == 2
    take(ours, open_parcel(file, sign.known_keys(ours)).parcel, DAY)
    own = own_collection(ours)
    assert set(own.components) == {"case"}
    assert {question.wait for question in questions(own)} == {Wait.WAITS}
    assert {question.signed for question in questions(own)} == {look.sender.words}


def test_a_stranger_without_a_key_is_only_not_signed(ours: Path, tmp_path: Path) -> None:
    look = looked(ours, made(tmp_path / "p.zip", "third"))

    assert (look.sender.words, look.waiting) == ("not signed", 0)


def test_which_shop_this_is_can_be_said(ours: Path, tmp_path: Path) -> None:
    (ours / "shops.yml").write_text("- {shop: partner, name: Partner}\n")
    file = made(tmp_path / "p.zip", "partner")
    assert looked(ours, file).waiting == 2

    (ours / "keys" / "this-shop.txt").write_text("quay\n")

    assert looked(ours, file).waiting == 0
    assert looked(ours, made(tmp_path / "q.zip", "quay")).waiting == 2


def test_the_doubt_is_the_first_line_of_look(ours: Path, tmp_path: Path) -> None:
    from click.testing import CliRunner

    from handling_db.cli import main

    file = made(tmp_path / "p.zip", "far-shed")
    shown = CliRunner().invoke(main, ["parcel", "look", str(ours), str(file)])

    first, second = shown.output.splitlines()[:2]
    assert (
        first
        == "! Ask the sender before you believe it: a key of far-shed is known here, and this parcel is not signed by it."
    )
    assert second.startswith("not signed: ")
    assert shown.exit_code == 1


@pytest.mark.parametrize(
    "sender",
    ["Far-Shed", "far shed", "far‑shed", "fаr-shed", "far-shed.", "-far", "far--shed", "../keys/far", "a" * 61, "quay; signed by key of quay"],
)  # fmt: skip
def test_odd_names_of_senders_are_refused(sender: str, tmp_path: Path) -> None:
    with pytest.raises(HandlingError, match=r"--shop: sender .* is no plain id"):
        made(tmp_path / "p.zip", sender)
    file = made(tmp_path / "p.zip", "far-shed")
    with zipfile.ZipFile(file) as packed:
        contents = {name: packed.read(name) for name in packed.namelist()}
    manifest = json.loads(contents["manifest.json"]) | {"sender": sender}
    contents["manifest.json"] = (
        json.dumps(manifest, indent=1, sort_keys=True, ensure_ascii=False).encode() + b"\n"
    )
    with zipfile.ZipFile(file, "w") as packed:
        for name, data in contents.items():
            packed.writestr(name, data)

    (finding,) = open_parcel(file).findings

    assert "its sender" in str(finding)
    assert "is no plain id" in str(finding)


# The points of order 1, 2, 4 and 8 of edwards25519; from memory, and the library accepts signatures for them below.
SMALL = (
    "0100000000000000000000000000000000000000000000000000000000000000",
    "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
    "0000000000000000000000000000000000000000000000000000000000000000",
    "0000000000000000000000000000000000000000000000000000000000000080",
    "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
    "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc85",
    "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
    "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa",
)


@pytest.mark.parametrize("public", SMALL)
def test_keys_of_small_order_prove_nothing(public: str) -> None:
    """The library itself takes a signature that anybody can write down: R and s with s = 0, for some message."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    assert weakness(bytes.fromhex(public)).startswith("it is a point of small order")
    key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(public))
    fits = 0
    for number in range(64):  # R a point of small order too: about one message in eight fits, at the least
        try:
            key.verify(bytes.fromhex(SMALL[0]) + bytes(32), b"message %d" % number)
            fits += 1
        except InvalidSignature:
            pass
    assert fits > 0


def test_keys_made_by_chance_are_not_weak() -> None:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    for _ in range(20):
        key = Ed25519PrivateKey.generate()
        assert weakness(key.public_key().public_bytes_raw()) == ""
        assert guessable(key.private_bytes_raw()) == ""


@pytest.mark.parametrize(
    "public",
    ["02" + "00" * 31, "ff" * 32, "edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f"],
)
def test_what_is_no_point_of_the_curve(public: str) -> None:
    assert weakness(bytes.fromhex(public)).startswith("it is no point of the curve")


def test_a_parcel_signed_with_a_weak_key_is_refused(tmp_path: Path) -> None:
    """Anybody can sign so for the neutral point; the parcel said "signed by key" before."""
    file = made(tmp_path / "p.zip", "far-shed")
    with zipfile.ZipFile(file) as packed:
        contents = {name: packed.read(name) for name in packed.namelist()}
    weak = {"algorithm": "Ed25519", "public key": SMALL[0], "signature": SMALL[0] + "00" * 32}
    with zipfile.ZipFile(file, "w") as packed:
        for name, data in {**contents, "signature.json": json.dumps(weak).encode()}.items():
            packed.writestr(name, data)

    (finding,) = open_parcel(file).findings

    assert "its signature proves nothing, for its key is no good: it is a point of small order" in str(
        finding
    )


def test_weak_and_shared_keys_in_the_folder_are_refused(tmp_path: Path, ours: Path) -> None:
    (ours / "keys" / "weak.public").write_text(SMALL[2])
    with pytest.raises(
        HandlingError, match=r"weak.public: this key proves nothing: it is a point of small order"
    ):
        sign.known_keys(ours)
    (ours / "keys" / "weak.public").write_text((ours / "keys" / "mill.public").read_text())
    with pytest.raises(HandlingError, match=r"weak.public: mill has the same key; a key is of one shop"):
        sign.known_keys(ours)
    (tmp_path / "typed.key").write_text("00" * 32)
    with pytest.raises(HandlingError, match="this key is no good: it was not made by chance"):
        sign.read_key(tmp_path / "typed.key")


def test_a_pair_of_keys_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    (tmp_path / "a.public").write_text("mine")

    with pytest.raises(
        HandlingError, match=r"a.public: a file of that name is there; a key is never overwritten"
    ):
        sign.new_key(tmp_path / "a.key")

    assert not (tmp_path / "a.key").exists()
    assert (tmp_path / "a.public").read_text() == "mine"


@pytest.mark.parametrize("where", ["before", "after", "between", "comment", "list"])
def test_bytes_that_belong_to_no_file_are_refused(where: str, tmp_path: Path) -> None:
    """All of these were read before, as if the bytes were not there."""
    file = made(tmp_path / "p.zip", "far-shed")
    raw = file.read_bytes()
    with zipfile.ZipFile(file) as packed:
        first, second = packed.infolist()[:2]
        start = packed.start_dir
    extra = b"anything at all"
    if where == "after":
        raw += extra
    elif where == "comment":
        with zipfile.ZipFile(file, "a") as packed:
            packed.comment = extra
        raw = file.read_bytes()
    elif where == "list":
        raw = moved(raw, start, extra)
    elif where == "between":
        raw = moved(raw, second.header_offset, extra)
    else:
        raw = moved(raw, first.header_offset, extra)
    file.write_bytes(raw)

    findings = open_parcel(file).findings

    assert len(findings) == 1
    told = {"after": "appended", "comment": "appended", "before": "no parcel"}.get(
        where, "belong to none of its files"
    )
    assert told in str(findings[0])


def moved(raw: bytes, at: int, extra: bytes) -> bytes:
    """The zip with bytes put in at an offset, and every offset behind it put right."""
    import struct

    raw = raw[:at] + extra + raw[at:]
    end = raw.rindex(b"PK\x05\x06")
    count, _, offset = struct.unpack_from("<HLL", raw, end + 10)
    head = bytearray(raw)
    struct.pack_into("<L", head, end + 16, offset + len(extra))
    place = offset + len(extra)
    for _ in range(count):
        name, more, comment = struct.unpack_from("<3H", head, place + 28)
        (local,) = struct.unpack_from("<L", head, place + 42)
        if local >= at:
            struct.pack_into("<L", head, place + 42, local + len(extra))
        place += 46 + name + more + comment
    return bytes(head)
