"""Checking the dimensions of a formula without figures, every branch and every row."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from handling_db.formulas.faults import common, look_up, not_a_choice, not_a_number, word_alone
from handling_db.formulas.tree import (
    Binary,
    Call,
    Comparison,
    Constant,
    Negative,
    Node,
    Number,
    Parameter,
    Power,
    Table,
    When,
    Word,
)
from handling_db.formulas.values import (
    NUMBER,
    Dimension,
    FormulaError,
    combine_dimensions,
    raise_dimension,
    root_dimension,
    same_dimension,
)


@dataclass(frozen=True, slots=True)
class Choices:
    """What a parameter that is a choice may be."""

    words: tuple[str, ...]


Kinds: TypeAlias = Mapping[str, Dimension | Choices]


def check(node: Node, kinds: Kinds) -> Dimension:
    """Find the dimension of a node; see `Formula.dimension`."""
    match node:
        case Number():
            return NUMBER
        case Constant():
            return node.value.dimension
        case Parameter():
            kind = look_up(node, kinds)
            if isinstance(kind, Choices):
                raise not_a_number(node)
            return kind
        case Word():
            raise word_alone(node)
        case Negative():
            return check(node.inner, kinds)
        case Binary():
            return _check_binary(node, check(node.left, kinds), check(node.right, kinds))
        case Power():
            base = check(node.base, kinds)
            return _placed(lambda: raise_dimension(base, node.exponent), node.column)
        case Call():
            found = [check(argument, kinds) for argument in node.arguments]
            if node.function == "sqrt":
                return _placed(lambda: root_dimension(found[0]), node.column)
            return common(found, f"{node.function} cannot compare", node.column)
        case When():
            _check_test(node.test, kinds)
            branches = (check(node.then, kinds), check(node.otherwise, kinds))
            return common(branches, "the two figures of when(...) must be alike, not", node.column)
        case Table():
            return _check_table(node, kinds)


def _placed(work: Callable[[], Dimension], column: int) -> Dimension:
    try:
        return work()
    except FormulaError as error:
        raise FormulaError(error.message, column) from None


def _check_binary(node: Binary, left: Dimension, right: Dimension) -> Dimension:
    if node.sign in ("*", "/"):
        sign = 1 if node.sign == "*" else -1
        return _placed(lambda: combine_dimensions(left, right, sign), node.column)
    doing = "cannot add" if node.sign == "+" else "cannot subtract between"
    return _placed(lambda: same_dimension(left, right, doing), node.column)


def _check_test(test: Comparison, kinds: Kinds) -> None:
    if isinstance(test.right, Word):
        if not isinstance(test.left, Parameter):
            raise word_alone(test.right)
        kind = look_up(test.left, kinds)
        if not isinstance(kind, Choices):
            raise not_a_choice(test.left)
        _check_word(test.right, test.left, kind)
        return
    common((check(test.left, kinds), check(test.right, kinds)), "cannot compare", test.column)


def _check_table(table: Table, kinds: Kinds) -> Dimension:
    kind = look_up(table.option, kinds)
    words: list[str] = []
    for key, _ in table.rows:
        if isinstance(key, Word):
            if not isinstance(kind, Choices):
                raise not_a_choice(table.option)
            _check_word(key, table.option, kind)
            words.append(key.text)
        elif isinstance(kind, Choices):
            raise not_a_number(table.option)
        else:
            common((kind, check(key, kinds)), "cannot compare", key.column)
    if isinstance(kind, Choices):
        left_out = [word for word in kind.words if word not in words]
        if left_out:
            raise FormulaError(f"the table has no row for {', '.join(left_out)}; add one", table.column)
    figures = [check(figure, kinds) for _, figure in table.rows]
    return common(figures, "the rows of a table must be alike, not", table.column)


def _check_word(word: Word, option: Parameter, choices: Choices) -> None:
    if word.text not in choices.words:
        raise FormulaError(
            f"{word.text!r} is not a choice of {option.name}; it may be {', '.join(choices.words)}",
            word.column,
        )
