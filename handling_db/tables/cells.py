"""The words in a flat table's cells: ids, names, states, boundaries, builds, sources."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from handling_db.records.parts.texts import STATES
from handling_db.tables.text.headings import fold, vocabulary

MAX_ID = 80
MAX_LINE = 200

_CHECKED = re.compile(r"(?P<boundary>.*\bnone)\s+checked by\s+(?P<who>.+)", re.IGNORECASE)
_WITHOUT = re.compile(r"(?:^|\s)without\s+", re.IGNORECASE)
_PARAMETER = re.compile(r"\s*([A-Za-z_][A-Za-z0-9_]*)\s*=\s*(\S.*?)\s*")
_BOUNDARY = (
    "write 'as listed', 'as listed without ID, ID' or 'counts ID, ID without ID', or leave it empty "
    "(nobody looked)"
)


def clean_id(text: str) -> str:
    """An id with the spaces around it taken off.

    Raises
    ------
    ValueError
        Too long, or with odd characters; the message says what to write.
    """
    code = text.strip()
    if len(code) > MAX_ID:
        raise ValueError(f"{code[:40]!r}... has {len(code)} characters; an id has at most {MAX_ID}.")
    if not code.isprintable() or code != " ".join(code.split()):
        raise ValueError(
            f"{code!r} has odd spaces or control characters; write a plain id such as gear-section."
        )
    return code


def line_of_text(text: str) -> str:
    """A name: one line of at most 200 characters.

    Raises
    ------
    ValueError
        Too long, or with line ends or control characters.
    """
    if len(text) > MAX_LINE:
        raise ValueError(f"{text[:40]!r}... has {len(text)} characters; at most {MAX_LINE} fit here.")
    if not text.isprintable():
        raise ValueError(f"{text!r} has line ends or control characters; write it on one line.")
    return text


def state_of(text: str) -> str:
    """One of the words for which fluid is in a piece.

    Raises
    ------
    ValueError
        Another word.
    """
    state = vocabulary().states.get(fold(text), text)
    if state not in STATES:
        raise ValueError(f"{text!r} is not a state; write dry, drained or filled, or leave it empty.")
    return state


def build_text(text: str) -> str:
    """A build as written; see `build_values`.

    Raises
    ------
    ValueError
        Not ``name=value`` pairs.
    """
    build_values(text)
    return text


def build_values(text: str) -> dict[str, str]:
    """``discs=8; shaft=620 mm`` as a mapping.

    Raises
    ------
    ValueError
        Not ``name=value`` pairs, or a name given twice.
    """
    values: dict[str, str] = {}
    for pair in line_of_text(text).split(";"):
        match = _PARAMETER.fullmatch(pair)
        if match is None:
            raise ValueError(f"{text!r} is not a build; write name=value, several with ';' between them.")
        if match[1] in values:
            raise ValueError(f"{text!r} gives {match[1]} twice; keep one of the two.")
        values[match[1]] = match[2]
    return values


def boundary_text(text: str) -> str:
    """A boundary as written; see `boundary_fields`.

    Raises
    ------
    ValueError
        Not understood.
    """
    boundary_fields(text)
    return text


def boundary_fields(text: str) -> dict[str, Any]:
    """What a stated mass counts and does not count, as the fields of a mass statement.

    ``as listed`` counts what the table lists, what is left out is not said. ``as listed without oil, pump``
    (or only ``without oil, pump``) says both. ``counts case, cover without none checked by foreman`` names
    what is counted, and who looked that nothing else is left out.

    Raises
    ------
    ValueError
        Not understood; the message says what to write.
    """
    shown = " ".join(line_of_text(text).split())
    fields: dict[str, Any] = {}
    rest = shown
    if checked := _CHECKED.fullmatch(rest):
        rest, fields["checked by"] = checked["boundary"], checked["who"]
    counts, *left_out = _WITHOUT.split(rest, maxsplit=1)
    without = "".join(left_out)
    if counts.lower() == "as listed" or (not counts and without):
        fields["counts"] = "as listed"
    elif counts.lower().startswith("counts "):
        fields["counts"] = _ids(counts[7:].split(","), shown)
    else:
        raise ValueError(f"{shown!r} is not a boundary; {_BOUNDARY}.")
    if without.lower() == "none":
        if "checked by" not in fields:
            raise ValueError(f"{shown!r} needs whose role looked; write 'without none checked by NAME'.")
        fields["without"] = "none"
    elif without:
        fields["without"] = _ids(without.split(","), shown)
    return fields


def _ids(texts: Iterable[str], shown: str) -> tuple[str, ...]:
    ids = tuple(clean_id(text) for text in texts)
    if not all(ids):
        raise ValueError(f"{shown!r} is not a boundary; {_BOUNDARY}.")
    return ids
