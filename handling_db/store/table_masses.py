"""The masses of a flat table: figures with their doubt, kept once each, and which of them contradict."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.findings import Finding, Place, Verdict
from handling_db.store.flat_table import FlatTable, Statements
from handling_db.store.table_chunk import FACTORS, Chunk
from handling_db.store.table_findings import MASSES_DIFFER
from handling_db.store.table_kinds import UsualDoubt
from handling_db.store.table_numbers import half_steps
from handling_db.units import Unit

WORDS = ("state", "boundary", "build", "source")
HALF_ASSUMED = "half the assumed step"

_Cell = tuple[float, str, Unit]


@dataclass(slots=True)
class Figures:
    """The masses of one column in some rows; all sequences have one length."""

    at: Sequence[int]
    best: list[float]
    below: list[float]
    above: list[float]
    doubt: list[str]
    number: Sequence[str]
    unit: list[str]
    u: dict[int, float]
    given: dict[int, dict[str, tuple[str, str]]]


def read_figures(
    chunk: Chunk,
    name: str,
    unit_column: str,
    doubts: Mapping[str, str],
    sources: Sequence[str | None] | None,
    usual: Mapping[str, UsualDoubt],
) -> Figures:
    """Read the masses of one column with their doubt.

    The doubt is the stated one (``plus_minus``, or twice ``u``); else the larger of half the step and
    what the kind of source is usually out by.

    Parameters
    ----------
    chunk : Chunk
    name, unit_column : str
        ``mass`` and ``unit``, or ``stated`` and ``stated_unit``.
    doubts : mapping of str to str
        The columns that hold ``step``, ``plus_minus`` and ``u`` of these masses.
    sources : sequence of (str or None), optional
        Source of each row.
    usual : mapping of kind id to UsualDoubt
    """
    column = chunk.number(name)
    units = chunk.units(name, unit_column, column.at)
    if chunk.bad and name in chunk.columns:  # of a figure that is no number, the unit is looked at as well
        there = set(column.at)
        chunk.units(
            name, unit_column, [i for i in sorted(chunk.bad - there) if chunk.columns[name][i].strip()]
        )
    stated = {
        role: chunk.number(column_name).by_row()
        for role, column_name in doubts.items()
        if column_name in chunk.columns
    }
    kinds = sources is not None and any(source in usual for source in set(sources))
    first = units[0] if units else None
    if not stated and not kinds and first is not None and min(column.values, default=0.0) > 0:
        halves = half_steps(column.texts)
        best = column.values
        if any(unit is not first for unit in units):
            factors = [FACTORS[unit.name] if unit else 1.0 for unit in units]
            best = [value * factor for value, factor in zip(best, factors, strict=True)]
            halves = [half * factor for half, factor in zip(halves, factors, strict=True)]
        elif first.factor != 1:
            factor = float(first.factor)
            best = [value * factor for value in best]
            halves = [half * factor for half in halves]
        names = [unit.name if unit else "" for unit in units]
        assumed = [HALF_ASSUMED] * len(best)
        return Figures(column.at, best, halves, halves, assumed, column.texts, names, {}, {})
    _remark_unused(chunk, name, doubts, stated, set(column.at))
    figures = Figures([], [], [], [], [], [], [], {}, {})
    at: list[int] = []
    number: list[str] = []
    halves = half_steps(column.texts)
    for i, value, text, half, unit in zip(column.at, column.values, column.texts, halves, units, strict=True):
        if unit is None:
            continue
        row = {
            role: (*cells[i], chunk.layout.unit.get(doubts[role], unit))
            for role, cells in stated.items()
            if i in cells
        }
        kind = usual.get(sources[i] or "") if sources is not None else None
        factor = FACTORS[unit.name]
        best_kg = value * factor
        doubt = _doubt(chunk, i, doubts, row, best_kg, half * factor, kind)
        if doubt is None:
            continue
        if value == 0 and not row:
            chunk.fault(
                i,
                name,
                "a mass of 0 would count as weighed;",
                "leave the cell empty where nobody weighed it, or give the step or the doubt of the figure.",
            )
            continue
        if row:
            figures.given[len(at)] = {role: (shown, of.name) for role, (_, shown, of) in row.items()}
            if "u" in row:
                figures.u[len(at)] = _kg(row["u"])
        below, above, word = doubt
        at.append(i)
        number.append(text)
        figures.best.append(best_kg)
        figures.below.append(min(below, best_kg))
        figures.above.append(above)
        figures.doubt.append(word)
        figures.unit.append(unit.name)
    figures.at, figures.number = at, number
    return figures


def _remark_unused(
    chunk: Chunk,
    name: str,
    doubts: Mapping[str, str],
    stated: Mapping[str, Mapping[int, tuple[float, str]]],
    there: set[int],
) -> None:
    for role, cells in stated.items():
        for i in cells:
            if i not in there and i not in chunk.bad:
                chunk.remark(i, doubts[role], f"is not used, because there is no {name!r} in this row;",
                             f"write the figure in {name!r}, or leave this empty.")  # fmt: skip


def _kg(cell: _Cell) -> float:
    return cell[0] * FACTORS[cell[2].name]


def _doubt(
    chunk: Chunk,
    at: int,
    columns: Mapping[str, str],
    row: Mapping[str, _Cell],
    best: float,
    half_assumed: float,
    kind: UsualDoubt | None,
) -> tuple[float, float, str] | None:
    """Half-widths below and above in kilograms and where they came from; None with a fault."""
    fine = True
    for role, (value, *_) in row.items():
        if value == 0:
            told = f"a {columns[role]} of 0 says there is no doubt;"
            chunk.fault(at, columns[role], told, "leave it empty where it is not known.")
            fine = False
    if "plus_minus" in row and "u" in row:
        told = "plus_minus and u are both given;"
        chunk.fault(at, columns["u"], told, "keep one; plus_minus is the worst case.")
        fine = False
    if not fine:
        return None
    if "plus_minus" in row:
        half = _kg(row["plus_minus"])
        return half, half, "stated"
    if "u" in row:
        half = 2 * _kg(row["u"])
        return half, half, "stated as u"
    half, word = half_assumed, HALF_ASSUMED
    if "step" in row:
        half, word = _kg(row["step"]) / 2, "half the step"
    if kind is not None:
        below, above = kind.around(best, 2 * half_assumed)
        if below > half or above > half:
            return max(half, below), max(half, above), "usual for its kind"
    return half, half, word


_Said = tuple[str | None, str | None, str | None, str | None]
_Key = tuple[str, str, _Said, tuple[tuple[str, tuple[str, str]], ...]]


class StatementList:
    """Takes statements in; what is repeated word for word is kept once."""

    def __init__(self) -> None:
        self.statements = Statements()
        self._latest: dict[int, int] = {}
        self._bare = True  # no statement yet has more than a figure and a unit
        self._known: dict[int, set[_Key]] = {}  # only of nodes that come up again

    def add(
        self,
        figures: Figures,
        nodes: Sequence[int],
        lines: Sequence[int],
        words: Mapping[str, Sequence[str | None]],
        keep: Sequence[bool] | None,
    ) -> None:
        """Add the masses of some rows.

        Parameters
        ----------
        figures : Figures
        nodes, lines : sequence of int
            By row position.
        words : mapping of column name to (str or None) by row position
            ``state``, ``boundary``, ``build``, ``source``, where the table has them.
        keep : sequence of bool, optional
            Whether each row is kept; None for all.
        """
        to = self.statements
        every = len(figures.at) == len(nodes)
        these = list(nodes) if every else [nodes[i] for i in figures.at]
        fresh = keep is None and len(set(these)) == len(these) and self._latest.keys().isdisjoint(these)
        if not fresh:
            self._one_by_one(figures, self._not_repeated(figures, these, words), nodes, lines, words, keep)
            return
        self._bare = self._bare and not words and not figures.given
        start = len(to)
        count = len(these)
        self._latest.update(zip(these, range(start, start + count), strict=True))
        to.node.extend(these)
        to.best.extend(figures.best)
        to.below.extend(figures.below)
        to.above.extend(figures.above)
        to.doubt.extend(figures.doubt)
        to.number.extend(figures.number)
        to.unit.extend(figures.unit)
        for name in WORDS:
            texts = words.get(name)
            picked = [None] * count if texts is None else [texts[i] for i in figures.at]
            getattr(to, name).extend(picked)
        to.line.extend(lines if every else [lines[i] for i in figures.at])
        to.earlier.extend([-1] * count)
        to.u.update({start + i: u for i, u in figures.u.items()})
        to.given.update({start + i: given for i, given in figures.given.items()})

    def _not_repeated(
        self, figures: Figures, nodes: Sequence[int], words: Mapping[str, Sequence[str | None]]
    ) -> Sequence[int]:
        """Which figures are not plainly what was last said of their node; a quick look, not a full one."""
        if words or figures.given or not self._bare:
            self._bare = False
            return range(len(nodes))
        number, unit, latest = self.statements.number, self.statements.unit, self._latest
        return [
            k
            for k, node in enumerate(nodes)
            if (at := latest.get(node)) is None
            or number[at] != figures.number[k]
            or unit[at] != figures.unit[k]
        ]

    def _one_by_one(
        self,
        figures: Figures,
        which: Sequence[int],
        nodes: Sequence[int],
        lines: Sequence[int],
        words: Mapping[str, Sequence[str | None]],
        keep: Sequence[bool] | None,
    ) -> None:
        to = self.statements
        for k in which:
            i = figures.at[k]
            if keep is not None and not keep[i]:
                continue
            node = nodes[i]
            state, boundary, build, source = (words[name][i] if name in words else None for name in WORDS)
            said = (state, boundary, build, source)
            number, unit, given = figures.number[k], figures.unit[k], figures.given.get(k)
            latest = self._latest.get(node, -1)
            if latest >= 0:
                known = self._known.setdefault(node, set()) or self._know(node, latest)
                key = (number, unit, said, _as_key(given))
                if key in known:
                    continue
                known.add(key)
            index = len(to)
            to.node.append(node)
            to.best.append(figures.best[k])
            to.below.append(figures.below[k])
            to.above.append(figures.above[k])
            to.doubt.append(figures.doubt[k])
            to.number.append(number)
            to.unit.append(unit)
            to.state.append(state)
            to.boundary.append(boundary)
            to.build.append(build)
            to.source.append(source)
            to.line.append(lines[i])
            to.earlier.append(latest)
            if k in figures.u:
                to.u[index] = figures.u[k]
            if given:
                to.given[index] = given
            self._latest[node] = index

    def _know(self, node: int, index: int) -> set[_Key]:
        """What is known about a node when it comes up for the second time: its first statement."""
        to = self.statements
        said = (to.state[index], to.boundary[index], to.build[index], to.source[index])
        self._known[node].add((to.number[index], to.unit[index], said, _as_key(to.given.get(index))))
        return self._known[node]


def _as_key(given: Mapping[str, tuple[str, str]] | None) -> tuple[tuple[str, tuple[str, str]], ...]:
    return tuple(sorted(given.items())) if given else ()


def contradictions(table: FlatTable) -> Iterator[Finding]:
    """A component given masses that cannot all be true: same state, boundary and build, intervals apart.

    One finding a component and a set of state, boundary and build, naming the two furthest apart.
    """
    to = table.statements
    groups: dict[tuple[object, ...], list[int]] = {}
    twice = {to.node[i] for i, earlier in enumerate(to.earlier) if earlier >= 0}
    for i, node in enumerate(to.node) if twice else ():
        if node in twice:
            groups.setdefault((node, to.state[i], to.boundary[i], to.build[i]), []).append(i)
    for group in groups.values():
        light = min(group, key=lambda i: to.best[i] + to.above[i])
        heavy = max(group, key=lambda i: to.best[i] - to.below[i])
        gap = (to.best[heavy] - to.below[heavy]) - (to.best[light] + to.above[light])
        if gap <= 1e-12 * to.best[heavy]:
            continue
        first, second = sorted((light, heavy), key=lambda i: (to.line[i], i))
        widest = (to.best[heavy] + to.above[heavy]) - (to.best[light] - to.below[light])
        code = table.codes[to.node[light]]
        yield Finding(
            MASSES_DIFFER,
            Verdict.DISAGREES,
            code,
            f"{code!r} is {to.printed(second)} here and {to.printed(first)} on line {to.line[first]}, which "
            "is further apart than their doubts; both are kept.",
            "Correct one of the two, or say which state, boundary or build each is for.",
            Place(table.file, to.line[second]),
            "mass",
            tuple(
                (f"line {to.line[i]}", Fraction(to.best[i] - to.below[i]), Fraction(to.best[i] + to.above[i]))
                for i in (first, second)
            ),
            (Fraction(gap), Fraction(widest)),
        )
