"""A small flat table as the same records that hand-written files give."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import PurePath
from typing import Any

from handling_db.errors import HandlingError
from handling_db.files.reading import ReadFiles
from handling_db.quantities.quantity import Quantity
from handling_db.quantities.table import UNITS
from handling_db.records.collection import Lines, Path, collect
from handling_db.records.kinds.component import Component, PartLine
from handling_db.records.kinds.source import Source, SourceKind
from handling_db.records.parts.measures import Measure
from handling_db.records.parts.statement import MassStatement
from handling_db.records.parts.texts import short_id
from handling_db.tables.cells import MAX_ID, MAX_LINE, boundary_fields, build_values
from handling_db.tables.flat_table import FlatTable
from handling_db.tables.kinds import shipped_kinds
from handling_db.tables.numbers import assumed_step
from handling_db.tables.places import TURNS

MAX_RECORDED_ROWS = 20_000
NOT_SAID = "not said"
_DIMENSIONS = ("length",) * 3 + ("angle",) * 3
_FIELDS = {"step": "step", "plus_minus": "plus or minus", "u": "u"}


def table_records(table: FlatTable, *, kinds: Mapping[str, SourceKind] | None = None) -> ReadFiles:
    """The components and sources that a table holds.

    A component with parts is an assembly, any other a part; all its part lines count as all there are, unless
    a row with a fault belongs to it. Two rows of one parent and one child are two part lines. A source that
    is named like a kind of source is one source of that kind, named for the file; any other name is a source
    of that id whose kind is not said, and so is the file itself where the table names none.

    Parameters
    ----------
    table : FlatTable
        Of at most 20,000 part lines and as many statements.
    kinds : mapping of id to SourceKind, optional
        As given to `read_file`; those that come with the program when left out.

    Returns
    -------
    ReadFiles
        With the line of every part line and mass, and without findings: those came with the table.

    Raises
    ------
    HandlingError
        The table is larger than that.
    """
    rows = max(len(table.usage), len(table.statements))
    if rows > MAX_RECORDED_ROWS:
        raise HandlingError(
            f"{table.file}: {rows:,} rows are too many to turn into records (at most {MAX_RECORDED_ROWS:,}); "
            "build a database from it instead."
        )
    if kinds is None:
        kinds = shipped_kinds()
    sources = _Sources(table.file, kinds)
    parts = _by_node(table.usage.parent, len(table.codes))
    masses = _by_node(table.statements.node, len(table.codes))
    first = _first_lines(table)
    records: list[tuple[str, Any]] = []
    lines: dict[tuple[str, str], Lines] = {}
    for node, code in enumerate(table.codes):
        at: dict[Path, int] = {(): first[node]}
        fields: dict[str, Any] = {"component": code, "name": table.names[node], "kind": "part"}
        if table.kinds.get(node) == "set":
            fields["kind"] = "set"
        if parts[node]:
            fields["kind"] = "assembly"
            fields["parts listed"] = "all" if table.lists_all(node) else "some"
            fields["parts"] = tuple(_part_line(table, use) for use in parts[node])
            at.update({("parts", i): table.usage.line[use] for i, use in enumerate(parts[node])})
        if node in table.part_numbers:
            fields["part number"] = table.part_numbers[node]
        if node in table.remarks:
            fields["remark"] = table.remarks[node]
        if masses[node]:
            fields["masses"] = tuple(_statement(table, index, sources) for index in masses[node])
            at.update({("masses", i): table.statements.line[index] for i, index in enumerate(masses[node])})
        if node in table.centre_texts:
            fields["centre"] = tuple(_length(text) for text in table.centre_texts[node])
            at[("centre",)] = table.centre_lines[node]
        records.append(("component", Component.model_validate(fields)))
        lines[("component", code)] = Lines(table.file, at)
    for source, line in sources.found.values():
        records.append(("source", source))
        lines[("source", source.id)] = Lines(table.file, {(): line})
    return ReadFiles(collect(records, lines), ())


def _by_node(nodes: Sequence[int], count: int) -> list[list[int]]:
    """Indices of a list of nodes, gathered by node."""
    out: list[list[int]] = [[] for _ in range(count)]
    for index, node in enumerate(nodes):
        out[node].append(index)
    return out


def _first_lines(table: FlatTable) -> list[int]:
    """The first row that is about each node; where none is, the first that names it."""
    first = list(table.lines)
    own: dict[int, int] = {}
    for node, line in itertools.chain(
        zip(table.usage.child, table.usage.line, strict=True),
        zip(table.statements.node, table.statements.line, strict=True),
        table.centre_lines.items(),
    ):
        own[node] = min(line, own.get(node, line))
    for node, line in own.items():
        first[node] = line
    return first


def _part_line(table: FlatTable, use: int) -> PartLine:
    usage = table.usage
    text = usage.text.get(use)
    number = Fraction(text) if text is not None else Fraction(int(usage.quantity[use]))
    shown = _without_power(text) if text is not None else str(number)
    fields: dict[str, Any] = {
        "component": table.codes[usage.child[use]],
        "quantity": Measure(shown, "count", number=number),
    }
    if use in usage.places:
        measures = [
            Measure(f"{text} {unit}", dimension, quantity_of(text, unit)) if text else None
            for text, unit, dimension in zip(*usage.place_texts[use], _DIMENSIONS, strict=True)
        ]
        fields["at"] = tuple(measures[:3])
        turned = {name: angle for name, angle in zip(TURNS, measures[3:], strict=True) if angle}
        if turned:
            fields["turned"] = turned
    return PartLine.model_validate(fields)


def _without_power(text: str) -> str:
    """A count written out, since a part line takes no exponents: ``2.5e1`` is 25."""
    return f"{Decimal(text).normalize():f}" if "e" in text.lower() else text


def _statement(table: FlatTable, index: int, sources: _Sources) -> MassStatement:
    to = table.statements
    fields: dict[str, Any] = {
        "printed": quantity_of(to.number[index], to.unit[index]),
        "source": sources.id_of(to.source[index], to.line[index], to.more.get(index, {}).get("source kind")),
    }
    for role, (number, unit) in to.given.get(index, {}).items():
        fields[_FIELDS[role]] = quantity_of(number, unit)
    state, build, boundary = to.state[index], to.build[index], to.boundary[index]
    if state is not None:
        fields["state"] = state
    if build is not None:
        fields["build"] = build_values(build)
    if boundary is not None:
        fields |= boundary_fields(boundary)
    for name, text in to.more.get(index, {}).items():
        if name == "serial":
            fields["serials"] = _serials(text)
        elif name == "source kind":
            continue
        elif name == "also":
            fields["also printed"] = {"printed": text}
        else:
            fields[name] = text
    return MassStatement.model_validate(fields)


def _serials(text: str) -> dict[str, str]:
    """One serial, or a range: ``1001 to 1999``, ``1001 to``."""
    first, to, last = f" {text} ".partition(" to ")
    if not to:
        return {"from": text, "to": text}
    return {name: serial.strip() for name, serial in (("from", first), ("to", last)) if serial.strip()}


def quantity_of(number: str, unit: str) -> Quantity:
    """A table's figure as an exact quantity, its text as written; exponents are read too.

    Parameters
    ----------
    number : str
        As `Numbers` gives it.
    unit : str
        Name of the unit.
    """
    return Quantity(f"{number} {unit}", Fraction(number), UNITS[unit], assumed_step(number))


def _length(text: str) -> Measure:
    number, _, unit = text.partition(" ")
    return Measure(text, "length", quantity_of(number, unit))


class _Sources:
    """The sources a table names, each once, with the line that names it first."""

    def __init__(self, file: str, kinds: Mapping[str, SourceKind]) -> None:
        self.file = PurePath(file).name
        self.kinds = kinds
        self.found: dict[str | None, tuple[Source, int]] = {}

    def id_of(self, text: str | None, line: int, kind_id: str | None = None) -> str:
        """The id of the source that a row names, or of the file where it names none.

        Parameters
        ----------
        text : str, optional
            Id of a kind of source, or of a source.
        line : int
        kind_id : str, optional
            The kind of that source, where the row says it.
        """
        stated = self.kinds.get(kind_id or "")
        if text is not None and stated is not None and text not in self.found:
            fields = {"source": _as_id(text), "name": text[:MAX_LINE], "kind": stated.id}
            self.found[text] = (Source.model_validate(fields), line)
        if text not in self.found:
            kind = self.kinds.get(text or "")
            if kind is not None:
                name, kind_id = f"{self.file}: {kind.name}", kind.id
                source_id = _as_id(f"{self.file}: {kind.id}")
            else:
                name, kind_id = text or self.file, NOT_SAID
                source_id = _as_id(name)
            fields = {"source": source_id, "name": name[:MAX_LINE], "kind": kind_id}
            self.found[text] = (Source.model_validate(fields), line)
        return self.found[text][0].id


def _as_id(name: str) -> str:
    """A name as an id: itself where it can be one, else its beginning and a hash of the whole."""
    plain = " ".join("".join(sign if sign.isprintable() else " " for sign in name).split())
    if plain == name and len(plain) <= MAX_ID:
        return name
    return f"{plain[: MAX_ID - 20].rstrip()} {short_id(name)}"
