"""Building the database from large flat tables: whole columns at a time, no record a row."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.checker import check, closing_words
from handling_db.files.folders import reference_folder
from handling_db.findings import Finding, Place, Verdict, fault
from handling_db.quantities.display import counted
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.component import Component
from handling_db.records.parts.texts import State
from handling_db.tables.bulk.causes import with_causes
from handling_db.tables.bulk.compare import (
    JudgedRow,
    find_circle,
    judge_wholes,
    masses_missing,
    sum_findings,
    unknown_ids,
)
from handling_db.tables.bulk.figures import Own, StateTotals, own_figures, states_apart, totals_in
from handling_db.tables.bulk.graph import Graph, SharedTerms, as_graph, name_sources
from handling_db.tables.bulk.inferred import LeftByWholes, in_any_state, left_by_wholes
from handling_db.tables.bulk.looked_at import LOOKED_AT, NOT_LOOKED_AT
from handling_db.tables.bulk.places import place_findings
from handling_db.tables.flat_table import FlatTable
from handling_db.weights.compare import Judge
from handling_db.weights.graph.level_arrays import Levels, array_heights, sort_by_level
from handling_db.weights.graph.levels import CYCLE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Tell = Callable[[str, int, int], None]
_LISTED = 20  # clashes that are named one by one


@dataclass(frozen=True, slots=True)
class Large:
    """Large tables, added up and checked.

    Parameters
    ----------
    totals : mapping of state to StateTotals
        One entry where all states are the same, else three.
    judged : mapping of statement to JudgedRow
    findings : list of Finding
        What these tables gave.
    closing : str
    left : mapping of state to LeftByWholes
        What wholes leave for nodes without an upper figure.
    """

    graph: Graph
    said: SharedTerms
    own: Own
    totals: Mapping[State, StateTotals]
    height: NDArray[np.int32]
    judged: Mapping[int, JudgedRow]
    findings: list[Finding]
    closing: str
    left: Mapping[State, LeftByWholes]


def add_up_large(tables: Sequence[FlatTable], collection: Collection, tell: Tell) -> Large | list[Finding]:
    """Add large tables up and check them.

    Parameters
    ----------
    tables : sequence of FlatTable
    collection : Collection
        The records beside them, with the kinds of source.
    tell : function of (what, done, of)

    Returns
    -------
    Large, or list of Finding
        The faults, where there are any.
    """
    tell("adding up", 0, 4)
    kinds = collection.source_kinds
    faults = clashes(tables, collection)
    if faults:
        return faults
    named, said = name_sources(tables, kinds, collection.sources)
    graph = as_graph(named)
    tell("adding up", 1, 4)
    height = array_heights(len(graph.table.codes), graph.parent, graph.child)
    faults += unknown_ids(graph, said)
    if height.size and int(height.min()) == CYCLE:
        circle = find_circle(graph, height.tolist())
        faults += [circle] if circle else []
    if faults:
        return faults
    levels: Levels = sort_by_level(height.size, graph.parent, graph.child, graph.quantity, height)
    own = own_figures(graph, said, kinds)
    tell("adding up", 2, 4)
    totals = {state: totals_in(graph, levels, own, said, state) for state in states_apart(graph)}
    tell("adding up", 3, 4)
    too_large = _too_large(graph, totals)
    if too_large:
        return too_large
    depths = height.tolist()
    judged = judge_wholes(graph, own, said, totals, kinds)
    judged, untold = with_causes(graph, next(iter(totals.values())).sums, judged, depths)
    findings = [untold] if untold else []
    findings += sum_findings(graph, own, said, judged, depths)
    missing = _unweighed(height, totals)
    lacking = masses_missing(graph, missing)
    findings += [lacking] if lacking else []
    findings += place_findings(graph)
    closing = _closing(graph, judged, len(missing))
    left = {state: left_by_wholes(graph, levels, own, said, one) for state, one in totals.items()}
    return Large(graph, said, own, totals, height, judged, findings, closing, in_any_state(left))


def _unweighed(height: NDArray[np.int32], totals: Mapping[State, StateTotals]) -> list[int]:
    import numpy as np

    known = next(iter(totals.values())).sums.known
    found: list[int] = np.flatnonzero((height == 0) & ~known).tolist()
    return found


def _too_large(graph: Graph, totals: Mapping[State, StateTotals]) -> list[Finding]:
    """A total beyond what a number can hold, which no machine weighs."""
    import numpy as np

    for state in totals.values():
        beyond = np.flatnonzero(~np.isfinite(state.sums.high))
        if beyond.size:
            node = int(beyond[0])
            place = Place(graph.file[node], graph.table.lines[node])
            told = f"the total of {graph.table.codes[node]!r} is larger than any number that can be kept;"
            return [fault(place, "quantity", told, "correct the quantities below it.", rule="quantity")]
    return []


def clashes(tables: Sequence[FlatTable], collection: Collection) -> list[Finding]:
    """What a large table and the records around it, or two large tables, cannot both say."""
    found: list[Finding] = []
    owner: dict[str, str] = {}
    for table in tables if len(tables) > 1 else ():
        codes = table.codes
        assemblies = {codes[node] for node in set(table.usage.parent)}
        twice = [code for code in sorted(assemblies) if owner.setdefault(code, table.file) != table.file]
        line = dict(zip(codes, table.lines, strict=True)) if twice else {}
        for code in twice[:_LISTED]:
            told = f"the parts of {code!r} are listed in {owner[code]} as well;"
            found.append(
                fault(Place(table.file, line[code]), "parent", told, "list them in one table.", about=code)
            )
    known = {code for table in tables for code in table.codes} if _reaches_out(collection) else set()
    for kind, record in collection.records():
        for field, code in _touched(kind, record):
            if code in known:
                told = (
                    f"{code!r} stands in a table with more rows than can be turned into records, and records "
                    "cannot add to what such a table says of it;"
                )
                remedy = "write it into the table, or split the table so that each has at most 5,000 rows."
                found.append(fault(collection.place(kind, record.id, field), field, told, remedy, about=code))
    return found


def _reaches_out(collection: Collection) -> bool:
    return bool(collection.components or collection.weighings)


def _touched(kind: str, record: object) -> list[tuple[str, str]]:
    """The components whose mass or parts a record has to do with, each with the field that says so."""
    if isinstance(record, Component):
        return [("component", record.id), *(("parts", line.component) for line in record.parts)]
    return [("of", getattr(record, "of", ""))] if kind == "weighing" else []


def _closing(graph: Graph, judged: Mapping[int, JudgedRow], missing: int) -> str:
    """What was compared and what was not."""
    import numpy as np

    assemblies = int(np.count_nonzero(np.diff(graph.start)))
    wholes = len({graph.table.statements.node[index] for index in judged})
    counts = {v: sum(one.verdict is v for one in judged.values()) for v in Verdict}
    compared = "Nothing was compared: no assembly of the table has a stated whole."
    if judged:
        compared = (
            f"{counted(len(judged), 'stated figure')} of {counted(wholes, 'assembly', 'assemblies')}: "
            f"{counts[Verdict.AGREES]:,} agree, {counts[Verdict.DISAGREES]:,} disagree, "
            f"{counts[Verdict.CANNOT_BE_CHECKED]:,} cannot be checked."
        )
    lonely = assemblies - wholes
    rest = (
        f" Not compared: {counted(lonely, 'assembly', 'assemblies')} without a stated whole."
        if lonely
        else ""
    )
    gaps = f"{counted(missing, 'part')} without a mass and " if missing else ""
    return (
        f"{compared}{rest} Of a table of this size only {LOOKED_AT} are looked at, not {NOT_LOOKED_AT}. "
        f"Stays open: {gaps}whether the unit in hand is built as recorded."
    )


def stand_ins(large: Large, collection: Collection) -> Collection:
    """The records, with a bare component for each node of the tables that a note or fixture speaks of."""
    wanted = {note.about.id for note in collection.notes.values() if note.about.kind == "component"}
    wanted |= {need.component for fixture in collection.fixtures.values() for need in fixture.needed_by}
    wanted -= collection.components.keys()
    table = large.graph.table
    if not wanted:
        return collection
    found = [
        Component.model_validate({"component": code, "name": name, "kind": "part"})
        for code, name in zip(table.codes, table.names, strict=True)
        if code in wanted
    ]
    return collect(
        [*collection.records(), *(("component", component) for component in found)], collection.lines
    )


def _only_shipped(collection: Collection) -> bool:
    """Whether there is nothing beside the tables but what comes with the program, which has no fault."""
    shipped = str(reference_folder())
    return all(
        kind == "material" if place is None else kind == "source kind" and place.file.startswith(shipped)
        for kind, record in collection.records()
        for place in [collection.place(kind, record.id)]
    )


def check_around(
    large: Large, collection: Collection, as_of: datetime.date | None = None
) -> tuple[list[Finding], str]:
    """What the checker says of the records beside the tables, and what it compared there."""
    if _only_shipped(collection):
        return [], ""
    whole = stand_ins(large, collection)
    invented = whole.components.keys() - collection.components.keys()
    findings = [finding for finding in check(whole, as_of=as_of) if finding.about not in invented]
    closing = closing_words(collection, findings, judge=Judge(collection)) if collection.components else ""
    return findings, closing
