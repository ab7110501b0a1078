"""Both sides of a merge that nobody has finished: where they stand and what each of them says.

Version control marks the two sides with lines of seven signs (``<<<<<<<``, ``=======``, ``>>>>>>>``; some
with ``|||||||`` for what was there before). Taken as text, both sides would count.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from handling_db.findings import Finding, Place, fault

# At the very start of a line, seven of them; a mark may carry the name of the side after a space.
_MARK = re.compile(r"^(<{7}|\|{7}|={7}|>{7})(?: (.*))?$")
_SHOWN = 3  # lines of each side that are quoted
_WIDTH = 70
RULE = "merge-marker"


@dataclass(frozen=True, slots=True)
class MergeConflict:
    """One place where two sides were put together and nobody chose.

    Parameters
    ----------
    line, last : int
        Lines of its first and last mark, counted from one; where an end is missing, the last line read.
    ours, theirs : tuple of str
        The lines of each side.
    our_name, their_name : str
        What the marks call the sides, or "".
    """

    line: int
    last: int
    ours: tuple[str, ...]
    theirs: tuple[str, ...]
    our_name: str
    their_name: str

    def sentence(self) -> str:
        """Both sides in words, with what they say."""
        one, two = self.our_name or "one side", self.their_name or "the other"
        return (
            f"lines {self.line} to {self.last} hold both sides of a merge that nobody has finished: "
            f"{one} says {_quoted(self.ours)}, {two} says {_quoted(self.theirs)};"
        )


def conflicts(text: str) -> tuple[MergeConflict, ...]:
    """Every unfinished merge of a text, in order.

    A line of equals signs alone is no mark: it counts between the two others only.
    """
    return tuple(_conflicts(text))


def _conflicts(text: str) -> Iterator[MergeConflict]:
    if "<<<<<<<" not in text and ">>>>>>>" not in text:
        return
    start = 0  # line of the open mark
    side = ""
    sides: dict[str, list[str]] = {}
    name = ""
    number = 0
    for number, line in enumerate(text.splitlines(), 1):
        mark = _MARK.match(line.rstrip())
        sign = mark[1][0] if mark else ""
        if mark and sign == "<":
            if start:  # the one before never ended
                yield _made(start, number - 1, sides, name, "")
            start, side, sides, name = number, "ours", {"ours": [], "theirs": [], "before": []}, mark[2] or ""
        elif mark and sign == ">":
            if not start:  # the upper mark was deleted by hand
                sides, name, start = {"ours": [], "theirs": []}, "", number
            yield _made(start, number, sides, name, mark[2] or "")
            start, side = 0, ""
        elif start and sign == "|":
            side = "before"
        elif start and sign == "=":
            side = "theirs"
        elif start:
            sides[side].append(line)
    if start:
        yield _made(start, number, sides, name, "")


def _made(
    start: int, last: int, sides: dict[str, list[str]], our_name: str, their_name: str
) -> MergeConflict:
    return MergeConflict(start, last, tuple(sides["ours"]), tuple(sides["theirs"]), our_name, their_name)


def _quoted(lines: tuple[str, ...]) -> str:
    said = [" ".join(line.split()) for line in lines if line.strip()]
    if not said:
        return "nothing"
    shown = "; ".join(_short(line) for line in said[:_SHOWN])
    more = f" and {len(said) - _SHOWN} more lines" if len(said) > _SHOWN else ""
    return f"'{shown}'{more}"


def _short(line: str) -> str:
    return line if len(line) <= _WIDTH else f"{line[: _WIDTH - 1]}…"


def merge_findings(text: str, name: str) -> tuple[Finding, ...]:
    """A fault for every unfinished merge of a file; with any, nothing else of the file is believed.

    Parameters
    ----------
    text : str
    name : str
        How the file is called in messages.
    """
    return tuple(
        fault(
            Place(name, conflict.line),
            "",
            conflict.sentence(),
            "keep one side and take the marks out; nothing of this file was read.",
            rule=RULE,
        )
        for conflict in conflicts(text)
    )
