"""What goes into what, where a sheet shows it by levels, outline numbers or how far a name is set in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.tables.sheets.grid import SheetRow
from handling_db.tables.sheets.layout import Layout

_LEVEL = re.compile(r"[.\-+\s·>]*(?:l|lvl|level|ebene|stufe)?\.?\s*(\d{1,2})(?:\.0)?", re.IGNORECASE)
_OUTLINE = re.compile(r"\d+(?:\.\d+)*\.?")


@dataclass(frozen=True, slots=True)
class Trees:
    """Parents of rows.

    Parameters
    ----------
    parent : tuple of (int or None)
        For each row the index of the row it goes into; None for a root.
    wrong : mapping of int to str
        By index, why no parent could be found.
    shown_by : str
        What showed it: levels, outline numbers, indents; empty where nothing does.
    """

    parent: tuple[int | None, ...]
    wrong: dict[int, str]
    shown_by: str = ""


def find_tree(rows: Sequence[SheetRow], layout: Layout) -> Trees:
    """The parents of the rows of a sheet that has no column for them."""
    if "parent" in layout.columns:
        return Trees((None,) * len(rows), {})
    if "level" in layout.columns:
        texts = [row.at(layout.columns["level"]).text for row in rows]
        depths = [int(found[1]) if (found := _LEVEL.fullmatch(text)) else None for text in texts]
        wrong = {
            i: f"{texts[i]!r} is no level; write 0, 1, 2 and so on"
            for i, depth in enumerate(depths)
            if depth is None
        }
        return _by_depth(depths, wrong, "levels")
    if "position" in layout.columns:
        texts = [row.at(layout.columns["position"]).text for row in rows]
        found_tree = _by_outline(texts)
        if found_tree is not None:
            return found_tree
    if "name" in layout.columns:
        indents = [row.at(layout.columns["name"]).indent for row in rows]
        if len(set(indents)) > 1 and indents and indents[0] == min(indents):
            return _by_depth(_depths(indents), {}, "indents")
    return Trees((None,) * len(rows), {})


def _depths(indents: Sequence[int]) -> list[int | None]:
    """How deep each row stands, from how far it is set in."""
    open_: list[int] = []
    out: list[int | None] = []
    for indent in indents:
        while open_ and indent < open_[-1]:
            open_.pop()
        if not open_ or indent > open_[-1]:
            open_.append(indent)
        out.append(len(open_) - 1)
    return out


def _by_depth(depths: Sequence[int | None], wrong: dict[int, str], shown_by: str) -> Trees:
    """A row goes into the last row above it that stands one level higher."""
    known = [depth for depth in depths if depth is not None]
    top = min(known, default=0)
    last: dict[int, int] = {}
    parents: list[int | None] = []
    before: int | None = None
    for i, depth in enumerate(depths):
        if depth is None:
            parents.append(None)
            last = {level: row for level, row in last.items() if level < (before or top)}
            continue
        if depth > top and depth - 1 not in last:
            wrong[i] = f"level {depth} has no row of level {depth - 1} above it; put the levels right"
            parents.append(None)
        else:
            parents.append(last[depth - 1] if depth > top else None)
        last = {level: row for level, row in last.items() if level < depth} | {depth: i}
        before = depth
    return Trees(tuple(parents), wrong, shown_by)


def _by_outline(texts: Sequence[str]) -> Trees | None:
    """Outline numbers 1, 1.1, 1.2, 1.2.1; None where the column only numbers the rows."""
    plain = [text.rstrip(".") for text in texts]
    if not all(_OUTLINE.fullmatch(text) for text in texts if text) or not any("." in text for text in plain):
        return None
    first: dict[str, int] = {}
    wrong: dict[int, str] = {}
    parents: list[int | None] = []
    for i, text in enumerate(plain):
        above = text.rpartition(".")[0]
        parents.append(first.get(above) if above else None)
        if not text:
            wrong[i] = "has no outline number, so it is not known what it goes into"
        elif text in first:
            wrong[i] = (
                f"the outline number {text} stands there twice; a number 1.10 becomes 1.1: type it as text"
            )
        elif above and above not in first:
            wrong[i] = f"{text} has no row {above} above it; put the outline numbers right"
        first.setdefault(text, i)
    return Trees(tuple(parents), wrong, "outline numbers")
