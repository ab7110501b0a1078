"""What is looked at in a table that is added up by whole columns, and what is not; said before the work."""

from __future__ import annotations

from pathlib import Path

LOOKED_AT = "circles, missing and contradictory masses, places of an odd size, and sums against stated wholes"
NOT_LOOKED_AT = (
    "figures of several sources that lie apart, parts heavier than their whole, slips of units and counts, "
    "names that clash, parts listed twice, and steps and boundaries that are not stated"
)
_TEXT = (".csv", ".tsv", ".tab", ".txt")
_CHUNK = 1 << 20
_HEADS = 50  # lines above the rows, at most: so many more make a table surely a large one


def before_the_work(file: str, most: int) -> str:
    """What is said of a large table before it is checked."""
    return f"{file}: more than {most:,} rows: only {LOOKED_AT} will be looked at; not {NOT_LOOKED_AT}."


def surely_large(path: Path, most: int) -> bool:
    """Whether a text table has more than so many rows, told from its lines without reading what they say.

    False where that cannot be told so: cells of several lines, workbooks, little more than so many lines.
    """
    if path.suffix.lower() not in _TEXT or not path.is_file():
        return False
    lines = 0
    with path.open("rb") as opened:
        while chunk := opened.read(_CHUNK):
            if b'"' in chunk or b"\0" in chunk:
                return False
            lines += sum(bool(line.strip(b" \t\r,;")) for line in chunk.split(b"\n"))
            if lines > most + _HEADS:
                return True
    return False
