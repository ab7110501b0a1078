"""Rows of large tables on their way into the database: columns zipped together, one statement a table."""

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
from handling_db.tables.bulk.inferred import NOBODY, LeftByWholes
from handling_db.tables.bulk.inserting import Columns, insert_columns
from handling_db.tables.bulk.totals import Large
from handling_db.tables.masses import HALF_ASSUMED
from handling_db.weights.answer import Rests
from handling_db.weights.totals import Basis

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

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


def write_components(
    connection: sqlite3.Connection, large: Large, offset: int, file_name: Callable[[str], str], tell: Tell
) -> None:
    """Put the components of large tables in, which the other rows refer to.

    Parameters
    ----------
    connection : sqlite3.Connection
        In a transaction.
    large : Large
    offset : int
        Key of the component before the first node.
    file_name : function of a file's path
        What the file is called in the database.
    tell : function of (what, done, of)
    """
    tell("writing", 0, 4)
    insert_columns(connection, "component", _components(large, offset, file_name))


def write_large(
    connection: sqlite3.Connection,
    large: Large,
    offset: int,
    sources: Mapping[str, int],
    tell: Tell,
) -> None:
    """Put the other rows of large tables in.

    Parameters
    ----------
    connection : sqlite3.Connection
        In a transaction.
    large : Large
    offset : int
        Key of the component before the first node.
    sources : mapping of source id to key
    tell : function of (what, done, of)
    """
    tell("writing", 1, 4)
    insert_columns(connection, "usage", _usage(large, offset))
    tell("writing", 2, 4)
    _write_statements(connection, large, offset, sources)
    tell("writing", 3, 4)
    insert_columns(connection, "total", _totals(large, offset))
    tell("writing", 4, 4)


def _components(large: Large, offset: int, file_name: Callable[[str], str]) -> Columns:
    import numpy as np

    graph, table = large.graph, large.graph.table
    assembly = np.diff(graph.start) > 0
    kinds = ["assembly" if whole else "part" for whole in assembly.tolist()]
    for node, kind in table.kinds.items():
        if kind == "set" and not assembly[node]:
            kinds[node] = "set"
    listed = ["all" if whole else None for whole in assembly.tolist()]
    incomplete = incomplete_lists(graph)
    for node in [] if incomplete is None else np.flatnonzero(incomplete & assembly).tolist():
        listed[node] = "some"
    return {
        "id": range(offset + 1, offset + 1 + len(table.codes)),
        "code": table.codes,
        "name": table.names,
        "kind": kinds,
        "part_number": _sparse(table.part_numbers, np.arange(len(table.codes))),
        "remark": _sparse(table.remarks, np.arange(len(table.codes))),
        "parts_listed": listed,
        "height": large.height,
        "file": _each(graph.file, file_name),
        "line": table.lines,
    }


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
        "child": child + (offset + 1),
        "line": line,
        "quantity": graph.quantity[order],
        "written": _sparse(usage.text, order),
        "place": _sparse(places, order),
    }


def _sparse(values: Mapping[int, str], order: NDArray[np.intp]) -> list[str | None]:
    """What there is for some of the rows, in their order."""
    if not values:
        return [None] * order.size
    return [values.get(index) for index in order.tolist()]


def _write_statements(
    connection: sqlite3.Connection, large: Large, offset: int, sources: Mapping[str, int]
) -> None:
    """Statements keyed in the order of the tables, with the place each has among those of its component."""
    said = large.graph.table.statements
    insert_columns(connection, "statement", _statements(large, offset, sources))
    first = connection.execute("select coalesce(max(id), 0) from statement").fetchone()[0] - len(said) + 1
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
                first + index,
            )
            for index, one in sorted(large.judged.items())
        ),
    )


def _statements(large: Large, offset: int, sources: Mapping[str, int]) -> Columns:
    table, own, said = large.graph.table, large.own, large.said
    to = table.statements
    position = [0] * len(to)
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
        "component": [node + offset + 1 for node in to.node],
        "position": position,
        "printed": [f"{number} {unit}" for number, unit in zip(to.number, to.unit, strict=True)],
        "best_kg": own.best,
        "low_kg": own.low,
        "high_kg": own.high,
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
    rows = {
        state: list(zip(*map(_listed, columns.values()), strict=True)) for state, columns in by_state.items()
    }
    out: list[tuple[Any, ...]] = []
    for node, same in enumerate(zip(*rows.values(), strict=True), offset + 1):
        if same[0] == same[1] == same[2]:
            out.append((node, EVERY, *same[0]))
        else:
            out += [(node, state, *row) for state, row in zip(rows, same, strict=True)]
    columns: list[list[Any]] = [list(column) for column in zip(*out, strict=True)]
    return {**dict(zip([*keys, *first], columns, strict=True)), "worked_out": [0] * len(out)}


def _listed(column: Sequence[Any] | NDArray[Any]) -> Sequence[Any]:
    """A column as values that can be compared; None in place of what is no number."""
    if isinstance(column, Sequence):
        return column
    return [None if value != value else value for value in column.tolist()]


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
    names = {code: kind.name for code, kind in said.kind_of.items()}
    names_of = [*_each(statements.source, names.__getitem__), ""]  # the last of -1, which is none
    stated = np.where(leaf, one.handed, -1).tolist()
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
    return {
        "best_kg": _known(np.where(left.inferred, (low + high) / 2.0, sums.best), there),
        "low_kg": _known(low, there),
        "high_kg": _known(high, there),
        "complete": complete.astype(np.int8),
        "basis": [_BASIS[code] for code in basis.tolist()],
        "from_kind": [names_of[index] or None for index in stated],
        "plan_kg": _known(np.where(left.inferred, high, one.plan), complete),
        "why_none": [None if full else WHY_NONE for full in complete.tolist()],
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
    return {name: _known(centre[:, axis], known) for axis, name in enumerate(("x_m", "y_m", "z_m"))}


def _known(figure: NDArray[np.float64], there: NDArray[np.bool_]) -> NDArray[np.float64]:
    """A column of figures, not a number where there is none."""
    import numpy as np

    return np.where(there, figure, np.nan)
