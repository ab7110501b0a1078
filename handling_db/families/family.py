"""Formulas over the parameters of a family: read once, worked out in a build, checked without figures."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from handling_db.families.parameter import (
    BASES,
    BuildError,
    Value,
    from_formula,
    kind_in_formulas,
    to_formula,
)
from handling_db.formulas.figures import Figure, unknown, what_of
from handling_db.formulas.formula import Choices, Formula, FormulaError, parse
from handling_db.records.kinds.component import Parameter

Parameters = Mapping[str, Parameter]
Values = Mapping[str, Value]

MAX_CONDITION = 150  # characters
_BEFORE = "when("


@lru_cache(maxsize=4096)
def read_formula(text: str) -> Formula:
    """Read a formula; the same text is read once.

    Raises
    ------
    FormulaError
        With the column and what to write.
    """
    return parse(text)


@lru_cache(maxsize=1024)
def read_condition(text: str) -> Formula:
    """Read a condition, such as ``brake == yes``: a formula that gives 1 where it holds and 0 elsewhere.

    Raises
    ------
    FormulaError
        With the column and what to write.
    """
    if len(text) > MAX_CONDITION:
        raise FormulaError(f"a condition has at most {MAX_CONDITION} characters; write a shorter one")
    try:
        formula = parse(f"{_BEFORE}{text}, 1, 0)")
    except FormulaError as error:
        told = _in_condition(error)
        raise FormulaError(f"{told} (a condition is one comparison, such as brake == yes)") from None
    if formula.piece.kind != "when":
        raise FormulaError("a condition is one comparison, such as brake == yes or discs > 8")
    return formula


def _condition_words(error: FormulaError) -> str:
    """As `_in_condition`; a fault of reading has its column set right already."""
    return error.message if error.column is None else _in_condition(error)


def _in_condition(error: FormulaError) -> str:
    """The words of a fault, with the column counted in the condition itself."""
    column = (error.column or 0) - len(_BEFORE)
    return f"column {column}: {error.message}" if column > 0 else error.message


def kinds_of(parameters: Parameters) -> dict[str, Figure | Choices]:
    """What every parameter is to the formula language.

    Raises
    ------
    BuildError
        A unit is not known.
    """
    return {name: kind_in_formulas(name, parameter) for name, parameter in parameters.items()}


def environment(formula: Formula, parameters: Parameters | None, values: Values) -> dict[str, Figure | str]:
    """The values a formula uses, as the formula language has them; all of them if it uses an unknown one."""
    known = parameters or {}
    names = formula.names if all(name in values for name in formula.names) else values
    return {name: to_formula(name, known.get(name), values[name]) for name in names}


def work_out(text: str, dimension: str, parameters: Parameters | None, values: Values) -> Fraction:
    """The figure a formula gives in a build, in base units.

    Parameters
    ----------
    text : str
        ``64*mm + 7*mm*discs``.
    dimension : str
        What it must be: ``count``, ``length``, ``mass``, ``volume``, ``angle`` or ``density``.
    parameters : mapping of name to Parameter, optional
        Which say the unit of each value; without them values are plain numbers.
    values : mapping of name to Value

    Raises
    ------
    BuildError
        It cannot be read or worked out, or is of another dimension.
    """
    try:
        formula = read_formula(text)
        figure = formula.evaluate(environment(formula, parameters, values))
    except FormulaError as error:
        raise BuildError(f"{text!r} cannot be worked out: {error}") from None
    try:
        return from_formula(figure, dimension)
    except BuildError as error:
        raise BuildError(f"{text!r} gives {error}") from None


def holds(text: str, parameters: Parameters | None, values: Values) -> bool:
    """Whether a condition holds in a build.

    Raises
    ------
    BuildError
        It cannot be read or worked out.
    """
    try:
        condition = read_condition(text)
        return bool(condition.evaluate(environment(condition, parameters, values)).magnitude != 0)
    except FormulaError as error:
        raise BuildError(f"{text!r} cannot be worked out: {_condition_words(error)}") from None


def check_formula(text: str, dimension: str, parameters: Parameters) -> None:
    """Check a formula without figures: every branch, every row.

    Raises
    ------
    BuildError
        It cannot be read, uses an unknown name, adds unlike things, or is of another dimension.
    """
    try:
        found = read_formula(text).check(kinds_of(parameters))
    except FormulaError as error:
        raise BuildError(f"{text!r}: {error}") from None
    wanted = unknown(BASES[dimension])
    if not found.is_compatible_with(wanted):
        raise BuildError(f"{text!r} gives {what_of(found)}; it must be {what_of(wanted)}")


def check_condition(text: str, parameters: Parameters) -> None:
    """Check a condition without figures.

    Raises
    ------
    BuildError
        It cannot be read, or compares unlike things.
    """
    try:
        read_condition(text).check(kinds_of(parameters))
    except FormulaError as error:
        raise BuildError(f"{text!r}: {_condition_words(error)}") from None
