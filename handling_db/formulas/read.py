"""From the nodes of Python's parser to the closed tree of a formula; whatever is not in it is refused."""

from __future__ import annotations

import ast
from collections.abc import Mapping
from fractions import Fraction

from handling_db.formulas.text import EXAMPLE, MAX_DEPTH, Token
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
    Relation,
    Sign,
    Table,
    When,
    Word,
    walk,
)
from handling_db.formulas.values import FormulaError, Value

MAX_NODES = 120
MAX_EXPONENT = 6
MAX_ARGUMENTS = 20

FUNCTIONS = ("min", "max", "sqrt", "table", "when")
PI = Value(3.141592653589793)

_SIGNS: dict[type[ast.operator], Sign] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
_RELATIONS: dict[type[ast.cmpop], Relation] = {
    ast.Eq: "==",
    ast.NotEq: "!=",
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
}
_WHEN = "write when(brake == yes, 1, 0): a comparison, the figure if it holds, the figure if not"
_TABLE = "write table(option, small=3, large=4): a parameter, then one figure for each of its choices"


class Reader:
    """Turns Python's nodes into ours, counting them."""

    def __init__(self, tokens: tuple[Token, ...], start: int, units: Mapping[str, Value]) -> None:
        self.at = {token.column: token for token in tokens}
        self.tokens = tokens
        self.start = start
        self.units = units
        self.count = 0

    def _column(self, node: ast.expr | ast.keyword) -> int:
        return node.col_offset + self.start + 1

    def _word_at(self, node: ast.expr | ast.keyword) -> str:
        """The name as it was typed, before Python's own words were masked."""
        return self.at[self._column(node)].text

    def read(self, node: ast.expr, depth: int) -> Node:
        """One node and everything in it; refused with its column when it is not of the closed set."""
        column = self._column(node)
        self.count += 1
        if self.count > MAX_NODES:
            raise FormulaError(
                f"this has more than {MAX_NODES} pieces; split it into parameters of its own", column
            )
        if depth > MAX_DEPTH:
            raise FormulaError(f"this is nested more than {MAX_DEPTH} deep; write it flatter", column)
        match node:
            case ast.Constant():
                return self._literal(column)
            case ast.Name():
                return self._name(node)
            case ast.UnaryOp(op=ast.USub()):
                return Negative(self.read(node.operand, depth + 1), column)
            case ast.UnaryOp():
                raise FormulaError("leave out this sign", column)
            case ast.BinOp(op=ast.Pow()):
                return Power(
                    self.read(node.left, depth + 1), self._exponent(node.right), self._sign_column(node)
                )
            case ast.BinOp():
                return self._binary(node, depth)
            case ast.Call():
                return self._call(node, depth)
            case ast.Compare():
                raise FormulaError(f"a comparison stands in when(...) only; {_WHEN}", column)
            case ast.Tuple():
                raise FormulaError(
                    "a comma stands only between the arguments of a function; for decimals write a point",
                    column,
                )
            case _:
                raise FormulaError(f"this is not used in formulas; write arithmetic, {EXAMPLE}", column)

    def _literal(self, column: int) -> Node:
        token = self.at[column]
        if token.kind == "quoted":
            return self._quoted(token)
        return Number(Fraction(token.text), column)

    def _quoted(self, token: Token) -> Word:
        text = token.text[1:-1].strip()
        if not text:
            raise FormulaError("there is nothing between these quotation marks", token.column)
        return Word(text, token.column)

    def _name(self, node: ast.expr) -> Node:
        name, column = self._word_at(node), self._column(node)
        if name == "pi":
            return Constant(name, PI, column)
        if name in self.units:
            return Constant(name, self.units[name], column)
        if name in FUNCTIONS:
            raise FormulaError(f"{name} is a function; write it with its arguments in brackets", column)
        return Parameter(name, column)

    def _exponent(self, node: ast.expr) -> int:
        column, sign = self._column(node), 1
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
            node, sign = node.operand, -1
        token = self.at.get(self._column(node))
        whole = isinstance(node, ast.Constant) and token is not None and token.text.isdecimal()
        if not whole or token is None or int(token.text) > MAX_EXPONENT:
            raise FormulaError(
                f"an exponent is a whole number from -{MAX_EXPONENT} to {MAX_EXPONENT}, written out", column
            )
        return sign * int(token.text)

    def _sign_column(self, node: ast.BinOp) -> int:
        after = self.start + (node.left.end_col_offset or 0)
        return next(t.column for t in self.tokens if t.column > after and t.text != ")")

    def _binary(self, node: ast.BinOp, depth: int) -> Node:
        column = self._sign_column(node)
        sign = _SIGNS.get(type(node.op))
        if sign is None:
            raise FormulaError("this sign is not used in formulas; write one of + - * / **", column)
        # A long plain sum leans to the left without being nested.
        left = self.read(node.left, depth if isinstance(node.left, ast.BinOp) else depth + 1)
        return Binary(sign, left, self.read(node.right, depth + 1), column)

    def _call(self, node: ast.Call, depth: int) -> Node:
        column = self._column(node)
        name = self._word_at(node.func) if isinstance(node.func, ast.Name) else ""
        if name not in FUNCTIONS:
            shown = f"{name} is not a function here" if name else "this is not a function"
            raise FormulaError(f"{shown}; there are {', '.join(FUNCTIONS)}; to multiply write *", column)
        if len(node.args) + len(node.keywords) > MAX_ARGUMENTS:
            raise FormulaError(f"{name} takes at most {MAX_ARGUMENTS} arguments", column)
        if name == "table":
            return self._table(node, depth)
        if node.keywords:
            raise FormulaError(f"{name} takes plain arguments, without =", column)
        if name == "when":
            return self._when(node, depth)
        arguments = tuple(self.read(argument, depth + 1) for argument in node.args)
        if name == "sqrt":
            if len(arguments) != 1:
                raise FormulaError("sqrt takes one argument", column)
            return Call("sqrt", arguments, column)
        if len(arguments) < 2:
            raise FormulaError(f"{name} takes two or more arguments", column)
        return Call("min" if name == "min" else "max", arguments, column)

    def _when(self, node: ast.Call, depth: int) -> Node:
        column = self._column(node)
        if len(node.args) != 3:
            raise FormulaError(f"when takes three arguments; {_WHEN}", column)
        test, then, otherwise = node.args
        if not isinstance(test, ast.Compare):
            raise FormulaError(f"the first argument of when is a comparison; {_WHEN}", self._column(test))
        return When(
            self._comparison(test, depth + 1),
            self.read(then, depth + 1),
            self.read(otherwise, depth + 1),
            column,
        )

    def _comparison(self, node: ast.Compare, depth: int) -> Comparison:
        column = self._column(node)
        relation = _RELATIONS.get(type(node.ops[0]))
        if len(node.ops) != 1 or relation is None:
            raise FormulaError(f"one comparison at a time, with == != < <= > or >=; {_WHEN}", column)
        left, right = self.read(node.left, depth + 1), self.read(node.comparators[0], depth + 1)
        if isinstance(left, Parameter) and relation in ("==", "!="):
            # A bare name to the right of a parameter is a choice, by its place alone.
            if isinstance(right, Parameter | Constant):
                right = Word(right.name, right.column)
        elif isinstance(left, Word) or isinstance(right, Word):
            raise FormulaError(
                "a choice stands to the right of a parameter and == or !=, as in brake == yes", column
            )
        return Comparison(relation, left, right, column)

    def _table(self, node: ast.Call, depth: int) -> Node:
        column = self._column(node)
        option = self.read(node.args[0], depth + 1) if node.args else None
        if not isinstance(option, Parameter):
            raise FormulaError(f"a table starts with a parameter; {_TABLE}", column)
        pairs = node.args[1:]
        if len(pairs) % 2:
            raise FormulaError(f"a quoted choice is followed by its figure, in pairs; {_TABLE}", column)
        rows: list[tuple[Node, Node]] = []
        for key, figure in zip(pairs[::2], pairs[1::2], strict=True):
            read = self.read(key, depth + 1)
            if not isinstance(read, Word) and _uses_parameters(read):
                raise FormulaError(
                    f"a row is named by a choice in quotation marks or by a constant; {_TABLE}",
                    self._column(key),
                )
            rows.append((read, self.read(figure, depth + 1)))
        for row in node.keywords:
            if row.arg is None:
                raise FormulaError(f"this is not used in formulas; {_TABLE}", self._column(row))
            rows.append((Word(self._word_at(row), self._column(row)), self.read(row.value, depth + 1)))
        if not rows:
            raise FormulaError(f"this table has no rows; {_TABLE}", column)
        words = [key.text for key, _ in rows if isinstance(key, Word)]
        if len(set(words)) != len(words):
            raise FormulaError("the same choice stands twice in this table; keep one", column)
        if words and len(words) != len(rows):
            raise FormulaError("a table is by choices or by figures, not both", column)
        return Table(option, tuple(rows), column)


def _uses_parameters(node: Node) -> bool:
    return any(isinstance(piece, Parameter) for piece in walk(node))
