"""The formula language: ordinary arithmetic over the parameters of a family, with units.

``64*mm + 7*mm*discs`` is the whole idea. There are + - * / and ** with whole exponents from -6 to 6,
brackets, min, max, sqrt, pi, unit names, ``table(option, small=3, large=4)`` and
``when(brake == yes, 1, 0)``. Nothing else can be written, so nothing else can happen: text, depth, pieces,
exponents and sizes are limited, and every fault is a `FormulaError` with its column and what to write.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from handling_db.formulas.check import Choices, check
from handling_db.formulas.evaluate import evaluate
from handling_db.formulas.read import FUNCTIONS, Reader
from handling_db.formulas.text import EXAMPLE, MAX_TEXT, for_python, read_tokens
from handling_db.formulas.tree import Node, Parameter, Word, walk
from handling_db.formulas.units import UNIT_CONSTANTS
from handling_db.formulas.values import Dimension, FormulaError, Value

__all__ = ["Choices", "Formula", "FormulaError", "Value", "check_parameter_name", "parse"]

_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,39}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula that has been read.

    Parameters
    ----------
    text : str
        As written, trimmed.
    names : tuple of str
        The parameters it uses, in the order of their first use.
    tree : Node
        What it is made of; see `formula_tree`.
    """

    text: str
    names: tuple[str, ...]
    tree: Node = field(repr=False, compare=False)

    def dimension(self, of_names: Mapping[str, Dimension | Choices]) -> Dimension:
        """Check the dimensions without any figures, every branch and every row of a table.

        Parameters
        ----------
        of_names : mapping of str to Dimension or Choices
            What each parameter is: exponents over mass, length, time, angle, or the words it may be.

        Returns
        -------
        Dimension
            Of the result.

        Raises
        ------
        FormulaError
            A sum of unlike dimensions (both are named), an unknown parameter, a word that is not one of
            the choices, or a table that leaves a choice out.

        Examples
        --------
        >>> parse("64*mm + 7*mm*discs").dimension({"discs": (0, 0, 0, 0)})
        (0, 1, 0, 0)
        """
        return check(self.tree, of_names)

    def kind(self, of_names: Mapping[str, Dimension | Choices]) -> Dimension | Choices:
        """As `dimension`, but a lone choice may be handed down: ``set: {brake: brake}``."""
        if isinstance(self.tree, Word):
            return Choices((self.tree.text,))
        if isinstance(self.tree, Parameter) and isinstance(of_names.get(self.tree.name), Choices):
            return of_names[self.tree.name]
        return check(self.tree, of_names)

    def evaluate(self, env: Mapping[str, Value | str]) -> Value:
        """Work the formula out.

        Parameters
        ----------
        env : mapping of str to Value or str
            A value for every parameter used, a plain text for one that is a choice.

        Returns
        -------
        Value
            In base units: kg, m (m³ for litres), deg. Exact unless a root or pi is in it.

        Raises
        ------
        FormulaError
            A missing parameter, unlike dimensions, division by zero, a root of something negative, a
            choice the table has no row for, or a figure beyond 1e-60 to 1e60.

        Examples
        --------
        >>> from fractions import Fraction
        >>> parse("64*mm + 7*mm*discs").evaluate({"discs": Value(Fraction(8))}).number
        Fraction(3, 25)
        """
        return evaluate(self.tree, env)

    def hand_down(self, env: Mapping[str, Value | str]) -> Value | str:
        """As `evaluate`, but a lone choice is handed down as its text."""
        if isinstance(self.tree, Word):
            return self.tree.text
        if isinstance(self.tree, Parameter):
            found = env.get(self.tree.name)
            if isinstance(found, str):
                return found
        return evaluate(self.tree, env)

    def __str__(self) -> str:
        return self.text


def parse(text: str, units: Mapping[str, Value] = UNIT_CONSTANTS) -> Formula:
    """Read a formula.

    Parameters
    ----------
    text : str
        At most 200 characters.
    units : mapping of str to Value
        Names that stand for constants; the units of the project unless given.

    Returns
    -------
    Formula
        Its dimensions are not checked yet: that needs the kinds of its parameters.

    Raises
    ------
    FormulaError
        With the column and what to write.

    Examples
    --------
    >>> parse("29.44*kg + 1.527*kg*discs").names
    ('discs',)
    """
    tree = _read_tree(text, units)
    names = dict.fromkeys(piece.name for piece in walk(tree) if isinstance(piece, Parameter))
    return Formula(text.strip(), tuple(names), tree)


def _read_tree(text: str, units: Mapping[str, Value]) -> Node:
    """Read a formula into its tree, with Python's parser doing the order of operations."""
    tokens = read_tokens(text)
    start = tokens[0].column - 1  # Python takes a leading space for an indent
    source = for_python(text, tokens)[start:].rstrip()
    try:
        body = ast.parse(source, mode="eval").body
    except SyntaxError as error:
        column = min(start + error.offset, len(text)) if error.offset else len(text)
        raise FormulaError(_broken(str(error.msg)), column) from None
    except (ValueError, MemoryError, RecursionError, OverflowError):
        raise FormulaError(f"this cannot be read; write a formula, {EXAMPLE}") from None
    return Reader(tokens, start, units).read(body, 0)


def _broken(message: str) -> str:
    if "repeated" in message:
        return "the same choice stands twice in this table; keep one"
    return f"something is missing or left over here; write a formula, {EXAMPLE}"


def check_parameter_name(name: str, units: Mapping[str, Value] = UNIT_CONSTANTS) -> None:
    """Refuse a name that formulas could not tell from something else.

    Raises
    ------
    FormulaError
        It is a unit, a function or pi, or is not a plain name.
    """
    if name in units:
        raise FormulaError(f"{name!r} is a unit; call the parameter something else, such as {name}_count")
    if name == "pi" or name in FUNCTIONS:
        raise FormulaError(f"{name!r} has a meaning in formulas; call the parameter something else")
    if not _NAME.fullmatch(name):
        raise FormulaError(
            f"{name[:MAX_TEXT]!r} cannot be a parameter's name; write letters, digits and _ only, "
            "at most 40, a letter first, such as shaft_length"
        )
