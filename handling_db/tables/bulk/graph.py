"""Large flat tables as one graph in arrays, and which stated figure speaks for each node."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from handling_db.records.collection import Collection
from handling_db.records.kinds.source import Source, SourceKind
from handling_db.tables.cells import boundary_fields
from handling_db.tables.flat_table import FlatTable, Statements, Usage
from handling_db.tables.records import table_records

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_COLUMNS = (
    "best",
    "below",
    "above",
    "doubt",
    "number",
    "unit",
    "state",
    "boundary",
    "build",
    "source",
    "line",
)

Boundary = tuple[str | tuple[str, ...] | None, str | tuple[str, ...] | None]


@dataclass(frozen=True, slots=True)
class Graph:
    """Several tables as one.

    Parameters
    ----------
    table : FlatTable
        All their rows; nodes of one id are one node.
    file : list of str
        By node, the table that names it first.
    parent, child, quantity : array
        One entry a part line, in the order of the tables.
    start : array of int
        By node, where its part lines begin in `of_parent`; one more at the end.
    of_parent : array of int
        Part lines sorted by parent, in the order of the tables.
    """

    table: FlatTable
    file: list[str]
    parent: NDArray[np.int32]
    child: NDArray[np.int32]
    quantity: NDArray[np.float64]
    start: NDArray[np.intp]
    of_parent: NDArray[np.intp]

    def lines_of(self, node: int) -> list[int]:
        """The part lines of a node, in the order of the tables."""
        found: list[int] = self.of_parent[self.start[node] : self.start[node + 1]].tolist()
        return found

    def below(self, node: int, most: int) -> list[int] | None:
        """A node and everything below it, each once; None where it is more than so many."""
        reached = {node}
        queue = [node]
        for here in queue:
            for under in self.child[self.of_parent[self.start[here] : self.start[here + 1]]].tolist():
                if under not in reached:
                    reached.add(under)
                    queue.append(under)
                    if len(queue) > most:
                        return None
        return queue


def as_graph(tables: Sequence[FlatTable]) -> Graph:
    """One graph of one or more tables."""
    import numpy as np

    table = tables[0] if len(tables) == 1 else _merged(tables)
    if len(tables) == 1:
        file = [table.file] * len(table.codes)
    else:
        first: dict[str, str] = {}
        for one in tables:
            for code in one.codes:
                first.setdefault(code, one.file)
        file = [first[code] for code in table.codes]
    parent = np.array(table.usage.parent, dtype=np.int32)
    start = np.zeros(len(table.codes) + 1, dtype=np.intp)
    np.cumsum(np.bincount(parent, minlength=len(table.codes)), out=start[1:])
    in_order = not parent.size or not bool(np.any(parent[1:] < parent[:-1]))
    return Graph(
        table,
        file,
        parent,
        np.array(table.usage.child, dtype=np.int32),
        np.array(table.usage.quantity, dtype=np.float64),
        start,
        np.arange(parent.size) if in_order else np.argsort(parent, kind="stable"),
    )


def _merged(tables: Sequence[FlatTable]) -> FlatTable:
    """The rows of several tables, one after the other."""
    node: dict[str, int] = {}
    codes: list[str] = []
    names: list[str] = []
    lines: list[int] = []
    usage, said = Usage(), Statements()
    lost = any(table.all_incomplete for table in tables)
    out = FlatTable(tables[0].file, codes, names, lines, usage, said, {}, {}, {}, 0, set(), lost)
    for table in tables:
        for code, name, line in zip(table.codes, table.names, table.lines, strict=True):
            if code not in node:
                node[code] = len(codes)
                codes.append(code)
                names.append(name)
                lines.append(line)
            elif names[node[code]] == code:
                names[node[code]] = name
        to = [node[code] for code in table.codes]
        out.incomplete.update(to[n] for n in table.incomplete)
        if table.parts_listed != "all":
            out.incomplete.update(to[n] for n in table.usage.parent)
        for told, kept in zip(_words(table), _words(out), strict=True):
            for n, text in told.items():
                kept.setdefault(to[n], text)
        out.roots.update({to[n]: line for n, line in table.roots.items() if to[n] not in out.roots})
        from_line, from_said = len(usage), len(said)
        usage.parent.extend(to[n] for n in table.usage.parent)
        usage.child.extend(to[n] for n in table.usage.child)
        usage.quantity.extend(table.usage.quantity)
        usage.line.extend(table.usage.line)
        usage.text.update({from_line + i: text for i, text in table.usage.text.items()})
        usage.place_texts.update({from_line + i: texts for i, texts in table.usage.place_texts.items()})
        usage.places.update({from_line + i: placed for i, placed in table.usage.places.items()})
        said.node.extend(to[n] for n in table.statements.node)
        for name in _COLUMNS:
            getattr(said, name).extend(getattr(table.statements, name))
        said.earlier.extend([-1] * len(table.statements))
        said.u.update({from_said + i: u for i, u in table.statements.u.items()})
        said.given.update({from_said + i: given for i, given in table.statements.given.items()})
        for n, texts in table.centre_texts.items():
            if to[n] not in out.centre_texts:
                out.centre_texts[to[n]] = texts
                out.centres[to[n]] = table.centres[n]
                out.centre_lines[to[n]] = table.centre_lines[n]
    return out


def _words(table: FlatTable) -> tuple[dict[int, str], ...]:
    """What is said of nodes in words."""
    return table.part_numbers, table.remarks, table.kinds


def cut(table: FlatTable, nodes: Iterable[int], statements: Iterable[int], lines: Iterable[int]) -> FlatTable:
    """Some nodes of a table with some of their statements and part lines, as a table of its own."""
    chosen = list(nodes)
    to = {node: place for place, node in enumerate(chosen)}
    usage, said = Usage(), Statements()
    for line in lines:
        place = len(usage)
        usage.parent.append(to[table.usage.parent[line]])
        usage.child.append(to[table.usage.child[line]])
        usage.quantity.append(table.usage.quantity[line])
        usage.line.append(table.usage.line[line])
        if line in table.usage.text:
            usage.text[place] = table.usage.text[line]
        if line in table.usage.places:
            usage.places[place] = table.usage.places[line]
            usage.place_texts[place] = table.usage.place_texts[line]
    whole = table.statements
    for index in statements:
        place = len(said)
        said.node.append(to[whole.node[index]])
        for name in _COLUMNS:
            getattr(said, name).append(getattr(whole, name)[index])
        said.earlier.append(-1)
        if index in whole.u:
            said.u[place] = whole.u[index]
        if index in whole.given:
            said.given[place] = whole.given[index]
    centred = [node for node in chosen if node in table.centre_texts]
    return FlatTable(
        table.file,
        [table.codes[node] for node in chosen],
        [table.names[node] for node in chosen],
        [table.lines[node] for node in chosen],
        usage,
        said,
        {to[node]: table.centres[node] for node in centred},
        {to[node]: table.centre_texts[node] for node in centred},
        {to[node]: table.centre_lines[node] for node in centred},
        table.left_out,
        {to[node] for node in chosen if node in table.incomplete},
        table.all_incomplete,
        parts_listed=table.parts_listed,
    )


@dataclass(frozen=True, slots=True)
class SharedTerms:
    """What is the same for all statements of one source, and what boundaries mean.

    Parameters
    ----------
    sources : mapping of id to Source
        Those the tables name.
    kind_of : mapping of source id to SourceKind
    boundaries : mapping of (str or None) to (counts, without)
    """

    sources: Mapping[str, Source]
    kind_of: Mapping[str | None, SourceKind]
    boundaries: Mapping[str | None, Boundary]


def name_sources(
    tables: Sequence[FlatTable], kinds: Mapping[str, SourceKind], known: Mapping[str, Source]
) -> tuple[list[FlatTable], SharedTerms]:
    """The tables with the ids of their sources in place of what they call them, and what these are.

    Parameters
    ----------
    tables : sequence of FlatTable
    kinds : mapping of id to SourceKind
    known : mapping of id to Source
        Recorded sources; a table that names one of them by its id means it.
    """
    found: list[FlatTable] = []
    sources: dict[str, Source] = {}
    boundaries: dict[str | None, Boundary] = {None: (None, None)}
    for table in tables:
        ids, made = _sources_of(table, kinds)
        sources |= {code: known.get(code, source) for code, source in made.items()}
        said = replace(table.statements, source=[ids[text] for text in table.statements.source])
        found.append(replace(table, statements=said))
        for text in set(said.boundary) - boundaries.keys():
            fields = boundary_fields(text or "")
            boundaries[text] = (fields.get("counts"), fields.get("without"))
    kind_of: dict[str | None, SourceKind] = {code: kinds[source.kind] for code, source in sources.items()}
    return found, SharedTerms(sources, kind_of, boundaries)


def _sources_of(
    table: FlatTable, kinds: Mapping[str, SourceKind]
) -> tuple[dict[str | None, str], Mapping[str, Source]]:
    """The id of each source by what the table calls it, by way of a small table that names each once."""
    first: dict[str | None, int] = {}
    for index, text in enumerate(table.statements.source):
        if text not in first:
            first[text] = index
    whole = table.statements
    small = Statements()
    for place, (text, index) in enumerate(first.items()):
        small.node.append(place)
        small.number.append("1")
        small.unit.append("kg")
        small.source.append(text)
        small.line.append(whole.line[index])
        for column in (small.state, small.boundary, small.build):
            column.append(None)
        for figure, value in ((small.best, 1.0), (small.below, 0.5), (small.above, 0.5)):
            figure.append(value)
        small.doubt.append("half the step")
        small.earlier.append(-1)
    codes = [str(place) for place in range(len(first))]
    made = table_records(
        FlatTable(table.file, codes, codes, [1] * len(codes), Usage(), small, {}, {}, {}, 0), kinds=kinds
    ).collection
    ids = {text: made.components[code].masses[0].source for code, text in zip(codes, first, strict=True)}
    return ids, made.sources


def records_of(table: FlatTable, said: SharedTerms, kinds: Mapping[str, SourceKind]) -> Collection:
    """A small table whose sources are ids already, as records, with these sources and all kinds of source."""
    made = table_records(table, kinds=kinds).collection
    named = {code: said.sources.get(code, source) for code, source in made.sources.items()}
    return replace(made, sources=named, source_kinds=kinds)


def by_trust(
    table: FlatTable, said: SharedTerms, indices: Sequence[int], kinds: Mapping[str, SourceKind]
) -> list[int]:
    """Statements of one node, the most trusted first: by kind of source, then by id for good order."""
    if len(indices) < 2:
        return list(indices)
    rank = {index: float(said.kind_of[table.statements.source[index]].rank) for index in indices}
    if len(set(rank.values())) == len(rank):
        return sorted(indices, key=rank.__getitem__)
    node = table.statements.node[indices[0]]
    code = table.codes[node]
    masses = records_of(cut(table, [node], indices, []), said, kinds).components[code].masses
    keys = {index: statement.key(code) for index, statement in zip(indices, masses, strict=True)}
    return sorted(indices, key=lambda index: (rank[index], keys[index]))
