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
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError

# Keys that prove nothing: points of small order, for which anybody can write a signature that fits.
#
# References
# .. [1] RFC 8032 (2017), "Edwards-Curve Digital Signature Algorithm (EdDSA)", 5.1 (curve, base field,
#    decoding of points in 5.1.3) and 5.1.7 (verification: the equation multiplied by the cofactor 8).

_P = 2**255 - 19  # RFC 8032, table 1
_D = -121665 * pow(121666, -1, _P) % _P
_ROOT = pow(2, (_P - 1) // 4, _P)  # a square root of -1
_LEAST_DIFFERENT = 12  # of 32 random bytes about 30 differ; so few have been typed, or are a constant

Point = tuple[int, int]


def weakness(public: bytes) -> str:
    """Why a public key proves nothing, in words; empty where nothing speaks against it.

    Parameters
    ----------
    public : bytes of length 32
    """
    point = _decoded(public)
    if point is None:
        return "it is no point of the curve, so no signature can be checked with it"
    if _times_eight(point) == (0, 1):
        return "it is a point of small order: anybody can write a signature that fits it"
    return ""


def guessable(seed: bytes) -> str:
    """Why a private key is no secret, in words; empty where nothing speaks against it."""
    if len(set(seed)) < _LEAST_DIFFERENT:
        return "it was not made by chance: hardly any two of its digits differ, so it can be guessed"
    return ""


def _decoded(raw: bytes) -> Point | None:
    """The point that 32 bytes stand for, RFC 8032 5.1.3; values above the field's prime are not taken."""
    y = int.from_bytes(raw, "little")
    sign = y >> 255
    y &= (1 << 255) - 1
    if y >= _P:
        return None
    # x^2 = (y^2 - 1) / (d y^2 + 1); the denominator is never 0, since -1/d is no square
    square = (y * y - 1) * pow(_D * y * y + 1, -1, _P) % _P
    x = pow(square, (_P + 3) // 8, _P)
    if (x * x - square) % _P:
        x = x * _ROOT % _P
    if (x * x - square) % _P or (x == 0 and sign):
        return None
    return (_P - x if x & 1 != sign else x, y)


def _times_eight(point: Point) -> Point:
    """Three doublings; the cofactor of the curve is 8."""
    for _ in range(3):
        x, y = point
        both = _D * x * x * y * y % _P
        point = (
            2 * x * y * pow(1 + both, -1, _P) % _P,
            (y * y + x * x) * pow(1 - both, -1, _P) % _P,  # the curve is -x^2 + y^2 = 1 + d x^2 y^2
        )
    return point


_MISSING = "signing needs the extra 'sign'; install it with: pip install 'handling-db[sign]'"


@dataclass(frozen=True, slots=True)
class Signature:
    """By which key a parcel is signed.

    Parameters
    ----------
    public : bytes
        The public half of the key.
    why : str
        Why the signature was not checked; empty where it was, and fits.
    """

    public: bytes
    why: str = ""

    @property
    def digits(self) -> str:
        """The digits to compare by telephone."""
        return fingerprint(self.public)


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
    halves = ((path, key.private_bytes_raw(), 0o600), (path.with_suffix(".public"), public, 0o644))
    written: list[Path] = []
    try:
        for file, raw, mode in halves:
            handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
            written.append(file)
            with os.fdopen(handle, "w", encoding="ascii") as out:
                out.write(raw.hex() + "\n")
    except OSError as error:
        for half in written:  # half a pair of keys is of no use, and would block the name
            half.unlink(missing_ok=True)
        if isinstance(error, FileExistsError):
            raise HandlingError(f"{file}: a file of that name is there; a key is never overwritten") from None
        raise HandlingError(f"{file}: cannot be written ({error.strerror or error})") from None
    return fingerprint(public)


def read_key(path: Path) -> Any:
    """A signing key from its file.

    Raises
    ------
    HandlingError
        The file holds no key.
    """
    seed = _raw(path)
    weak = guessable(seed)
    if weak:
        raise HandlingError(f"{path}: this key is no good: {weak}; make one with 'handling-db parcel key'")
    return _ed25519().Ed25519PrivateKey.from_private_bytes(seed)


def read_public(path: Path) -> bytes:
    """The public half of another shop's key from its file.

    Raises
    ------
    HandlingError
        The file holds no key.
    """
    public = _raw(path)
    weak = weakness(public)
    if weak:
        raise HandlingError(f"{path}: this key proves nothing: {weak}; ask the shop for another")
    return public


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

    A shop may have several: `keys/SHOP.second.public`.

    Raises
    ------
    HandlingError
        A file there holds no key that proves anything, or the key of another shop too.
    """
    found: dict[bytes, str] = {}
    for file in sorted((folder / "keys").glob("*.public")):
        public, shop = read_public(file), file.name.split(".")[0]
        if found.setdefault(public, shop) != shop:
            raise HandlingError(f"{file}: {found[public]} has the same key; a key is of one shop")
    return found


def fingerprint(public: bytes) -> str:
    """Sixteen digits to compare by telephone, in groups of four."""
    digits = hashlib.sha256(public).hexdigest()[:16]
    return " ".join(digits[i : i + 4] for i in range(0, 16, 4))


def signature_of(manifest: bytes, key: Any) -> bytes:
    """The signature file for a manifest: the manifest holds every other file's checksum."""
    public = key.public_key().public_bytes_raw()
    signed = {"algorithm": "Ed25519", "public key": public.hex(), "signature": key.sign(manifest).hex()}
    return (json.dumps(signed, indent=1, sort_keys=True) + "\n").encode()


def read_signature(manifest: bytes, signature: bytes) -> Signature:
    """Whose signature stands on a parcel, and that it fits.

    Parameters
    ----------
    manifest, signature : bytes
        The two files of the parcel.

    Raises
    ------
    HandlingError
        The signature is not one, is by a key that proves nothing, or does not fit the manifest; a parcel
        whose signature is wrong is damaged.
    """
    try:
        fields = json.loads(signature)
        if set(fields) != {"algorithm", "public key", "signature"} or fields["algorithm"] != "Ed25519":
            raise ValueError
        public, made = bytes.fromhex(fields["public key"]), bytes.fromhex(fields["signature"])
        if len(public) != 32 or len(made) != 64:
            raise ValueError
    except (ValueError, KeyError, TypeError):
        raise HandlingError("its signature cannot be read") from None
    weak = weakness(public)
    if weak:
        raise HandlingError(f"its signature proves nothing, for its key is no good: {weak}")
    try:
        module = _ed25519()
    except HandlingError as error:
        return Signature(public, str(error))
    from cryptography.exceptions import InvalidSignature

    try:
        module.Ed25519PublicKey.from_public_bytes(public).verify(made, manifest)
    except (InvalidSignature, ValueError):
        raise HandlingError(
            "its signature does not fit its manifest: it was changed since it was signed"
        ) from None
    return Signature(public)
