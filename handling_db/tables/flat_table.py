"""A flat table in memory: plain lists column by column, cheap for a million rows."""

from __future__ import annotations

from collections.abc import MutableSequence
from dataclasses import dataclass, field

Point = tuple[float, float, float]
Placed = tuple[float, float, float, float, float, float]
PlacedText = tuple[tuple[str, ...], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Usage:
    """The part lines of a table, one a row that has a parent; all lists have one length.

    Parameters
    ----------
    parent, child : sequence of int
        Node indices; lists, or arrays of numbers where the table is large.
    quantity : sequence of float
        How many of the child, more than 0. [1]
    line : sequence of int
        Line of the file.
    text : dict of int to str
        The quantity as written, by index of the part line, where it is not a whole number.
    places : dict of int to (x, y, z, roll, pitch, yaw)
        Where the child's datum lies in the parent's frame and how the child is turned, by index of the part
        line; what is not there is not known. [m, deg]
    place_texts : dict of int to (tuple of str, tuple of str)
        The same six as written, and their units; an angle that is not given is an empty text.
    """

    parent: MutableSequence[int] = field(default_factory=list)
    child: MutableSequence[int] = field(default_factory=list)
    quantity: MutableSequence[float] = field(default_factory=list)
    line: MutableSequence[int] = field(default_factory=list)
    text: dict[int, str] = field(default_factory=dict)
    places: dict[int, Placed] = field(default_factory=dict)
    place_texts: dict[int, PlacedText] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.parent)


@dataclass(frozen=True, slots=True)
class Statements:
    """What the table says single nodes weigh; all lists have one length, a mass without doubt does not occur.

    A statement about a node that has parts is about the whole and never adds to the sum of its parts.

    Parameters
    ----------
    node : list of int
    best : list of float
        The figure. [kg]
    below, above : list of float
        How far it may be under and over; they differ only for kinds of source that err to one side. [kg]
    doubt : list of str
        Where these came from: ``stated``, ``stated as u``, ``half the step``, ``half the assumed step`` or
        ``usual for its kind``.
    number, unit : list of str
        The figure as written, and the name of its unit.
    state, boundary, build, source : list of (str or None)
        As written, None where the table is silent. `source` is a kind's id or the name of a source.
    line : list of int
        Line of the file.
    earlier : list of int
        Index of the statement before this one about the same node, -1 for the first.
    u : dict of int to float
        Standard uncertainty where the table gives it, by index of the statement. [kg]
    given : dict of int to dict of str to (str, str)
        Number and unit of `step`, `plus_minus` and `u` as written, by index of the statement.
    more : dict of int to dict of str to str
        What else is said of a statement, by its index: ``where`` it stands, ``on`` which day, ``by`` whom, of
        which ``serial``, the ``also`` printed figure, a ``remark``.
    """

    node: list[int] = field(default_factory=list)
    best: list[float] = field(default_factory=list)
    below: list[float] = field(default_factory=list)
    above: list[float] = field(default_factory=list)
    doubt: list[str] = field(default_factory=list)
    number: list[str] = field(default_factory=list)
    unit: list[str] = field(default_factory=list)
    state: list[str | None] = field(default_factory=list)
    boundary: list[str | None] = field(default_factory=list)
    build: list[str | None] = field(default_factory=list)
    source: list[str | None] = field(default_factory=list)
    line: list[int] = field(default_factory=list)
    earlier: list[int] = field(default_factory=list)
    u: dict[int, float] = field(default_factory=dict)
    given: dict[int, dict[str, tuple[str, str]]] = field(default_factory=dict)
    more: dict[int, dict[str, str]] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.node)

    def printed(self, index: int) -> str:
        """One figure as written, with its unit: ``12.5 kg``."""
        return f"{self.number[index]} {self.unit[index]}"


@dataclass(frozen=True, slots=True)
class FlatTable:
    """What one flat table holds. The lists are not to be changed.

    Parameters
    ----------
    file : str
        How the file is called in messages.
    codes : list of str
        Id of each node, in the order in which the table first names them.
    names : list of str
        Name of each node; its id where the table gives none.
    lines : list of int
        The first line that names the node.
    usage : Usage
    statements : Statements
    centres : dict of int to (x, y, z)
        A node's own centre of gravity in its own frame, by node. [m]
    centre_texts : dict of int to (str, str, str)
        The same as written, each with its unit.
    centre_lines : dict of int to int
    left_out : int
        Rows with a fault. Such a row states no mass and no place here; its part line is kept where parent,
        child and quantity can be read, so that its parent has a part without a mass rather than one less.
    incomplete : set of int
        Nodes whose parts may not all be here: a row below them has a fault, or a parent that no row
        introduces has nearly their name.
    all_incomplete : bool
        Of a row with a fault it is not known what it belongs to, so it may belong to any assembly.
    roots : dict of int to int
        Nodes that a row without a parent introduces, each with the line of the first.
    parts_listed : str
        ``all`` or ``some``: whether the rows of an assembly count as all its parts.
    part_numbers, remarks, kinds : dict of int to str
        By node; kinds as written.
    """

    file: str
    codes: list[str]
    names: list[str]
    lines: list[int]
    usage: Usage
    statements: Statements
    centres: dict[int, Point]
    centre_texts: dict[int, tuple[str, str, str]]
    centre_lines: dict[int, int]
    left_out: int
    incomplete: set[int] = field(default_factory=set)
    all_incomplete: bool = False
    roots: dict[int, int] = field(default_factory=dict)
    parts_listed: str = "all"
    part_numbers: dict[int, str] = field(default_factory=dict)
    remarks: dict[int, str] = field(default_factory=dict)
    kinds: dict[int, str] = field(default_factory=dict)

    @property
    def rows(self) -> int:
        """How many rows it counts for: its part lines, or its figures where there are more of these."""
        return max(len(self.usage), len(self.statements))

    def lists_all(self, node: int) -> bool:
        """Whether the part lines of a node count as all there are."""
        return self.parts_listed == "all" and not self.all_incomplete and node not in self.incomplete

    def index(self) -> dict[str, int]:
        """Node by id."""
        return {code: node for node, code in enumerate(self.codes)}
