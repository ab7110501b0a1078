"""Keys that prove nothing: points of small order, for which anybody can write a signature that fits.

References
----------
.. [1] RFC 8032 (2017), "Edwards-Curve Digital Signature Algorithm (EdDSA)", 5.1 (curve, base field, decoding
   of points in 5.1.3) and 5.1.7 (verification: the equation multiplied by the cofactor 8).
"""

from __future__ import annotations

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
