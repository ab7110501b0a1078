"""What a flat table says single components weigh: each statement kept once, and which of them contradict."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from handling_db.findings import Finding, Place, Verdict
from handling_db.tables.findings import MASSES_DIFFER
from handling_db.tables.flat_table import FlatTable, Statements
from handling_db.tables.masses import HALF_ASSUMED, Figures

WORDS = ("state", "boundary", "build", "source")

_Said = tuple[str | None, str | None, str | None, str | None]
_Key = tuple[str, str, _Said, tuple[tuple[str, tuple[str, str]], ...], tuple[tuple[str, str], ...]]
_NOT_SAID_AGAIN = ("where", "remark")  # the same figure in another cell is the same statement


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
        more: Mapping[int, dict[str, str]] | None = None,
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
        more : mapping of row position to (mapping of str to str), optional
            What else rows say of their figure.
        """
        more = more or {}
        to = self.statements
        every = len(figures.at) == len(nodes)
        these = list(nodes) if every else [nodes[i] for i in figures.at]
        fresh = keep is None and len(set(these)) == len(these) and self._latest.keys().isdisjoint(these)
        if not fresh:
            which = range(len(these)) if more else self._not_repeated(figures, these, words)
            self._bare = self._bare and not more
            self._one_by_one(figures, which, nodes, lines, words, keep, more)
            return
        self._bare = self._bare and not words and not figures.given and not more
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
        if more:
            to.more.update({start + k: dict(more[i]) for k, i in enumerate(figures.at) if i in more})

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
        more: Mapping[int, dict[str, str]],
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
                key = (number, unit, said, _as_key(given), _more_key(more.get(i)))
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
            if i in more:
                to.more[index] = dict(more[i])
            self._latest[node] = index

    def _know(self, node: int, index: int) -> set[_Key]:
        """What is known about a node when it comes up for the second time: its first statement."""
        to = self.statements
        said = (to.state[index], to.boundary[index], to.build[index], to.source[index])
        given, more = _as_key(to.given.get(index)), _more_key(to.more.get(index))
        self._known[node].add((to.number[index], to.unit[index], said, given, more))
        return self._known[node]


def _as_key(given: Mapping[str, tuple[str, str]] | None) -> tuple[tuple[str, tuple[str, str]], ...]:
    return tuple(sorted(given.items())) if given else ()


def _more_key(more: Mapping[str, str] | None) -> tuple[tuple[str, str], ...]:
    return tuple(sorted(item for item in more.items() if item[0] not in _NOT_SAID_AGAIN)) if more else ()


EXPORTED = 3  # figures from which on a common ending says that a program wrote them


def exported_digits(table: FlatTable) -> Iterator[Finding]:
    """One remark where every figure ends in .0, as programs write whole numbers, and has no stated step."""
    to = table.statements
    figures = zip(to.doubt, to.number, strict=True)
    if any(doubt == HALF_ASSUMED and not number.endswith(".0") for doubt, number in figures):
        return
    assumed = [i for i, doubt in enumerate(to.doubt) if doubt == HALF_ASSUMED]
    if len(assumed) < EXPORTED:
        return
    first = assumed[0]
    yield Finding(
        "table",
        Verdict.REMARK,
        table.codes[to.node[first]],
        f"all {len(assumed):,} figures without a step end in .0 ({to.printed(first)}), as programs write "
        "whole numbers; their step of 0.1 is read off these digits, and what hangs on it says so;",
        "write to what they were rounded in 'step', or in 'plus_minus' what they may be out by.",
        Place(table.file, to.line[first]),
        "mass",
    )


def contradictions(table: FlatTable) -> Iterator[Finding]:
    """A component given masses that cannot all be true: one state, boundary, build, serial, limits apart.

    One finding a component and a set of state, boundary and build, naming the two furthest apart.
    """
    to = table.statements
    groups: dict[tuple[object, ...], list[int]] = {}
    if max(to.earlier, default=-1) < 0:
        return
    twice = {to.node[i] for i, earlier in enumerate(to.earlier) if earlier >= 0}
    for i, node in enumerate(to.node):
        if node in twice:
            unit = to.more.get(i, {}).get("serial")
            groups.setdefault((node, to.state[i], to.boundary[i], to.build[i], unit), []).append(i)
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
