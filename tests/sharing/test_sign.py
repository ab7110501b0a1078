"""Signatures: whose they are, and that a changed parcel or a wrong signature is refused."""

from __future__ import annotations

import datetime
import json
import sys
import zipfile

import pytest

from handling_db.errors import HandlingError
from handling_db.records.collection import collect
from handling_db.records.kinds.source import Source
from handling_db.sharing import sign as signing
from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.read import open_parcel

DAY = datetime.date(2026, 11, 25)


@pytest.fixture
def key(tmp_path):
    file = tmp_path / "keys" / "quay.key"
    file.parent.mkdir()
    signing.new_key(file)
    return file


def parcel(tmp_path, key=None):
    record = Source.model_validate({"source": "scale", "name": "Scale", "kind": "weighed"})
    own = collect([("source", record)])
    keys, about = chosen_keys(own)
    sign = signing.read_key(key) if key else None
    file = tmp_path / "p.zip"
    file.write_bytes(make_parcel(own, keys, about=about, sender="quay", by="foreman", on=DAY, sign=sign))
    return file


def test_the_first_vector_of_the_standard(tmp_path):
    """RFC 8032 (2017), 7.1, test 1 (empty message); vector from memory, it agrees with the library."""
    secret = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
    public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    signature = (
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
        "d25bf5f0595bbe24655141438e7a100b"
    )
    file = tmp_path / "rfc.key"
    file.write_text(secret)

    made = json.loads(signing.signature_of(b"", signing.read_key(file)))

    assert made == {"algorithm": "Ed25519", "public key": public, "signature": signature}


def test_a_signed_parcel_says_whose_key(tmp_path, key):
    file = parcel(tmp_path, key)

    unknown = open_parcel(file).parcel.signed
    known = open_parcel(file, signing.known_keys(tmp_path)).parcel.signed

    assert unknown.startswith("signed by key ")
    assert unknown.endswith(", which nobody here has said whose it is")
    assert known == "signed by key of quay"


def test_an_unsigned_parcel_says_so(tmp_path):
    assert open_parcel(parcel(tmp_path)).parcel.signed == "not signed"


def test_the_same_key_and_records_give_the_same_bytes(tmp_path, key):
    assert parcel(tmp_path, key).read_bytes() == parcel(tmp_path, key).read_bytes()


def swapped(file, **entries):
    with zipfile.ZipFile(file) as old:
        contents = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(file, "w") as new:
        for name, data in {**contents, **entries}.items():
            new.writestr(name, data)


def test_a_manifest_changed_after_signing_is_refused(tmp_path, key):
    file = parcel(tmp_path, key)
    with zipfile.ZipFile(file) as packed:
        manifest = packed.read("manifest.json").replace(b'"quay"', b'"mole"')
    swapped(file, **{"manifest.json": manifest})

    (finding,) = open_parcel(file).findings
    assert "its signature does not fit its manifest: it was changed since it was signed" in str(finding)


@pytest.mark.parametrize(
    "text", [b"[]", b"{", b'{"algorithm": "none", "public key": "", "signature": ""}', b"\xff"]
)
def test_what_is_no_signature(text, tmp_path, key):
    file = parcel(tmp_path, key)
    swapped(file, **{"signature.json": text})

    (finding,) = open_parcel(file).findings
    assert "its signature cannot be read; nothing was taken from it" in str(finding)


def test_without_the_library_it_says_that_nobody_checked(tmp_path, key, monkeypatch):
    file = parcel(tmp_path, key)
    monkeypatch.setitem(sys.modules, "cryptography.hazmat.primitives.asymmetric", None)

    signed = open_parcel(file).parcel.signed

    assert ", not checked: signing needs the extra 'sign'" in signed
    with pytest.raises(HandlingError, match="signing needs the extra 'sign'; install it with"):
        signing.read_key(key)


def test_a_key_is_never_overwritten_and_only_its_owner_reads_it(key):
    assert key.stat().st_mode & 0o077 == 0
    with pytest.raises(HandlingError, match="a key is never overwritten"):
        signing.new_key(key)


def test_files_that_hold_no_key(tmp_path):
    short = tmp_path / "short.public"
    short.write_text("00ff")
    with pytest.raises(HandlingError, match="a key has 64 hexadecimal digits, this has 4"):
        signing.read_public(short)
    with pytest.raises(HandlingError, match="no key can be read from it"):
        signing.read_public(tmp_path / "none.public")
