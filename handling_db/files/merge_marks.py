"""Marks that a merge left in a file: both sides still stand there, and only a person knows which is right."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

_OPEN = re.compile(r"<{7}(?: .*)?$")
_MIDDLE = re.compile(r"={7}$")
_BASE = re.compile(r"\|{7}(?: .*)?$")
_CLOSE = re.compile(r">{7}(?: .*)?$")
_SHOWN = 60


@dataclass(frozen=True, slots=True)
class Conflict:
    """One place where two branches say different things.

    Parameters
    ----------
    line : int
        Of the mark that opens it, counted from one.
    ours, theirs : str
        The first line of each side that the other does not have; empty where a side has none.
    """

    line: int
    ours: str
    theirs: str

    def sentence(self) -> str:
        """What stands on both sides, in words."""
        return f"a merge left both sides here: {_side(self.ours)} and {_side(self.theirs)};"


REMEDY = "keep the one that is right, take out the marks (<<<<<<<, =======, >>>>>>>) and read the file again."


def _side(text: str) -> str:
    return repr(text[:_SHOWN]) if text else "nothing"


def conflicts(text: str) -> Iterator[Conflict]:
    """Every conflict of a text, in order.

    A mark alone is none: only an opening one with a middle one below it.
    """
    if "<<<<<<<" not in text:
        return
    lines = text.splitlines()
    at = 0
    while at < len(lines):
        if not _OPEN.match(lines[at]):
            at += 1
            continue
        sides: tuple[list[str], list[str]] = ([], [])
        side, start, middle = 0, at, False
        at += 1
        in_base = False
        while at < len(lines) and not _CLOSE.match(lines[at]) and not _OPEN.match(lines[at]):
            if _MIDDLE.match(lines[at]):
                side, middle, in_base = 1, True, False
            elif _BASE.match(lines[at]):
                in_base = True
            elif not in_base:
                sides[side].append(lines[at])
            at += 1
        if middle:
            ours = next((line for line in sides[0] if line not in sides[1]), "")
            theirs = next((line for line in sides[1] if line not in sides[0]), "")
            yield Conflict(start + 1, ours.strip(), theirs.strip())
        at += 1
