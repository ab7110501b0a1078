"""What each node of a large table hands upward, and what to plan with, state by state.

The rules are those of the records: a part hands up its most trusted figure, a whole stands in only where
parts are missing and its boundary is known, a guess never counts, a hint only where nothing better is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.quantities.number_text import MACHINE_DIGITS, step_range
from handling_db.quantities.table import UNITS
from handling_db.records.kinds.source import SourceKind
from handling_db.records.parts.texts import STATES, State
from handling_db.tables.bulk.graph import Graph, SharedTerms, by_trust
from handling_db.tables.flat_table import Statements
from handling_db.tables.masses import HALF_ASSUMED
from handling_db.tables.numbers import assumed_step
from handling_db.weights.graph.level_arrays import (
    ArraySums,
    Levels,
    add_up_arrays,
    sum_below,
)
from handling_db.weights.graph.level_centres import LinePlaces, array_centres

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_OUT = 4 * 2.0**-53  # two roundings on the way from the text to a limit, relative


@dataclass(frozen=True, slots=True)
class Own:
    """The figures of the statements, and in which order they are trusted.

    Parameters
    ----------
    best, low, high : list of float
        By statement; limits rounded outward. [kg]
    first : array of int
        By node, its statement where it has exactly one, -1 where none, -2 where several.
    several : mapping of node to list of int
        The statements of nodes that have more than one, the most trusted first.
    """

    best: list[float]
    low: list[float]
    high: list[float]
    first: NDArray[np.int64]
    several: Mapping[int, list[int]]

    def of(self, node: int) -> list[int]:
        """The statements of one node, the most trusted first."""
        index = int(self.first[node])
        return self.several[node] if index == -2 else [index] if index >= 0 else []


@dataclass(frozen=True, slots=True)
class StateTotals:
    """The totals of all nodes in one state.

    Parameters
    ----------
    sums : ArraySums
    handed : array of int
        By node, the statement that is handed upward; -1 where a sum or nothing is.
    plan : array of float
        The heaviest believable figure; not a number where there is none. [kg]
    centre : array of float, nodes by 3, or None
        Centre of gravity of the known part in the node's own frame, not a number where it is not known; None
        where the tables give no place. [m]
    raised_by : mapping of node to int
        The statement that lies above the figure handed upward.
    step_play : (array of float, array of float), optional
        By node, how much its limits would move in, and out, with other steps of rounding than those assumed;
        None where no assembly has a stated whole to compare. [kg]
    """

    sums: ArraySums
    handed: NDArray[np.int64]
    plan: NDArray[np.float64]
    raised_by: Mapping[int, int]
    centre: NDArray[np.float64] | None = None
    step_play: tuple[NDArray[np.float64], NDArray[np.float64]] | None = None


def own_figures(graph: Graph, said: SharedTerms, kinds: Mapping[str, SourceKind]) -> Own:
    """The figures of all statements with their limits, and the order of trust."""
    import numpy as np

    table = graph.table
    statements = table.statements
    best = np.array(statements.best)
    low = np.maximum(best - np.array(statements.below), 0.0) * (1 - _OUT)
    high = (best + np.array(statements.above)) * (1 + _OUT)
    node = np.array(statements.node, dtype=np.int64)
    counts = np.bincount(node, minlength=len(table.codes)) if node.size else np.zeros(len(table.codes), int)
    first = np.full(len(table.codes), -1, dtype=np.int64)
    first[node] = np.arange(node.size)
    first[counts > 1] = -2
    several: dict[int, list[int]] = {}
    for index in np.flatnonzero(counts[node] > 1).tolist() if node.size else []:
        several.setdefault(statements.node[index], []).append(index)
    ordered = {here: by_trust(table, said, indices, kinds) for here, indices in several.items()}
    return Own(best.tolist(), low.tolist(), high.tolist(), first, ordered)


def states_apart(graph: Graph) -> tuple[State, ...]:
    """The states in which totals can differ: all three where a whole is stated drained or filled.

    A table lists no fluid, so any figure speaks of a part, and of an assembly one that names no state or
    says dry speaks in every state.
    """
    statements = graph.table.statements
    for index, state in enumerate(statements.state):
        if state in ("drained", "filled") and _has_parts(graph, statements.node[index]):
            return STATES
    return ("filled",)


def _has_parts(graph: Graph, node: int) -> bool:
    return bool(graph.start[node] < graph.start[node + 1])


def totals_in(graph: Graph, levels: Levels, own: Own, said: SharedTerms, state: State) -> StateTotals:
    """Add the whole graph up in one state."""
    import numpy as np

    statements = graph.table.statements
    chosen = np.array(
        [kind.chosen not in {"no", "last"} for kind in _kinds(statements, said)], dtype=np.bool_
    )
    handed = np.full(len(graph.table.codes), -1, dtype=np.int64)
    leaves = levels.height == 0
    single = np.flatnonzero((own.first >= 0) & leaves)
    single = single[chosen[own.first[single]]] if chosen.size else single[:0]
    handed[single] = own.first[single]
    for node in np.flatnonzero((own.first == -2) & leaves).tolist():
        handed[node] = next((index for index in own.several[node] if chosen[index]), -1)
    stated = np.flatnonzero((own.first != -1) & ~leaves).tolist()
    for node in stated:
        handed[node] = next(
            (
                index
                for index in own.of(node)
                if chosen[index]
                and said.boundaries[statements.boundary[index]] == ("as listed", "none")
                and speaks_in(statements.state[index], state)
            ),
            -1,
        )
    known = handed >= 0
    best, low, high = (np.zeros(known.size) for _ in range(3))
    for figure, column in ((best, own.best), (low, own.low), (high, own.high)):
        figure[known] = np.array(column)[handed[known]]
    with np.errstate(over="ignore"):  # a total beyond all numbers is refused afterwards
        sums = add_up_arrays(levels, best, low, high, known, incomplete_lists(graph))
    handed[~(leaves | sums.whole)] = -1
    plan = np.where(sums.complete, sums.high, np.nan)
    raised_by: dict[int, int] = {}
    for node in [*own.several, *(node for node in stated if node not in own.several)]:
        if not sums.complete[node]:
            continue
        one = int(handed[node])
        hints = one >= 0 and said.kind_of[statements.source[one]].chosen == "hint"
        for index in own.of(node):
            usable = bool(leaves[node]) or speaks_in(statements.state[index], state)
            believed = chosen[index] and (hints or said.kind_of[statements.source[index]].chosen != "hint")
            if usable and believed and own.high[index] > plan[node]:
                plan[node], raised_by[node] = own.high[index], index
    play = _play_below(graph, levels, sums, handed) if stated else None
    return StateTotals(sums, handed, plan, raised_by, _centres(graph, levels, sums), play)


def step_play(statements: Statements, index: int) -> tuple[float, float]:
    """How much smaller and larger the half-width of a statement may be by its digits. [kg]"""
    text = statements.number[index]
    if statements.doubt[index] != HALF_ASSUMED:
        return 0.0, 0.0
    if "." in text and text[-1] != "0" and len(text) <= MACHINE_DIGITS and "e" not in text.lower():
        return 0.0, 0.0  # the usual case: such digits leave no choice
    fine, coarse = step_range(text)
    half = float(UNITS[statements.unit[index]].factor) / 2
    assumed = float(assumed_step(text))
    return max(assumed - float(fine), 0.0) * half, max(float(coarse) - assumed, 0.0) * half


def _play_below(
    graph: Graph, levels: Levels, sums: ArraySums, handed: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    import numpy as np

    statements = graph.table.statements
    own = np.zeros((2, handed.size))
    for node in np.flatnonzero(handed >= 0).tolist():
        own[:, node] = step_play(statements, int(handed[node]))
    summed = (levels.height > 0) & ~sums.whole
    return sum_below(levels, own[0], summed), sum_below(levels, own[1], summed)


def incomplete_lists(graph: Graph) -> NDArray[np.bool_] | None:
    """Nodes whose lists of parts may lack something; None where that is none."""
    import numpy as np

    table = graph.table
    if table.all_incomplete or table.parts_listed != "all":
        return np.ones(len(table.codes), dtype=np.bool_)
    if not table.incomplete:
        return None
    found = np.zeros(len(table.codes), dtype=np.bool_)
    found[[*table.incomplete]] = True
    return found


def _centres(graph: Graph, levels: Levels, sums: ArraySums) -> NDArray[np.float64] | None:
    """The centre of every node, where the tables give any place."""
    import numpy as np

    table = graph.table
    if not table.usage.places and not table.centres:
        return None
    places = LinePlaces.unknown(len(table.usage))
    if table.usage.places:
        which = np.fromiter(table.usage.places, dtype=np.intp, count=len(table.usage.places))
        figures = np.array([*table.usage.places.values()])
        places.at[which], places.turned[which] = figures[:, :3], figures[:, 3:]
    own = np.full((len(table.codes), 3), np.nan)
    if table.centres:
        own[[*table.centres]] = [*table.centres.values()]
    mass = np.where(sums.known, sums.best, 0.0)
    return array_centres(levels, mass, own, (levels.height > 0) & ~sums.whole, places)


def speaks_in(stated: str | None, state: State) -> bool:
    """Whether a figure for an assembly without fluid speaks of it in a state."""
    return stated in (None, "dry", state)


def _kinds(statements: Statements, said: SharedTerms) -> list[SourceKind]:
    return [said.kind_of[source] for source in statements.source]
