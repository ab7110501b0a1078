"""What working a formula out and checking it have in common: names looked up, and the faults both find."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import TypeVar

from handling_db.formulas.tree import Parameter, Word
from handling_db.formulas.values import Dimension, FormulaError, same_dimension

_T = TypeVar("_T")


def common(dimensions: Iterable[Dimension], doing: str, column: int) -> Dimension:
    """The one dimension all of these have, or an error that names the two that differ."""
    first, *others = dimensions
    try:
        for other in others:
            same_dimension(first, other, doing)
    except FormulaError as error:
        raise FormulaError(error.message, column) from None
    return first


def look_up(node: Parameter, names: Mapping[str, _T]) -> _T:
    """What a name stands for, or an error that offers the nearest one."""
    if node.name in names:
        return names[node.name]
    near = difflib.get_close_matches(node.name, names, n=1)
    known = ", ".join(sorted(names)) or "none"
    hint = f"did you mean {near[0]!r}?" if near else f"known here: {known}"
    raise FormulaError(f"{node.name!r} is neither a unit nor a parameter with a value; {hint}", node.column)


def not_a_number(node: Parameter) -> FormulaError:
    """A choice stands where a number is needed."""
    return FormulaError(
        f"{node.name} is a choice, not a number; "
        f"write table({node.name}, ...) or when({node.name} == ..., ...)",
        node.column,
    )


def not_a_choice(node: Parameter) -> FormulaError:
    """A number stands where a choice is needed."""
    return FormulaError(f"{node.name} is a number, not a choice; compare it with a number", node.column)


def word_alone(node: Word) -> FormulaError:
    """A choice stands where something is calculated."""
    return FormulaError(f"{node.text!r} is a choice and cannot be calculated with", node.column)
