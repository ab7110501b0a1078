"""The formula language: ordinary arithmetic over the parameters of a family, with units.

``64*mm + 7*mm*discs`` is the whole idea. There are + - * / and ** with whole exponents from -6 to 6,
brackets, min, max, sqrt, pi, unit names, ``table(option, small=3, large=4)`` and
``when(brake == yes, 1, 0)``. Nothing else can be written, so nothing else can happen: text, depth, pieces,
exponents and sizes are limited, and every fault is a `FormulaError` with its column and what to write.
"""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from handling_db.formulas.faults import FormulaError
from handling_db.formulas.figures import Figure
from handling_db.formulas.read import FUNCTIONS, Choices, FormulaNode, Reader, World
from handling_db.formulas.text import EXAMPLE, MAX_TEXT, Token, for_python, read_tokens
from handling_db.quantities.pint_units import PINT_NAMES
from handling_db.quantities.table import UNITS

__all__ = ["Choices", "Formula", "FormulaError", "check_parameter_name", "parse"]

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
    piece : FormulaNode
        The work of the whole; see `read`.
    """

    text: str
    names: tuple[str, ...] = field(compare=False)
    piece: FormulaNode = field(repr=False, compare=False)

    def check(self, of_names: Mapping[str, Figure | Choices]) -> Figure:
        """Check what is added and compared without any numbers, every branch and every row of a table.

        Parameters
        ----------
        of_names : mapping of str to Figure or Choices
            What each parameter is: a figure of which only the unit counts, or the words it may be.

        Returns
        -------
        Figure
            What the result measures, without a number.

        Raises
        ------
        FormulaError
            A sum of unlike things (both are named), an unknown parameter, a word that is not one of
            the choices, or a table that leaves a choice out.

        Examples
        --------
        >>> str(parse("64*mm + 7*mm*discs").check({"discs": unknown()}).dimensionality)
        '[length]'
        """
        return self.piece.work(World({name: _blank(one) for name, one in of_names.items()}, every=True))

    def kind(self, of_names: Mapping[str, Figure | Choices]) -> Figure | Choices:
        """As `check`, but a lone choice may be handed down: ``set: {brake: brake}``."""
        if self.piece.kind == "word":
            return Choices((self.piece.text,))
        found = of_names.get(self.piece.text)
        if self.piece.kind == "parameter" and isinstance(found, Choices):
            return found
        return self.check(of_names)

    def evaluate(self, env: Mapping[str, Figure | str]) -> Figure:
        """Work the formula out.

        Parameters
        ----------
        env : mapping of str to Figure or str
            A value for every parameter used, a plain text for one that is a choice.

        Returns
        -------
        Figure
            In base units: kg, m (m³ for litres), deg. Exact unless a root or pi is in it.

        Raises
        ------
        FormulaError
            A missing parameter, unlike things added or compared, division by zero, a root of something
            negative, a choice the table has no row for, or a figure beyond 1e-60 to 1e60.

        Examples
        --------
        >>> str(parse("64*mm + 7*mm*discs").evaluate({"discs": figure(8)}).to("mm"))
        '120 mm'
        """
        return self.piece.work(World(env))

    def hand_down(self, env: Mapping[str, Figure | str]) -> Figure | str:
        """As `evaluate`, but a lone choice is handed down as its text."""
        if self.piece.kind == "word":
            return self.piece.text
        found = env.get(self.piece.text)
        if self.piece.kind == "parameter" and isinstance(found, str):
            return found
        return self.evaluate(env)

    def __str__(self) -> str:
        return self.text


def _blank(one: Figure | Choices) -> Figure | Choices:
    return one if isinstance(one, Choices) else type(one)(math.nan, one.units)


def unit_names() -> dict[str, str]:
    """The units a formula may use as constants, each with its name in the registry.

    Made from the one table of exact factors, so that a formula and a printed figure can never disagree
    about a pound. Compound units are written out: ``0.87*kg/L``, ``7850*kg/m**3``.
    """
    plain = {unit.name: PINT_NAMES.get(unit.name, unit.name) for unit in UNITS.values()}
    spelled = {name.replace(" ", "_"): known for name, known in plain.items()}
    return {name: known for name, known in spelled.items() if name.isascii() and name.isidentifier()}


_UNIT_NAMES = unit_names()


def parse(text: str) -> Formula:
    """Read a formula.

    Parameters
    ----------
    text : str
        At most 200 characters.

    Returns
    -------
    Formula
        What it adds and compares is not checked yet: that needs the kinds of its parameters.

    Raises
    ------
    FormulaError
        With the column and what to write.

    Examples
    --------
    >>> parse("29.44*kg + 1.527*kg*discs").names
    ('discs',)
    """
    tokens = read_tokens(text)
    start = tokens[0].column - 1  # Python takes a leading space for an indent
    reader = Reader(tokens, start, _UNIT_NAMES)
    piece = reader.read(_parsed(text, tokens, start), 0)
    return Formula(text.strip(), tuple(reader.names), piece)


def _parsed(text: str, tokens: tuple[Token, ...], start: int) -> ast.expr:
    """The nodes of Python's parser, which does the order of operations."""
    try:
        return ast.parse(for_python(text, tokens)[start:].rstrip(), mode="eval").body
    except SyntaxError as error:
        column = min(start + error.offset, len(text)) if error.offset else len(text)
        raise FormulaError(_broken(str(error.msg)), column) from None
    except (ValueError, MemoryError, RecursionError, OverflowError):
        raise FormulaError(f"this cannot be read; write a formula, {EXAMPLE}") from None


def _broken(message: str) -> str:
    if "repeated" in message:
        return "the same choice stands twice in this table; keep one"
    return f"something is missing or left over here; write a formula, {EXAMPLE}"


def check_parameter_name(name: str) -> None:
    """Refuse a name that formulas could not tell from something else.

    Raises
    ------
    FormulaError
        It is a unit, a function or pi, or is not a plain name.
    """
    if name in _UNIT_NAMES:
        raise FormulaError(f"{name!r} is a unit; call the parameter something else, such as {name}_count")
    if name == "pi" or name in FUNCTIONS:
        raise FormulaError(f"{name!r} has a meaning in formulas; call the parameter something else")
    if not _NAME.fullmatch(name):
        raise FormulaError(
            f"{name[:MAX_TEXT]!r} cannot be a parameter's name; write letters, digits and _ only, "
            "at most 40, a letter first, such as shaft_length"
        )
