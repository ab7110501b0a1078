"""Rows of a flat table in, the table out: ids become nodes, rows part lines and statements."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection as Several
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from handling_db.findings import Finding, Place, Verdict
from handling_db.records.kinds.source import SourceKind
from handling_db.tables.cells import (
    MAX_ID,
    MAX_LINE,
    boundary_text,
    build_text,
    clean_id,
    line_of_text,
    state_of,
)
from handling_db.tables.chunk import Chunk
from handling_db.tables.columns import DELIMITER_NAMES, ColumnLayout
from handling_db.tables.findings import CENTRES_DIFFER, NAMES_DIFFER, FileFindings
from handling_db.tables.flat_table import FlatTable, Usage
from handling_db.tables.kinds import UsualDoubt, shipped_kinds
from handling_db.tables.masses import Figures, read_figures
from handling_db.tables.more import read_more
from handling_db.tables.numbers import Numbers
from handling_db.tables.places import AXES, CENTRE, TURNS, RowPlaces, read_places
from handling_db.tables.quantities import Quantities
from handling_db.tables.rows import Rows
from handling_db.tables.statements import StatementList

WORD_CHECKS = {"state": state_of, "boundary": boundary_text, "build": build_text}
# Each column of masses: where its unit stands, and which columns hold its doubt.
MASS_COLUMNS = (
    ("mass", "unit", {"step": "step", "plus_minus": "plus_minus", "u": "u"}),
    ("stated", "stated_unit", {"step": "stated_step"}),
)


# Ids that only a reader of whole sheets can place: rows of totals, examples, and headings that come again.
NO_ID = re.compile(
    r"^\s*(?=[gsztecoΣ∑])"  # first letters of what follows: nearly all ids are told apart by their first
    r"(?:(?:grand[ -]?|sub[ -]?|zwischen|teil|end)?(?:total|sum|summe|gesamt|overall)"
    r"|EXAMPLE|child\s*$|[Σ∑])",
    re.IGNORECASE | re.MULTILINE,
)


class NotFlat(Exception):
    """A table that has to be read as a sheet after all."""


@dataclass(frozen=True, slots=True)
class _Said:
    """What some rows say of their children, by row position."""

    words: Mapping[str, Sequence[str | None]]
    names: Sequence[str | None] | None
    more: Mapping[int, dict[str, str]]
    figures: Sequence[Figures]


class TableReader:
    """Takes rows in and builds the table up.

    Parameters
    ----------
    layout : ColumnLayout
    heading : int
        Line of the headings.
    numbers : Numbers
    said : FileFindings
    kinds : mapping of id to SourceKind, optional
    flat : bool
        Whether rows come straight from a file, so that a row of totals may be among them.
    """

    def __init__(
        self,
        layout: ColumnLayout,
        heading: int,
        numbers: Numbers,
        said: FileFindings,
        kinds: Mapping[str, SourceKind] | None,
        *,
        flat: bool = False,
    ) -> None:
        self.layout = layout
        self.flat = flat
        self.heading = heading
        self.numbers = numbers
        self.said = said
        self.kinds = kinds
        self.usual: Mapping[str, UsualDoubt] = {}
        self.node: dict[str, int] = {"": -1}  # by id as written; what differs in spaces only is one node
        self.wrong_ids: dict[str, str] = {}
        self.quantities = Quantities(heading)
        self.usage = Usage()
        self.statements = StatementList()
        self.names: dict[int, tuple[str, int]] = {}
        self.table = FlatTable(said.file, [], [], [], self.usage, self.statements.statements, {}, {}, {}, 0)
        self.left_out = 0
        self.rows = 0
        self.doubtful: set[str] = set()  # ids of assemblies that a row with a fault belongs to

    def take(self, rows: Rows, refused: Several[int] = ()) -> None:
        """Take some rows in; those with a fault are left out.

        Parameters
        ----------
        rows : Rows
        refused : collection of int
            Lines whose figures somebody refused already: of them only what goes into what is taken.
        """
        chunk = self._chunk(rows)
        if chunk is None:
            return
        parents, children = chunk.columns["parent"], chunk.columns["child"]
        self._check_ids(chunk, parents, children)
        # which rows have no parent, where some have none
        rootward = None if all(map(str.strip, parents)) else [not parent.strip() for parent in parents]
        quantities = self.quantities.read(chunk, rootward)
        no_line = set(chunk.bad)  # what is wrong further on leaves it known what the row belongs to
        if refused:
            chunk.bad.update(i for i, line in enumerate(chunk.lines) if line in refused)
        said = self._read_said(chunk)
        placing = any(name in chunk.columns for name in (*AXES, *TURNS, *CENTRE))
        places = read_places(chunk, rootward, quantities) if placing else None

        self.rows += len(children)
        keep = lines_kept = None
        if chunk.bad:
            keep = [i not in chunk.bad for i in range(len(children))]
            lines_kept = [i not in no_line for i in range(len(children))]
            self._leave_out(chunk, parents)
        self._register(parents, children, chunk.lines, lines_kept)
        parent_nodes = [self.node.get(parent, -1) for parent in parents]
        child_nodes = [self.node.get(child, -1) for child in children]
        self._use(chunk, parent_nodes, child_nodes, quantities, rootward, lines_kept, places)
        if rootward is not None:
            for node, line, root in zip(child_nodes, chunk.lines, rootward, strict=True):
                if root and node >= 0:
                    self.table.roots.setdefault(node, line)
        self._add_said(said, chunk, child_nodes, keep)
        if places is not None:
            self._centre(child_nodes, places, chunk.lines, keep)

    def know(self, codes: Sequence[str], lines: Sequence[int]) -> None:
        """Take the nodes of a whole table in that was numbered elsewhere, and the first line of each."""
        self.table.codes.extend(codes)
        self.table.lines.extend(lines)

    def take_said(self, chunk: Chunk, nodes: Sequence[int]) -> bool:
        """Take in what rows say of known nodes; False, and nothing taken, where a row has a fault."""
        said = self._read_said(chunk)
        if chunk.bad:
            return False
        self._add_said(said, chunk, nodes, None)
        return True

    def _read_said(self, chunk: Chunk) -> _Said:
        """What rows say of their children: words, names, figures and what stands beside these."""
        sources = self._sources(chunk)
        words = {
            name: chunk.each(name, check) for name, check in WORD_CHECKS.items() if name in chunk.columns
        }
        if sources is not None:
            words["source"] = sources
        names = chunk.each("name", line_of_text) if "name" in chunk.columns else None
        more = read_more(chunk)
        kinds = self._kinds(chunk, sources)
        figures = [
            read_figures(chunk, name, unit, doubts, kinds, self.usual)
            for name, unit, doubts in MASS_COLUMNS
            if name in chunk.columns or any(column in chunk.columns for column in doubts.values())
        ]
        return _Said(words, names, more, figures)

    def _add_said(self, said: _Said, chunk: Chunk, nodes: Sequence[int], keep: list[bool] | None) -> None:
        for figure in said.figures:
            self.statements.add(figure, nodes, chunk.lines, said.words, keep, said.more)
        if said.names is not None:
            self._name(nodes, said.names, chunk.lines, keep)
        self._texts(chunk, nodes, keep)

    def _chunk(self, rows: Rows) -> Chunk | None:
        """Rows of the right width, turned into columns; blank rows are passed over."""
        width = self.layout.width
        good, lines = rows.rows, rows.lines
        if set(map(len, good)) != {width}:
            good, lines = [], []
            for row, line in zip(rows.rows, rows.lines, strict=True):
                if len(row) == width:
                    good.append(row)
                    lines.append(line)
                elif any(map(str.strip, row)):
                    told = f"this row has {len(row)} cells, the heading line has {width};"
                    separated = DELIMITER_NAMES[self.numbers.delimiter]
                    remedy = f"write one cell for each heading, and quote a cell that holds {separated}."
                    self.said.fault(line, "", told, remedy)
                    self.left_out += 1
                    self._of_odd_width(row)
        position = self.layout.position
        children = [row[position["child"]] for row in good]
        if not all(children) and not all(any(map(str.strip, row)) for row in good):
            kept = [i for i, row in enumerate(good) if any(map(str.strip, row))]
            good, lines = [good[i] for i in kept], [lines[i] for i in kept]
        if not good:
            return None
        turned = list(zip(*good, strict=True))
        columns = {
            name: turned[at]
            for name, at in position.items()
            if name in ("parent", "child") or any(turned[at])
        }
        return Chunk(self.layout, columns, lines, self.numbers, self.said)

    def _of_odd_width(self, row: Sequence[str]) -> None:
        """A row of another width belongs to the parent it names, if that is told before cells can shift."""
        parent = row[0].strip() if self.layout.position["parent"] == 0 else ""
        if parent:
            self.doubtful.add(parent)
        else:
            self.said.belongs_nowhere = True

    def _leave_out(self, chunk: Chunk, parents: Sequence[str]) -> None:
        """Note what the rows with a fault belong to: that has a part of which something is not known."""
        self.left_out += len(chunk.bad)
        for i in chunk.bad:
            if parents[i] in self.wrong_ids:
                self.said.belongs_nowhere = True
            elif parents[i].strip():
                self.doubtful.add(parents[i].strip())

    def _check_ids(self, chunk: Chunk, parents: Sequence[str], children: Sequence[str]) -> None:
        """Report ids that cannot be one, and rows without a child."""
        node = self.node
        new = [text for text in {*parents, *children} if text not in node]
        if self.flat and NO_ID.search("\n".join(new)):
            raise NotFlat
        joined = "".join(new)
        plain = joined.isprintable() and " " not in joined and max(map(len, new), default=0) <= MAX_ID
        wrong = set()
        for text in () if plain else new:
            try:
                clean_id(text)
            except ValueError as error:
                self.wrong_ids[text] = str(error)
                wrong.add(text)
        if wrong:
            for name, texts in (("parent", parents), ("child", children)):
                for i, text in enumerate(texts):
                    if text in wrong:
                        chunk.fault(i, name, self.wrong_ids[text], "")
        if not all(map(str.strip, children)):
            for i, text in enumerate(children):
                if not text.strip():
                    told = "this cell is empty;"
                    chunk.fault(i, "child", told, "name the piece the row is about, or take the row out.")

    def _kinds(self, chunk: Chunk, sources: list[str | None] | None) -> list[str | None] | None:
        """The kind of source of each row, which says what its figures are usually out by."""
        stated = chunk.columns.get("source kind")
        if stated is None:
            return sources
        if sources is None:
            sources = [None] * len(stated)
        return [text.strip() or source for text, source in zip(stated, sources, strict=True)]

    def _sources(self, chunk: Chunk) -> list[str | None] | None:
        if "source" not in chunk.columns and "source kind" not in chunk.columns:
            return None
        if not self.usual:
            kinds = shipped_kinds() if self.kinds is None else self.kinds
            self.usual = {name: UsualDoubt.of(kind) for name, kind in kinds.items()}

        def check(text: str) -> str:
            return text.lower() if text.lower() in self.usual else line_of_text(text)

        for i, text in enumerate(chunk.columns.get("source kind", ())):
            if text.strip() and text.strip() not in self.usual:
                told = f"{text.strip()!r} is no kind of source;"
                chunk.fault(i, "source kind", told, f"write one of: {', '.join(sorted(self.usual))}.")
        return chunk.each("source", check) if "source" in chunk.columns else None

    def _register(
        self, parents: Sequence[str], children: Sequence[str], lines: Sequence[int], keep: list[bool] | None
    ) -> None:
        """Give every id a node, in the order in which rows name them."""
        node = self.node
        codes, first_lines = self.table.codes, self.table.lines
        rows = zip(parents, children, lines, strict=True)
        for parent, child, line in rows if keep is None else itertools.compress(rows, keep):
            for text in (parent, child):
                if text not in node:
                    code = text.strip()
                    if code not in node:
                        node[code] = len(codes)
                        codes.append(code)
                        first_lines.append(line)
                    node[text] = node[code]

    def _use(
        self,
        chunk: Chunk,
        parents: list[int],
        children: list[int],
        quantities: list[float] | None,
        rootward: list[bool] | None,
        keep: list[bool] | None,
        places: RowPlaces | None,
    ) -> None:
        """Add the part lines of rows that have a parent."""
        usage = self.usage
        if quantities is None:
            return
        start = len(usage)
        rows: Sequence[int] = range(len(children))
        if keep is not None or rootward is not None:
            rows = [i for i in rows if (keep is None or keep[i]) and (rootward is None or not rootward[i])]
            usage.parent.extend(parents[i] for i in rows)
            usage.child.extend(children[i] for i in rows)
            usage.quantity.extend(quantities[i] for i in rows)
            usage.line.extend(chunk.lines[i] for i in rows)
        else:
            usage.parent.extend(parents)
            usage.child.extend(children)
            usage.quantity.extend(quantities)
            usage.line.extend(chunk.lines)
        for k, text in self.quantities.not_whole(chunk, rows, quantities):
            usage.text[start + k] = text
        if places is not None and places.placed:
            for k, i in enumerate(rows):
                if i in places.placed and i not in chunk.bad:
                    usage.places[start + k] = places.placed[i]
                    usage.place_texts[start + k] = places.placed_texts[i]

    def _name(
        self, nodes: Sequence[int], names: Sequence[str | None], lines: Sequence[int], keep: list[bool] | None
    ) -> None:
        for i, name in enumerate(names):
            if name is None or (keep is not None and not keep[i]):
                continue
            first, line = self.names.setdefault(nodes[i], (name, lines[i]))
            if first != name:
                code = self.table.codes[nodes[i]]
                told = f"{code!r} is named {name!r} here and {first!r} on line {line}, which is kept;"
                remedy = "write the same name, or give this one another id."
                self.said.remark(lines[i], "name", told, remedy, code, NAMES_DIFFER)

    def _texts(self, chunk: Chunk, nodes: Sequence[int], keep: list[bool] | None) -> None:
        """Part numbers and remarks, the first that is given for each node."""
        for node, text in zip(nodes, chunk.columns.get("parts listed", ()), strict=False):
            if text.strip() and text.strip() != "all":
                self.doubtful.add(self.table.codes[node])
        texts = (
            ("part number", self.table.part_numbers),
            ("remark", self.table.remarks),
            ("kind", self.table.kinds),
        )
        for name, into in texts:
            for i, text in enumerate(chunk.columns.get(name, ())):
                if text.strip() and (keep is None or keep[i]):
                    into.setdefault(nodes[i], " ".join(text.split())[:MAX_LINE])

    def _centre(
        self, nodes: Sequence[int], places: RowPlaces, lines: Sequence[int], keep: list[bool] | None
    ) -> None:
        table = self.table
        for i, point in places.centres.items():
            if keep is not None and not keep[i]:
                continue
            node = nodes[i]
            if node not in table.centres:
                table.centres[node] = point
                table.centre_texts[node] = places.centre_texts[i]
                table.centre_lines[node] = lines[i]
            elif any(abs(a - b) > 1e-9 for a, b in zip(table.centres[node], point, strict=True)):
                code = table.codes[node]
                here, there = ", ".join(places.centre_texts[i]), ", ".join(table.centre_texts[node])
                line = table.centre_lines[node]
                told = (
                    f"the centre of {code!r} is at {here} here and at {there} on line {line}, which is kept."
                )
                remedy = "Correct one of the two; a piece has one centre in its own frame."
                self.said.add(
                    Finding(
                        CENTRES_DIFFER,
                        Verdict.DISAGREES,
                        code,
                        told,
                        remedy,
                        Place(self.said.file, lines[i]),
                        "cg_x",
                    )
                )

    def finish(self) -> FlatTable:
        """The table, once all rows are in."""
        if not self.rows and not self.said.faults:
            told = "there are no rows below the heading line;"
            self.said.fault(self.heading, "", told, "write a row for each piece.")
        table = self.table
        names = list(table.codes)
        for node, (name, _) in self.names.items():
            names[node] = name
        incomplete = {self.node[code] for code in self.doubtful if code in self.node}
        unplaced = self.said.belongs_nowhere or len(incomplete) < len(self.doubtful)
        return replace(
            table, names=names, left_out=self.left_out, incomplete=incomplete, all_incomplete=unplaced
        )
