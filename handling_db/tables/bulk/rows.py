"""Rows of large tables on their way into the database, whole columns at a time."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from handling_db.lookup.as_json import shared_text
from handling_db.lookup.plan import INFERRED, NOBODY_WEIGHED
from handling_db.lookup.rests_kept import rests_text
from handling_db.records.parts.texts import State
from handling_db.tables.bulk.figures import incomplete_lists
from handling_db.tables.bulk.graph import Graph
from handling_db.tables.bulk.inferred import NOBODY, LeftByWholes
from handling_db.tables.bulk.pages.fields import as_list
from handling_db.tables.bulk.pages.filled import fill_table
from handling_db.tables.bulk.pages.texts import TextColumn
from handling_db.tables.bulk.totals import Large
from handling_db.tables.masses import HALF_ASSUMED
from handling_db.weights.answer import Rests
from handling_db.weights.totals import Basis

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from handling_db.tables.bulk.pages.fields import Column

    Columns = dict[str, Column]

EVERY = "every"  # one row stands for the three states where they are the same
WHY_NONE = "a part in it has no mass"

_BASIS = (
    Basis.UNKNOWN.value,
    Basis.STATEMENT.value,
    Basis.SUM.value,
    Basis.WHOLE.value,
    INFERRED,
    NOBODY_WEIGHED[0],
)

Tell = Callable[[str, int, int], None]
_Said = TypeVar("_Said")
_Meant = TypeVar("_Meant")

_VERDICT = """
  update statement set verdict = ?, because = ?, parts_low_kg = ?, parts_high_kg = ?, gap_low_kg = ?,
    gap_high_kg = ?, missing_low_kg = ?, missing_high_kg = ?, shared = ? where id = ?
"""

_VALUES = 160  # put in by one statement: fewer calls, and far from the limit of 999 values


def write_large(
    connection: sqlite3.Connection,
    large: Large,
    offset: int,
    sources: Mapping[str, int],
    file_name: Callable[[str], str],
    tell: Tell,
) -> None:
    """Put the rows of large tables in, before any others of their kinds.

    Parameters
    ----------
    connection : sqlite3.Connection
        Outside of any transaction; its file has the tables and the indexes of these.
    large : Large
    offset : int
        Key of the component before the first node.
    sources : mapping of source id to key
    file_name : function of a file's path
        What the file is called in the database.
    tell : function of (what, done, of)
    """
    tell("writing", 0, 4)
    put_columns(connection, "component", _components(large, offset, file_name))
    tell("writing", 1, 4)
    put_columns(connection, "usage", _usage(large, offset))
    tell("writing", 2, 4)
    put_columns(connection, "statement", _statements(large, offset, sources))
    _write_verdicts(connection, large)
    tell("writing", 3, 4)
    put_columns(connection, "total", _totals(large, offset))
    tell("writing", 4, 4)


def put_columns(connection: sqlite3.Connection, table: str, columns: Columns) -> None:
    """Put rows in that come as columns of one length, by pages, or by statements where that cannot be."""
    if len(next(iter(columns.values()))) and not fill_table(connection, table, columns):
        connection.execute("begin")
        insert_columns(connection, table, {name: as_list(column) for name, column in columns.items()})
        connection.execute("commit")


def insert_columns(connection: sqlite3.Connection, table: str, columns: Mapping[str, Sequence[Any]]) -> None:
    """Put rows in that come as columns of one length; a column of nothing but None is left out."""
    count = len(next(iter(columns.values())))
    if not count:
        return
    written: dict[str, str] = {}
    given: dict[str, Sequence[Any]] = {}
    for name, column in columns.items():
        alike = column[0] is column[-1] and column.count(column[0]) == count
        if alike and column[0] is None:
            continue
        if alike and isinstance(column[0], str | int):
            written[name] = _in_sql(column[0])  # handed over once and not for each row
        else:
            given[name] = column
    if not given:
        given = {(name := next(iter(written))): columns[name]}
        written.pop(name)
    names = ", ".join([*given, *written])
    row = f"({', '.join(['?'] * len(given) + [*written.values()])})"
    together = max(_VALUES // len(given), 1)
    whole = count - count % together
    if whole:
        parts = [column[i:whole:together] for i in range(together) for column in given.values()]
        rows = ", ".join([row] * together)
        connection.executemany(f"insert into {table} ({names}) values {rows}", zip(*parts, strict=True))
    rest = [column[whole:] for column in given.values()]
    connection.executemany(f"insert into {table} ({names}) values {row}", zip(*rest, strict=True))


def _in_sql(value: str | int) -> str:
    """A value as it stands in a statement."""
    if isinstance(value, int):
        return str(int(value))
    return "'" + value.replace("'", "''") + "'"


def _components(large: Large, offset: int, file_name: Callable[[str], str]) -> Columns:
    import numpy as np

    table = large.graph.table
    called = {file: file_name(file) for file in set(large.graph.file)}
    assembly = np.diff(large.graph.start) > 0
    codes = TextColumn.of(table.codes)
    return {
        "id": range(offset + 1, offset + 1 + len(table.codes)),
        "code": codes,
        "name": codes if table.names == table.codes else TextColumn.of(table.names),
        "kind": TextColumn.chosen(("part", "assembly"), assembly.astype(np.intp)),
        "parts_listed": TextColumn.chosen((None, "all", "some"), _parts_listed(large.graph, assembly)),
        "height": large.height,
        "file": [called[file] for file in large.graph.file],
        "line": np.array(table.lines),
    }


def _parts_listed(graph: Graph, assembly: NDArray[np.bool_]) -> NDArray[np.intp]:
    """By node, 0 for what lists no parts, 1 for all of them and 2 for some."""
    import numpy as np

    incomplete = incomplete_lists(graph)
    lacking = assembly & (graph.table.parts_listed != "all" if incomplete is None else incomplete)
    found: NDArray[np.intp] = assembly.astype(np.intp) + lacking
    return found


def _usage(large: Large, offset: int) -> Columns:
    """Part lines sorted by parent, child and line, so that the table only grows at its end."""
    import numpy as np

    graph = large.graph
    order = graph.of_parent
    parent = graph.parent[order].astype(np.int64)
    line = np.arange(order.size) - graph.start[parent] + 1
    child = graph.child[order]
    by_key = np.argsort(parent * len(graph.table.codes) + child, kind="stable")
    parent, child, line, order = parent[by_key], child[by_key], line[by_key], order[by_key]
    usage = graph.table.usage
    places = {line: json.dumps(texts) for line, texts in usage.place_texts.items()}
    return {
        "parent": parent + (offset + 1),
        "child": child.astype(np.int64) + (offset + 1),
        "line": line,
        "quantity": graph.quantity[order],
        **_sparse("written", usage.text, order),
        **_sparse("place", places, order),
    }


def _sparse(name: str, values: Mapping[int, str], order: NDArray[np.intp]) -> Columns:
    """A column of what there is for some of the rows, in their order; none where there is nothing."""
    return {name: [values.get(index) for index in order.tolist()]} if values else {}


def _write_verdicts(connection: sqlite3.Connection, large: Large) -> None:
    """What became of the figures that were compared."""
    if not large.judged:
        return
    connection.execute("begin")
    connection.executemany(
        _VERDICT,
        (
            (
                str(one.verdict),
                one.because or None,
                *(one.parts or (None, None)),
                *(one.gap or (None, None)),
                *(one.missing or (None, None)),
                shared_text(one.shared),
                1 + index,
            )
            for index, one in sorted(large.judged.items())
        ),
    )
    connection.execute("commit")


def _statements(large: Large, offset: int, sources: Mapping[str, int]) -> Columns:
    """Statements keyed in the order of the tables, with the place each has among those of its component."""
    import numpy as np

    table, own, said = large.graph.table, large.own, large.said
    to = table.statements
    position = np.zeros(len(to), dtype=np.int64)
    for indices in own.several.values():
        for place, index in enumerate(indices):
            position[index] = place
    sides = {text: (_side(counts), _side(without)) for text, (counts, without) in said.boundaries.items()}
    known = {text: None not in boundary for text, boundary in said.boundaries.items()}
    chosen = {code: int(kind.chosen not in {"no", "last"}) for code, kind in said.kind_of.items()}
    written: list[str | None] = [None] * len(to)
    if to.given or len(known) > 1:
        for index, boundary in enumerate(to.boundary):
            if boundary is not None or index in to.given:
                cells = {"boundary": boundary, "given": to.given.get(index, {})}
                written[index] = json.dumps(cells, sort_keys=True)
    return {
        "id": range(1, len(to) + 1),
        "component": np.array(to.node, dtype=np.int64) + (offset + 1),
        "position": position,
        "printed": [f"{number} {unit}" for number, unit in zip(to.number, to.unit, strict=True)],
        "best_kg": np.array(own.best),
        "low_kg": np.array(own.low),
        "high_kg": np.array(own.high),
        "doubt_from": _each(to.doubt, lambda doubt: "half the step" if doubt == HALF_ASSUMED else doubt),
        "step_assumed": _each(to.doubt, lambda doubt: int(doubt == HALF_ASSUMED)),
        "state": _each(to.state, lambda state: state or "not stated"),
        "counts": _each(to.boundary, lambda text: sides[text][0]),
        "without": _each(to.boundary, lambda text: sides[text][1]),
        "boundary_known": _each(to.boundary, lambda text: int(known[text])),
        "source": _each(to.source, lambda code: sources[code or ""]),
        "build": to.build,
        "chosen": _each(to.source, chosen.__getitem__),
        "written": written,
    }


def _each(values: Sequence[_Said], meaning: Callable[[_Said], _Meant]) -> list[_Meant]:
    """What each of many values means, of which few are different."""
    means = {value: meaning(value) for value in set(values)}
    return [*means.values()] * len(values) if len(means) == 1 else [means[value] for value in values]


def _side(value: str | tuple[str, ...] | None) -> str:
    return "nobody looked" if value is None else value if isinstance(value, str) else ", ".join(value)


def _totals(large: Large, offset: int) -> Columns:
    """One row a component where all states are the same, else three, in the order of the key."""
    count = large.height.size
    by_state = {state: _in_state(large, state) for state in sorted(large.totals)}
    first = next(iter(by_state.values()))
    keys: Columns = {"component": range(offset + 1, offset + 1 + count), "state": [EVERY] * count}
    if len(by_state) == 1:
        return {**keys, **first, "worked_out": [0] * count}
    names = [name for name in first if any(name in columns for columns in by_state.values())]
    rows = {
        state: list(zip(*(as_list(columns[name]) for name in names), strict=True))
        for state, columns in by_state.items()
    }
    out: list[tuple[Any, ...]] = []
    for node, same in enumerate(zip(*rows.values(), strict=True), offset + 1):
        if same[0] == same[1] == same[2]:
            out.append((node, EVERY, *same[0]))
        else:
            out += [(node, state, *row) for state, row in zip(rows, same, strict=True)]
    columns: list[list[Any]] = [list(column) for column in zip(*out, strict=True)]
    return {**dict(zip([*keys, *names], columns, strict=True)), "worked_out": [0] * len(out)}


def _in_state(large: Large, state: State) -> Columns:
    import numpy as np

    statements, said = large.graph.table.statements, large.said
    one, left = large.totals[state], large.left[state]
    sums = one.sums
    # Assemblies of which nothing is known are left without a figure, like parts nobody weighed.
    there = sums.known & (sums.complete | (sums.high > 0))
    leaf = large.height == 0
    basis = np.where(leaf, np.where(sums.known, 1, 0), 2)
    basis[sums.whole] = 3
    kinds = {code: place for place, code in enumerate(said.kind_of, 1)}
    kind_of = np.array([*_each(statements.source, kinds.__getitem__), 0])  # the last of none
    stated = np.where(leaf, one.handed, -1)
    raised: list[str | None] = [None] * large.height.size
    for node, index in one.raised_by.items():
        raised[node] = statements.printed(index)
    basis[left.inferred] = 4
    basis[left.inferred & leaf] = 5
    there |= left.inferred
    complete = sums.complete | left.inferred
    low, high = (
        np.where(left.inferred, new, old) for new, old in ((left.low, sums.low), (left.high, sums.high))
    )
    best = np.where(left.inferred, (low + high) / 2.0, sums.best)
    return {
        "best_kg": np.where(there, best, np.nan),
        "low_kg": np.where(there, low, np.nan),
        "high_kg": np.where(there, high, np.nan),
        "complete": complete.astype(np.int64),
        "basis": TextColumn.chosen(_BASIS, basis),
        "from_kind": TextColumn.chosen(
            [None, *(kind.name for kind in said.kind_of.values())], kind_of[stated]
        ),
        "plan_kg": np.where(complete, np.where(left.inferred, high, one.plan), np.nan),
        "why_none": TextColumn.chosen((WHY_NONE, None), complete.astype(np.intp)),
        "raised_by": raised,
        "rests": _rests(large, left),
        **_centre(one.centre, there),
    }


def _rests(large: Large, left: LeftByWholes) -> list[str | None]:
    """By node, what a limit rests on that only a whole around gives."""
    import numpy as np

    table, kinds = large.graph.table, large.said.kind_of
    found: list[str | None] = [None] * large.height.size
    for node in np.flatnonzero(left.inferred).tolist():
        index = int(left.behind[node])
        rests = Rests(inferred=True, ranged=True)
        if index != NOBODY:
            rests = Rests(
                inferred=True,
                ranged=True,
                whole=table.names[table.statements.node[index]],
                printed=table.statements.printed(index),
                alone=bool(left.alone[node]),
                weighed=kinds[table.statements.source[index]].name == "weighed",
            )
        found[node] = rests_text(rests)
    return found


def _centre(centre: NDArray[np.float64] | None, there: NDArray[np.bool_]) -> Columns:
    """Three columns of centres, where the tables give any place."""
    import numpy as np

    if centre is None:
        return {}
    known = there & ~np.isnan(centre).any(axis=1)
    return {name: np.where(known, centre[:, axis], np.nan) for axis, name in enumerate(("x_m", "y_m", "z_m"))}
