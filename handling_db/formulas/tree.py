"""The pieces a formula may be made of: a closed set, each with its column in the text."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from handling_db.formulas.values import Value

Function: TypeAlias = Literal["min", "max", "sqrt"]
Sign: TypeAlias = Literal["+", "-", "*", "/"]
Relation: TypeAlias = Literal["==", "!=", "<", "<=", ">", ">="]


@dataclass(frozen=True, slots=True)
class Number:
    """A decimal literal, exact."""

    number: Fraction
    column: int


@dataclass(frozen=True, slots=True)
class Constant:
    """A unit or pi."""

    name: str
    value: Value
    column: int


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter of the family, by name."""

    name: str
    column: int


@dataclass(frozen=True, slots=True)
class Word:
    """A choice, such as the ``yes`` in ``brake == yes``."""

    text: str
    column: int


@dataclass(frozen=True, slots=True)
class Negative:
    """Minus something."""

    inner: Node
    column: int


@dataclass(frozen=True, slots=True)
class Binary:
    """Two operands and one of + - * /; the column is that of the sign."""

    sign: Sign
    left: Node
    right: Node
    column: int


@dataclass(frozen=True, slots=True)
class Power:
    """A base with a small whole exponent."""

    base: Node
    exponent: int
    column: int


@dataclass(frozen=True, slots=True)
class Call:
    """min, max or sqrt of something."""

    function: Function
    arguments: tuple[Node, ...]
    column: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """One comparison; with a word on the right only == and != mean anything."""

    relation: Relation
    left: Node
    right: Node
    column: int


@dataclass(frozen=True, slots=True)
class When:
    """``when(comparison, then, otherwise)``; only the branch taken is worked out."""

    test: Comparison
    then: Node
    otherwise: Node
    column: int


@dataclass(frozen=True, slots=True)
class Table:
    """``table(option, small=3, large=4)``: one row per choice, or per constant figure."""

    option: Parameter
    rows: tuple[tuple[Node, Node], ...]
    column: int


Node: TypeAlias = Number | Constant | Parameter | Word | Negative | Binary | Power | Call | When | Table


def walk(node: Node) -> tuple[Node, ...]:
    """A node and everything in it, in the order of the text."""
    match node:
        case Negative():
            inner: tuple[Node, ...] = (node.inner,)
        case Binary():
            inner = (node.left, node.right)
        case Power():
            inner = (node.base,)
        case Call():
            inner = node.arguments
        case When():
            inner = (node.test.left, node.test.right, node.then, node.otherwise)
        case Table():
            inner = (node.option, *(piece for row in node.rows for piece in row))
        case _:
            inner = ()
    return (node, *(piece for part in inner for piece in walk(part)))
