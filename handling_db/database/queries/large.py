"""Other questions about components of large tables: from rows, or from a piece of the table as records."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from handling_db.database.queries.gaps import why_none
from handling_db.database.queries.records import records_of_kind
from handling_db.database.queries.weight import STATES, parts_of, stored_answer
from handling_db.errors import HandlingError
from handling_db.quantities.table import UNITS
from handling_db.weights.answer import Named, PartFigure, StateFigure, WeightAnswer

if TYPE_CHECKING:
    from handling_db.records.collection import Collection
    from handling_db.records.kinds.source import Source, SourceKind
    from handling_db.weights.graph.level_arrays import ArraySums, Levels

MOST_LINES = 20_000  # turned into records for one question
_MOST_AROUND = 2_000  # of these, lines beside it in what it goes into
_MOST_WHOLES = 50  # looked at for these
FACTORS = {unit.name: float(unit.factor) for unit in UNITS.values()}

_BELOW = """
  with recursive below(id) as (
    select ? union select u.child from usage u join below b on u.parent = b.id)
"""
_LINES = f"""
  {_BELOW} select u.parent, u.child, u.quantity, u.place
  from below b join usage u on u.parent = b.id
"""
_FIGURES = f"""
  {_BELOW} select t.component, t.state, t.best_kg, t.low_kg, t.high_kg, t.basis, t.x_m, t.y_m, t.z_m
  from below b join total t on t.component = b.id
"""
_STATEMENTS = """
  select t.component, t.printed, t.state, t.build, s.code, t.written, t.best_kg, t.low_kg, t.high_kg,
    t.doubt_from
  from statement t join source s on s.id = t.source where t.component = ? order by t.id
"""
_PARENTS = "select distinct parent from usage where child = ? order by parent"
_NAMED = "select code, name from component where id = ?"


def is_large(connection: sqlite3.Connection, code: str) -> bool:
    """Whether a component stands in a table that was too large for records."""
    row = connection.execute("select 1 from record where kind = 'component' and code = ?", (code,)).fetchone()
    return row is None


def rows_answer(
    connection: sqlite3.Connection, key: int, code: str, state: str | None, without: Sequence[str]
) -> WeightAnswer | None:
    """The stored answer, or the one with parts off, added up from rows in one pass over everything below.

    None where parts are off and that pass is not enough: states differ, or a stated whole stands for parts.

    Raises
    ------
    HandlingError
        Something that is to be off is not in it.
    """
    base = stored_answer(connection, code)
    if without:
        lines = connection.execute(_LINES, (key,)).fetchall()
        figures = connection.execute(_FIGURES, (key,)).fetchall()
        from handling_db.weights.totals import Basis  # not for what is stored: a look-up starts fast

        if any(row[1] != "every" or row[5] == Basis.WHOLE for row in figures):
            return None
        base = _without(connection, base, key, lines, figures, without)
    if state is None:
        return base
    return replace(base, states=(base.states[STATES.index(state)],))


def _without(
    connection: sqlite3.Connection,
    base: WeightAnswer,
    key: int,
    lines: Sequence[tuple[int, int, float, str | None]],
    figures: Sequence[tuple[Any, ...]],
    without: Sequence[str],
) -> WeightAnswer:
    import numpy as np

    from handling_db.weights.graph.level_arrays import add_up_arrays, sort_by_level

    off = _keys(connection, base, without, {line[1] for line in lines})
    place = {row[0]: at for at, row in enumerate(figures)}
    left = [line for line in lines if line[1] not in off]
    kept = [(place[parent], place[child], quantity) for parent, child, quantity, _ in left]
    assemblies = {place[line[0]] for line in lines}
    known = np.array([row[2] is not None for row in figures])
    columns = [np.array([row[i] or 0.0 for row in figures]) for i in (2, 3, 4)]
    parts = np.zeros(len(figures), dtype=np.bool_)
    parts[[*assemblies]] = True
    known[parts] = False
    emptied = [*(assemblies - {parent for parent, _, _ in kept})]
    known[emptied] = True  # everything in it is off: nothing is left, and that is known
    for column in columns:
        column[parts] = 0.0
    levels = sort_by_level(
        len(figures),
        np.array([line[0] for line in kept], dtype=np.int32),
        np.array([line[1] for line in kept], dtype=np.int32),
        np.array([line[2] for line in kept], dtype=np.float64),
    )
    open_lists = _open_lists(connection, place, parts)
    sums = add_up_arrays(levels, columns[0], columns[1], columns[2], known, open_lists)
    middle = _centres(levels, sums, figures, parts, [line[3] for line in left])
    at = place[key]
    complete = bool(sums.complete[at])
    unknown = () if complete else _unknown(connection, figures, kept, at, sums)
    opened = () if open_lists is None or complete else _opened(connection, figures, levels, at, open_lists)
    figure = replace(
        base.headline,
        best=float(sums.best[at]),
        low=float(sums.low[at]),
        high=float(sums.high[at]),
        complete=complete,
        basis="sum of parts",
        half_width_rss=None,
        u=None,
        planning=float(sums.high[at]) if complete else None,
        why_none="" if complete else why_none(unknown, opened),
        raised_by="",
        unknown=unknown,
        open_lists=opened,
        centre=None if middle is None or np.isnan(middle[at]).any() else tuple(middle[at].tolist()),
    )
    states: tuple[StateFigure, ...] = tuple(replace(figure, state=state) for state in STATES)
    shown: list[PartFigure] = []
    for part, child_key, _ in parts_of(connection, key):
        if child_key in off:
            continue
        node = place[child_key]
        there = bool(sums.known[node]) and bool(sums.complete[node] or sums.high[node] > 0)
        best, low, high = (float(column[node]) for column in (sums.best, sums.low, sums.high))
        shown.append(
            replace(part, known=there, complete=bool(sums.complete[node]), best=best, low=low, high=high)
        )
    left_out = tuple(sorted((named for named in off.values()), key=lambda named: named.id))
    return replace(base, states=states, parts=tuple(shown), left_out=left_out)


def _open_lists(connection: sqlite3.Connection, place: Mapping[int, int], parts: Any) -> Any:
    """Which assemblies may have parts that are not listed; None where that is none."""
    rows = connection.execute("select id from component where parts_listed = 'some'").fetchall()
    found = [place[row[0]] for row in rows if row[0] in place]
    if not found:
        return None
    out = parts & False
    out[found] = True
    return out


def _opened(
    connection: sqlite3.Connection, figures: Sequence[tuple[Any, ...]], levels: Levels, top: int, opened: Any
) -> tuple[Named, ...]:
    """The assemblies in what is left that may have parts which are not listed."""
    import numpy as np

    sizes = np.diff(np.r_[levels.first, levels.child.size])
    parent = np.repeat(levels.parents, sizes)
    inside = np.zeros(len(figures), dtype=np.bool_)
    inside[top] = True
    for place in range(parent.size - 1, -1, -1):  # the highest parents stand last
        if inside[parent[place]]:
            inside[levels.child[place]] = True
    there = np.flatnonzero(inside & opened).tolist()
    rows = [connection.execute(_NAMED, (figures[n][0],)).fetchone() for n in there]
    return tuple(Named(code, name) for code, name in sorted(rows))


def _centres(
    levels: Levels,
    sums: ArraySums,
    figures: Sequence[tuple[Any, ...]],
    parts: Any,
    placed: Sequence[str | None],
) -> Any:
    """The centre of every node with what is off taken off; None where the table gives no place. [m]"""
    import numpy as np

    from handling_db.weights.graph.level_centres import LinePlaces, array_centres

    if not any(placed):
        return None
    places = LinePlaces.unknown(len(placed))
    for line, text in enumerate(placed):
        if text is not None:
            texts, units = json.loads(text)
            six = [
                float(figure) * FACTORS[unit] if figure else 0.0
                for figure, unit in zip(texts, units, strict=True)
            ]
            places.at[line], places.turned[line] = six[:3], six[3:]
    own = np.array([[value if value is not None else np.nan for value in row[6:9]] for row in figures])
    own[parts] = np.nan  # of an assembly the stored centre is that of all its parts
    mass = np.where(sums.known, sums.best, 0.0)
    return array_centres(levels, mass, own, parts, places)


def _keys(
    connection: sqlite3.Connection, base: WeightAnswer, without: Sequence[str], inside: set[int]
) -> dict[int, Named]:
    found = {}
    for code in without:
        row = connection.execute("select id, name from component where code = ?", (code,)).fetchone()
        if row is None or row[0] not in inside:
            raise HandlingError(f"{code!r} is not in {base.name}, so it cannot be off already")
        found[row[0]] = Named(code, row[1])
    return found


def _unknown(
    connection: sqlite3.Connection,
    figures: Sequence[tuple[Any, ...]],
    lines: Sequence[tuple[int, int, float]],
    top: int,
    sums: Any,
) -> tuple[Named, ...]:
    """The parts without a mass that are left, with how many pieces of each."""
    height, complete = sums.height.tolist(), sums.complete.tolist()
    edges: dict[int, list[tuple[int, float]]] = {}
    for parent, child, quantity in lines:
        if not complete[child]:
            edges.setdefault(parent, []).append((child, quantity))
    pieces = {top: 1.0}
    for node in sorted(edges, key=lambda one: -height[one]):
        for child, quantity in edges[node] if node in pieces else ():
            pieces[child] = pieces.get(child, 0.0) + pieces[node] * quantity
    found = []
    for node, number in pieces.items():
        if figures[node][5] == "nobody knows":
            row = connection.execute(_NAMED, (figures[node][0],)).fetchone()
            found.append(Named(row[0], row[1], number))
    return tuple(sorted(found, key=lambda named: named.id))


def table_collection(connection: sqlite3.Connection, key: int, name: str) -> Collection:
    """A component of a large table, everything below it and what it goes into, as records.

    What it goes into is there with all its parts where that is little. Of the rest only the lines to what is
    here are there, so that nothing is taken for all that is in it.

    Raises
    ------
    HandlingError
        Too many lines lie below it.
    """
    from handling_db.tables.bulk.graph import SharedTerms, records_of
    from handling_db.tables.flat_table import FlatTable, Statements, Usage

    lines = connection.execute(f"{_LINES} limit ?", (key, MOST_LINES + 1)).fetchall()
    if len(lines) > MOST_LINES:
        raise HandlingError(
            f"{name} has more than {MOST_LINES:,} part lines below it, too many to be worked out anew; "
            "ask about a part of it"
        )
    inside = dict.fromkeys([key, *(row[i] for row in lines for i in (0, 1))])
    partly = _around(connection, key, inside)
    keys = [*inside, *partly]
    node = {one: place for place, one in enumerate(keys)}
    table = FlatTable("table", [], [], [], Usage(), Statements(), {}, {}, {}, 0)
    for one in keys:
        ask = "select code, name, line, parts_listed from component where id = ?"
        code, named, line, listed = connection.execute(ask, (one,)).fetchone()
        if listed == "some" or one in partly:
            table.incomplete.add(len(table.codes))
        table.codes.append(code)
        table.names.append(named)
        table.lines.append(line or 1)
    ask = "select parent, child, quantity, written, place from usage where parent = ?"
    for one in sorted(keys):
        children = [f" and child = {child}" for child in sorted(partly[one])] if one in partly else [""]
        for which in children:
            for row in connection.execute(f"{ask}{which} order by line", (one,)):
                _add_line(table, node, row)
        for row in connection.execute(_STATEMENTS, (one,)):
            _add_statement(table, node, row)
    sources, kinds = _sources(connection)
    return records_of(table, SharedTerms(sources, {}, {}), kinds)


def _around(connection: sqlite3.Connection, key: int, inside: dict[int, None]) -> dict[int, set[int]]:
    """Add what a component goes into, with all its parts, to what is inside.

    Comes back with those of which there is too much, each with the parts of it that are here.
    """
    partly: dict[int, set[int]] = {}
    left, looked, queue = _MOST_AROUND, 0, [key]
    for child in queue:
        for (whole,) in connection.execute(_PARENTS, (child,)).fetchall():
            if whole in inside:
                continue
            looked += 1
            enough = looked <= _MOST_WHOLES
            more = connection.execute(f"{_LINES} limit ?", (whole, left + 1)).fetchall() if enough else []
            if not enough or len(more) > left:
                partly.setdefault(whole, set()).add(child)
                continue
            left -= len(more)
            inside |= dict.fromkeys([whole, *(row[1] for row in more)])
            queue.append(whole)
    return {whole: children for whole, children in partly.items() if whole not in inside}


def _add_line(table: Any, node: Mapping[int, int], row: tuple[Any, ...]) -> None:
    parent, child, quantity, written, place = row
    usage = table.usage
    at = len(usage)
    usage.parent.append(node[parent])
    usage.child.append(node[child])
    usage.quantity.append(quantity)
    usage.line.append(1)
    if written is not None:
        usage.text[at] = written
    if place is not None:
        texts, units = json.loads(place)
        usage.places[at] = (0.0,) * 6  # records read the texts
        usage.place_texts[at] = (tuple(texts), tuple(units))


def _add_statement(table: Any, node: Mapping[int, int], row: tuple[Any, ...]) -> None:
    component, printed, state, build, source, written, best, low, high, doubt = row
    said = table.statements
    number, _, unit = printed.partition(" ")
    cells = json.loads(written) if written else {"boundary": None, "given": {}}
    at = len(said)
    said.node.append(node[component])
    said.best.append(best)
    said.below.append(best - low)
    said.above.append(high - best)
    said.doubt.append(doubt)
    said.number.append(number)
    said.unit.append(unit)
    said.state.append(None if state == "not stated" else state)
    said.boundary.append(cells["boundary"])
    said.build.append(build)
    said.source.append(source)
    said.line.append(1)
    said.earlier.append(-1)
    if cells["given"]:
        said.given[at] = {role: tuple(pair) for role, pair in cells["given"].items()}


def _sources(connection: sqlite3.Connection) -> tuple[dict[str, Source], dict[str, SourceKind]]:
    return records_of_kind(connection, "source"), records_of_kind(connection, "source kind")
