"""Working a formula out, and checking its dimensions without figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping
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
from handling_db.formulas.values import FormulaError, Value, add, divide, multiply, negate, power, root

Environment: TypeAlias = Mapping[str, Value | str]


def evaluate(node: Node, env: Environment) -> Value:
    """Work out a node; see `Formula.evaluate`."""
    match node:
        case Number():
            return Value(node.number)
        case Constant():
            return node.value
        case Parameter():
            found = look_up(node, env)
            if isinstance(found, str):
                raise not_a_number(node)
            return found
        case Word():
            raise word_alone(node)
        case Negative():
            return negate(evaluate(node.inner, env))
        case Binary():
            left, right = evaluate(node.left, env), evaluate(node.right, env)
            return _placed(lambda: _combine(node.sign, left, right), node.column)
        case Power():
            base = evaluate(node.base, env)
            return _placed(lambda: power(base, node.exponent), node.column)
        case Call():
            return _call(node, [evaluate(argument, env) for argument in node.arguments])
        case When():
            return evaluate(node.then if _holds(node.test, env) else node.otherwise, env)
        case Table():
            return evaluate(_row(node, env), env)


def _placed(work: Callable[[], Value], column: int) -> Value:
    """Do the work, and give a fault the column of the sign that caused it."""
    try:
        return work()
    except FormulaError as error:
        raise FormulaError(error.message, column) from None


def _combine(sign: str, left: Value, right: Value) -> Value:
    if sign == "*":
        return multiply(left, right)
    if sign == "/":
        return divide(left, right)
    return add(left, right, 1 if sign == "+" else -1)


def _call(node: Call, values: list[Value]) -> Value:
    if node.function == "sqrt":
        return _placed(lambda: root(values[0]), node.column)
    common([value.dimension for value in values], f"{node.function} cannot compare", node.column)
    pick = min if node.function == "min" else max
    return pick(values, key=lambda value: value.number)


def _holds(test: Comparison, env: Environment) -> bool:
    if isinstance(test.right, Word):
        if not isinstance(test.left, Parameter):
            raise word_alone(test.right)
        found = look_up(test.left, env)
        if not isinstance(found, str):
            raise not_a_choice(test.left)
        return (found == test.right.text) == (test.relation == "==")
    left, right = evaluate(test.left, env), evaluate(test.right, env)
    common((left.dimension, right.dimension), "cannot compare", test.column)
    one, two = left.number, right.number
    return {
        "==": one == two,
        "!=": one != two,
        "<": one < two,
        "<=": one <= two,
        ">": one > two,
        ">=": one >= two,
    }[test.relation]


def _row(table: Table, env: Environment) -> Node:
    """The row of a table that the option's value names."""
    found = look_up(table.option, env)
    known: list[str] = []
    chosen: list[Node] = []
    for key, figure in table.rows:
        if isinstance(key, Word):
            if not isinstance(found, str):
                raise not_a_choice(table.option)
            known.append(key.text)
            same = key.text == found
        else:
            if isinstance(found, str):
                raise not_a_number(table.option)
            value = evaluate(key, env)
            common((found.dimension, value.dimension), "cannot compare", key.column)
            known.append(str(value))
            same = value.number == found.number
        if same:
            chosen.append(figure)
    if len(chosen) > 1:
        raise FormulaError(f"two rows of this table are for {found}; keep one", table.column)
    if not chosen:
        raise FormulaError(
            f"the table has no row for {found}; it has {', '.join(known)}. Add a row", table.option.column
        )
    return chosen[0]
