"""Masses tied by sums: nodes that each weigh what their lines say, and figures read for some of them.

What bounds and reconciliation share. It knows no records: a list of parts that may be longer than it says
gets one more line, to a node of its own that nobody weighed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType

from handling_db.errors import HandlingError

Lines = tuple[tuple[int, Fraction], ...]
_NONE: Mapping[str, Fraction] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Reading:
    """One figure for one node, as far as it may be used together with the others.

    Parameters
    ----------
    id : str
        Of the statement or weighing.
    node : int
    best, low, high : Fraction
        [kg]
    variance : float
        Square of its standard uncertainty, what it shares with others left out. [kg²]
    shared : mapping of str to Fraction
        Half-width of what it shares with others: the calibration doubt of an instrument, what all figures of
        one list or of one density may be off alike. [kg]
    says : str
        Who says it, for the reader.
    """

    id: str
    node: int
    best: Fraction
    low: Fraction
    high: Fraction
    variance: float
    shared: Mapping[str, Fraction] = field(default_factory=lambda: _NONE)
    says: str = ""

    @property
    def total_variance(self) -> float:
        """With the shared doubt, rectangular, as variance (JCGM 100:2008, 4.3.7). [kg²]"""
        return self.variance + sum(float(half) ** 2 for half in self.shared.values()) / 3


@dataclass(frozen=True, eq=False)
class Network:
    """Nodes and their lines; a node without lines is a leaf.

    Parameters
    ----------
    names : tuple of str
        By node, for the reader.
    lines : tuple of tuples of (child, quantity)
        By node; every quantity above zero and every child once.
    order : tuple of int
        Every child before its parents.
    """

    names: tuple[str, ...]
    lines: tuple[Lines, ...]
    order: tuple[int, ...]

    @cached_property
    def is_forest(self) -> bool:
        """Whether nothing goes into more than one place, so that sweeps are exact."""
        seen = bytearray(len(self.names))
        for lines in self.lines:
            for child, _ in lines:
                if seen[child]:
                    return False
                seen[child] = 1
        return True

    @cached_property
    def size(self) -> int:
        """The number of lines."""
        return sum(len(lines) for lines in self.lines)


def network(names: Sequence[str], lines: Iterable[Iterable[tuple[int, Fraction | int]]]) -> Network:
    """Build a network: lines to one child are put together, and the order is worked out.

    Raises
    ------
    HandlingError
        A node would contain itself, or a quantity is not above zero.
    """
    merged: list[Lines] = []
    for here in lines:
        counts: dict[int, Fraction] = {}
        for child, quantity in here:
            if quantity <= 0:
                raise HandlingError(f"a line to {names[child]!r} has the quantity {quantity}")
            counts[child] = counts.get(child, Fraction(0)) + quantity
        merged.append(tuple(counts.items()))
    return Network(tuple(names), tuple(merged), _children_first(merged))


def _children_first(lines: Sequence[Lines]) -> tuple[int, ...]:
    parents: list[list[int]] = [[] for _ in lines]
    waiting = [len(below) for below in lines]
    for parent, below in enumerate(lines):
        for child, _ in below:
            parents[child].append(parent)
    order = [node for node, left in enumerate(waiting) if left == 0]
    for node in order:
        for parent in parents[node]:
            waiting[parent] -= 1
            if waiting[parent] == 0:
                order.append(parent)
    if len(order) < len(lines):
        raise HandlingError("something contains itself, so its mass cannot be worked out")
    return tuple(order)


def by_node(readings: Iterable[Reading], nodes: int) -> list[list[int]]:
    """The places of the readings in their list, by the node they speak of."""
    found: list[list[int]] = [[] for _ in range(nodes)]
    for place, reading in enumerate(readings):
        found[reading.node].append(place)
    return found
