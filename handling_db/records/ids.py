"""Time-ordered ids for what is observed: a note, a weighing, a review. Made once, where it is written."""

from __future__ import annotations

import datetime
import re

from handling_db.errors import HandlingError

RANDOM_BYTES = 10
_LATEST = 1 << 48
_UUID_7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


def time_ordered_id(milliseconds: int, randomness: bytes) -> str:
    """A UUID of version 7: ids made later sort later, and two shops never make the same one.

    Parameters
    ----------
    milliseconds : int
        Since 1970-01-01, UTC. [ms]
    randomness : bytes
        Ten random bytes; six of their 80 bits give way to the version and the variant.

    Returns
    -------
    str
        Lower case, with hyphens.

    Raises
    ------
    HandlingError
        The time does not fit 48 bits, or there are not ten bytes.

    References
    ----------
    .. [1] RFC 9562 (2024), "Universally Unique IDentifiers (UUIDs)", 5.7.
    """
    if not 0 <= milliseconds < _LATEST:
        raise HandlingError(
            f"{milliseconds} ms is no time that an id can carry; set the clock of this machine"
        )
    if len(randomness) != RANDOM_BYTES:
        raise HandlingError(f"an id needs {RANDOM_BYTES} random bytes, not {len(randomness)}")
    chance = int.from_bytes(randomness, "big")
    number = milliseconds << 80 | chance
    number = number & ~(0xF << 76) | 0x7 << 76
    number = number & ~(0x3 << 62) | 0x2 << 62
    text = f"{number:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def made_at(record_id: str) -> datetime.datetime | None:
    """When a time-ordered id was made (UTC), or None for an id of another form."""
    if not _UUID_7.fullmatch(record_id):
        return None
    milliseconds = int(record_id[:8] + record_id[9:13], 16)
    since = datetime.timedelta(milliseconds=milliseconds)
    try:
        return datetime.datetime(1970, 1, 1, tzinfo=datetime.UTC) + since
    except OverflowError:
        return None
