"""Signing parcels with Ed25519, for shops that have exchanged their keys by hand.

A signature says that whoever holds a key made this parcel. It says nothing about the figures in it.

References
----------
.. [1] RFC 8032 (2017), "Edwards-Curve Digital Signature Algorithm (EdDSA)".
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError

_MISSING = "signing needs the extra 'sign'; install it with: pip install 'handling-db[sign]'"


def _ed25519() -> Any:
    try:
        from cryptography.hazmat.primitives.asymmetric import ed25519
    except ImportError:
        raise HandlingError(_MISSING) from None
    return ed25519


def new_key(path: Path) -> str:
    """Write a new signing key, readable by its owner only, and its public half beside it.

    Returns
    -------
    str
        The public half's fingerprint, to be read out to the other shop.

    Raises
    ------
    HandlingError
        The file is there already, or the extra `sign` is not installed.
    """
    key = _ed25519().Ed25519PrivateKey.generate()
    public = key.public_key().public_bytes_raw()
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise HandlingError(f"{path}: a file of that name is there; a key is never overwritten") from None
    with os.fdopen(handle, "w", encoding="ascii") as out:
        out.write(key.private_bytes_raw().hex() + "\n")
    path.with_suffix(".public").write_text(public.hex() + "\n", encoding="ascii")
    return fingerprint(public)


def read_key(path: Path) -> Any:
    """A signing key from its file.

    Raises
    ------
    HandlingError
        The file holds no key.
    """
    return _ed25519().Ed25519PrivateKey.from_private_bytes(_raw(path))


def read_public(path: Path) -> bytes:
    """The public half of another shop's key from its file.

    Raises
    ------
    HandlingError
        The file holds no key.
    """
    return _raw(path)


def _raw(path: Path) -> bytes:
    try:
        raw = bytes.fromhex(path.read_text(encoding="ascii").strip())
    except (OSError, ValueError) as error:
        raise HandlingError(f"{path}: no key can be read from it ({error})") from None
    if len(raw) != 32:
        raise HandlingError(f"{path}: a key has 64 hexadecimal digits, this has {2 * len(raw)}")
    return raw


def known_keys(folder: Path) -> dict[bytes, str]:
    """The public halves that other shops handed over: `keys/SHOP.public` in a collection's folder.

    Raises
    ------
    HandlingError
        A file there holds no key.
    """
    return {read_public(file): file.stem for file in sorted((folder / "keys").glob("*.public"))}


def fingerprint(public: bytes) -> str:
    """Sixteen digits to compare by telephone, in groups of four."""
    digits = hashlib.sha256(public).hexdigest()[:16]
    return " ".join(digits[i : i + 4] for i in range(0, 16, 4))


def signature_of(manifest: bytes, key: Any) -> bytes:
    """The signature file for a manifest: the manifest holds every other file's checksum."""
    public = key.public_key().public_bytes_raw()
    signed = {"algorithm": "Ed25519", "public key": public.hex(), "signature": key.sign(manifest).hex()}
    return (json.dumps(signed, indent=1, sort_keys=True) + "\n").encode()


def signature_words(manifest: bytes, signature: bytes, known: Mapping[bytes, str] | None = None) -> str:
    """Whose signature stands on a parcel, in words.

    Parameters
    ----------
    manifest, signature : bytes
        The two files of the parcel.
    known : mapping of public key to shop, optional
        Keys that were exchanged by hand.

    Raises
    ------
    HandlingError
        The signature is not one, or does not fit the manifest; a parcel whose signature is wrong is damaged.
    """
    try:
        fields = json.loads(signature)
        public, made = bytes.fromhex(fields["public key"]), bytes.fromhex(fields["signature"])
        if fields["algorithm"] != "Ed25519" or len(public) != 32 or len(made) != 64:
            raise ValueError
    except (ValueError, KeyError, TypeError):
        raise HandlingError("its signature cannot be read") from None
    try:
        module = _ed25519()
    except HandlingError:
        return f"signed by key {fingerprint(public)}, not checked: {_MISSING}"
    from cryptography.exceptions import InvalidSignature

    try:
        module.Ed25519PublicKey.from_public_bytes(public).verify(made, manifest)
    except InvalidSignature:
        raise HandlingError(
            "its signature does not fit its manifest: it was changed since it was signed"
        ) from None
    shop = (known or {}).get(public)
    whose = f"of {shop}" if shop else f"{fingerprint(public)}, which nobody here has said whose it is"
    return f"signed by key {whose}"
