"""Texts that a spreadsheet program would take for a formula: quiet on the way out, undone on the way in."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

# A sign that starts a formula, behind any number of apostrophes, so that every text comes back as it was.
_ACTIVE = re.compile(r"'*[=+\-@\t\r]")
_QUIETED = re.compile(r"'+[=+\-@\t\r]")
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?", re.ASCII)


def quiet(text: str) -> str:
    """A text that no spreadsheet program takes for a formula; figures stay figures."""
    if not _ACTIVE.match(text) or _NUMBER.fullmatch(text):
        return text
    return f"'{text}"


def quiet_csv(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """A table as CSV whose texts are quiet, lines ended by CR LF."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(heads)
    writer.writerows([quiet(cell) for cell in row] for row in rows)
    return out.getvalue().encode()


def unquiet(text: str) -> str:
    """The text again, as it was before `quiet`."""
    return text[1:] if text[:1] == "'" and _QUIETED.match(text) else text


_OPENING = re.compile(r"'*[\[{]")


def marked(text: str) -> str:
    """A text that nobody takes for a list or a mapping in JSON, where cells may hold these."""
    return f"'{text}" if _OPENING.match(text) else text


def unmarked(text: str) -> str:
    """The text again, as it was before `marked`."""
    return text[1:] if text[:1] == "'" and _OPENING.match(text) else text
