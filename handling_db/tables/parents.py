"""Parents that no row introduces: a misspelt one would stand as a second whole, and its parts be missed.

A row introduces its child; a row without a parent introduces the top of a unit. What only ever stands in the
column of parents is the top of the one unit of a short table, or a slip of the pen.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection as Several
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from handling_db.findings import Finding, Place, Verdict
from handling_db.quantities.display import counted
from handling_db.tables.findings import MAX_LISTED
from handling_db.tables.flat_table import FlatTable

RULE = "parent-not-introduced"
NAMED = 3  # nearest names that are listed
COMPARED = 20_000  # ids; among more, only those one stroke away are looked for
LIKE = 0.8  # how alike two ids are where one may be the other misspelt; a choice of this program

FEW = 5_000  # part lines up to which plain sets are quicker than loading arrays

_MARKS = re.compile(r"[\s_\-./]+")


@dataclass(frozen=True, slots=True)
class _Top:
    """An id that stands only as a parent: in which table, its node, its first line, its rows, their nodes."""

    table: int
    node: int
    code: str
    line: int
    rows: int
    children: frozenset[int]


def settle_parents(
    tables: Sequence[FlatTable], recorded: Several[str] = ()
) -> tuple[list[FlatTable], tuple[Finding, ...]]:
    """Say which parents nothing introduces, and leave the lists open that they may belong to.

    Parameters
    ----------
    tables : sequence of FlatTable
        Read together: a row of one may introduce a parent of another.
    recorded : set of str
        Ids of the components that stand in records.

    Returns
    -------
    (list of FlatTable, tuple of Finding)
        The tables, in which what has nearly the name of such a parent counts as not fully listed.
    """
    tops = [top for at, table in enumerate(tables) for top in _tops(at, table)]
    if not tops:
        return list(tables), ()
    introduced = _introduced(tables, tops) | set(recorded)
    tops = [top for top in tops if top.code not in introduced]
    once = {top.code: top for top in sorted(tops, key=lambda top: top.rows)}  # the same in several tables
    told = any(table.roots for table in tables)
    # One unit whose top no row introduces is a plain table; only a record could be meant instead of it.
    near_by = _Near(_all_introduced(tables, tops) | set(recorded) if told or len(once) > 1 else set(recorded))
    found: list[Finding] = []
    meant: set[str] = set()
    plain: list[_Top] = []
    for top in sorted(once.values(), key=lambda top: (top.table, top.line)):
        codes = tables[top.table].codes
        below = {codes[child] for child in top.children}  # it is not what its own name was to be
        names = [name for name in near_by.names(top.code) if name not in below]
        if not told:
            names = [name for name in names if not _counts_on(name, top.code)]
            names += _larger(top, once.values())
        if not told and not names:
            plain.append(top)
            continue
        # Numbers one figure apart are near to many others, and which is meant cannot be told.
        may_be = [name for name in names if not _counts_on(name, top.code)]
        meant.update(may_be)
        found.append(_finding(tables, top, names[:NAMED], opened=bool(may_be)))
    if len(plain) > 1:
        found.append(_several(tables, plain))
    return [_opened(table, meant) for table in tables], tuple(_capped(found))


def _tops(at: int, table: FlatTable) -> Iterator[_Top]:
    """What stands only as a parent in one table."""
    usage = table.usage
    lines: dict[int, list[int]] = {}
    children: dict[int, set[int]] = {}
    for row in _rows_of_tops(table):
        node = usage.parent[row]
        lines.setdefault(node, []).append(usage.line[row])
        children.setdefault(node, set()).add(usage.child[row])
    for node, found in lines.items():
        yield _Top(at, node, table.codes[node], min(found), len(found), frozenset(children[node]))


def _rows_of_tops(table: FlatTable) -> list[int]:
    """Part lines below what stands only as a parent."""
    parents, children = table.usage.parent, table.usage.child
    if len(parents) <= FEW:
        only = set(parents) - set(children) - table.roots.keys()
        return [row for row, parent in enumerate(parents) if parent in only]
    import numpy as np

    parent = np.asarray(parents)
    top = np.zeros(len(table.codes), dtype=np.bool_)
    top[parent] = True
    top[np.asarray(children)] = False
    top[[*table.roots]] = False
    found: list[int] = np.flatnonzero(top[parent]).tolist()
    return found


def _introduced(tables: Sequence[FlatTable], tops: Sequence[_Top]) -> set[str]:
    """Which of some tops a row of another table introduces."""
    if len(tables) < 2:
        return set()
    return {top.code for top in tops} & _all_introduced(tables, tops)


def _all_introduced(tables: Sequence[FlatTable], tops: Sequence[_Top]) -> set[str]:
    """Every id that a row of any of the tables introduces."""
    found: set[str] = set()
    for at, table in enumerate(tables):
        only = {top.node for top in tops if top.table == at}
        found.update(code for node, code in enumerate(table.codes) if node not in only)
    return found


class _Near:
    """Looks up which ids are written nearly like one that is not there."""

    def __init__(self, known: set[str]) -> None:
        self.known = known
        self._bare: Mapping[str, list[str]] | None = None
        self._signs: tuple[str, ...] = ()

    def names(self, code: str) -> list[str]:
        """The nearest first: but for case, spaces and hyphens the same; one stroke away; else alike."""
        if self._bare is None:
            bare: dict[str, list[str]] = {}
            for name in self.known:
                bare.setdefault(_bare(name), []).append(name)
            self._bare = bare
            self._signs = tuple(sorted(set().union(*self.known) if self.known else ()))
        found = dict.fromkeys(sorted(self._bare.get(_bare(code), ())))
        found |= dict.fromkeys(sorted(self.known.intersection(_one_stroke(code, self._signs))))
        if not found and len(self.known) <= COMPARED:
            found = dict.fromkeys(difflib.get_close_matches(code, sorted(self.known), NAMED, LIKE))
        return [name for name in found if name != code]


def _bare(code: str) -> str:
    return _MARKS.sub("", code).casefold()


def _one_stroke(code: str, signs: Sequence[str]) -> Iterator[str]:
    """What a slip of one key makes of an id: a sign lost, added, changed, or two exchanged."""
    for at in range(len(code) + 1):
        head, tail = code[:at], code[at:]
        if tail:
            yield head + tail[1:]
        if len(tail) > 1:
            yield head + tail[1] + tail[0] + tail[2:]
        for sign in signs:
            yield head + sign + tail
            if tail:
                yield head + sign + tail[1:]


def _counts_on(one: str, other: str) -> bool:
    """Whether two ids differ in their figures only, as unit-1 and unit-2 do: mostly two units, no slip."""
    return one != other and re.sub(r"\d+", "0", one) == re.sub(r"\d+", "0", other)


def _larger(top: _Top, others: Several[_Top]) -> list[str]:
    """Tops of more rows, or earlier ones of as many, that are written nearly like a top."""
    more = {
        one.code
        for one in others
        if one.code != top.code
        and (-one.rows, one.table, one.line) < (-top.rows, top.table, top.line)
        and not _counts_on(one.code, top.code)
    }
    return _Near(more).names(top.code) if more else []


def _finding(tables: Sequence[FlatTable], top: _Top, names: Sequence[str], *, opened: bool) -> Finding:
    near = ""
    if names:
        shown = ", ".join(f"{name!r}{_where(tables, name)}" for name in names)
        near = f" Written nearly like it: {shown}."
    if opened:
        near = f"{near[:-1]}; until this is settled, not all that is in it may be listed."
    return Finding(
        RULE,
        Verdict.CANNOT_BE_CHECKED,
        top.code,
        f"no row introduces {top.code!r}, so it stands as a unit of its own with "
        f"{counted(top.rows, 'row')} below it.{near}",
        "Correct the spelling, or write a row for it: with its parent, or without one if it is a unit.",
        Place(tables[top.table].file, top.line),
        "parent",
    )


def _where(tables: Sequence[FlatTable], code: str) -> str:
    for table in tables:
        if code in table.codes:
            line = table.lines[table.codes.index(code)]
            return f" ({table.file}:{line})" if len(tables) > 1 else f" (line {line})"
    return ""


def _several(tables: Sequence[FlatTable], tops: Sequence[_Top]) -> Finding:
    """One remark for all units that no row introduces, where no name is near another."""
    named = ", ".join(repr(top.code) for top in tops[:NAMED])
    more = f" and {len(tops) - NAMED:,} more" if len(tops) > NAMED else ""
    return Finding(
        RULE,
        Verdict.REMARK,
        tops[0].code,
        f"{named}{more} stand at the top, and no row introduces them;",
        "write a row without a parent for each unit: then a misspelt parent shows.",
        Place(tables[tops[0].table].file, tops[0].line),
        "parent",
    )


def _opened(table: FlatTable, meant: set[str]) -> FlatTable:
    """The table, with the assemblies that a misspelt parent may mean counted as not fully listed."""
    nodes = {node for node, code in enumerate(table.codes) if code in meant} if meant else set()
    return replace(table, incomplete=table.incomplete | nodes) if nodes else table


def _capped(found: list[Finding]) -> list[Finding]:
    """The first of many, and how many more there are."""
    more = len(found) - MAX_LISTED
    if more <= 0:
        return found
    told = f"{more:,} more parents that no row introduces are not listed;"
    left = Finding(
        RULE, Verdict.CANNOT_BE_CHECKED, "", told, "deal with those above first.", found[0].place, "parent"
    )
    return [*found[:MAX_LISTED], left]
