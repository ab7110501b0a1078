"""From the nodes of Python's parser to the work of a formula; whatever is not in the closed set is refused.

Each node becomes one function of a `World`. The same functions work a formula out and check it without
figures: then every branch and every row is looked at, with figures whose numbers are not known.
"""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple, TypeAlias

from handling_db.formulas.faults import FormulaError, at, not_a_choice, not_a_number, unknown_name
from handling_db.formulas.figures import Figure, alike, combined, figure, powered, rooted, unknown
from handling_db.formulas.text import EXAMPLE, MAX_DEPTH, Token

MAX_NODES = 120
MAX_EXPONENT = 6
MAX_ARGUMENTS = 20

FUNCTIONS = ("min", "max", "sqrt", "table", "when")

_SIGNS: dict[type[ast.operator], str] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
_RELATIONS: dict[type[ast.cmpop], Callable[[Any, Any], bool]] = {
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
}
_WHEN = "write when(brake == yes, 1, 0): a comparison, the figure if it holds, the figure if not"
_TABLE = "write table(option, small=3, large=4): a parameter, then one figure for each of its choices"


@dataclass(frozen=True, slots=True)
class Choices:
    """What a parameter that is a choice may be."""

    words: tuple[str, ...]


class World(NamedTuple):
    """What the names stand for; with `every`, all branches and rows are looked at, not the one that holds."""

    names: Mapping[str, Figure | str | Choices]
    every: bool = False

    def of(self, piece: FormulaNode) -> Figure | str | Choices:
        """What the parameter that a piece names stands for."""
        if piece.text not in self.names:
            raise unknown_name(piece.text, self.names, piece.column)
        return self.names[piece.text]

    def choice(self, option: FormulaNode, word: str, column: int) -> bool:
        """Whether a choice has this word; in a check, whether it may have it is looked at."""
        found = self.of(option)
        if not isinstance(found, str | Choices):
            raise not_a_choice(option.text, option.column)
        if isinstance(found, str):
            return found == word
        if word not in found.words:
            told = f"{word!r} is not a choice of {option.text}; it may be {', '.join(found.words)}"
            raise FormulaError(told, column)
        return False


Work: TypeAlias = Callable[[World], Figure]


@dataclass(frozen=True, slots=True)
class FormulaNode:
    """One node of a formula: its work, its column, what kind it is and the name or word it consists of."""

    work: Work
    column: int
    kind: str = ""
    text: str = ""


class Reader:
    """Turns Python's nodes into pieces, counting them and noting which parameters they use."""

    def __init__(self, tokens: tuple[Token, ...], start: int, units: Mapping[str, str]) -> None:
        self.at = {token.column: token for token in tokens}
        self.tokens = tokens
        self.start = start
        self.units = units
        self.count = 0
        self.names: dict[str, None] = {}

    def _column(self, node: ast.expr | ast.keyword) -> int:
        return node.col_offset + self.start + 1

    def _word_at(self, node: ast.expr | ast.keyword) -> str:
        """The name as it was typed, before Python's own words were masked."""
        return self.at[self._column(node)].text

    def read(self, node: ast.expr, depth: int, *, named: bool = True) -> FormulaNode:
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
                return self._name(node, named=named)
            case ast.UnaryOp(op=ast.USub()):
                inner = self.read(node.operand, depth + 1).work
                return FormulaNode(lambda world: -inner(world), column)
            case ast.UnaryOp():
                raise FormulaError("leave out this sign", column)
            case ast.BinOp(op=ast.Pow()):
                base, exponent = self.read(node.left, depth + 1).work, self._exponent(node.right)
                return _placed(lambda world: powered(base(world), exponent), self._sign_column(node))
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

    def _literal(self, column: int) -> FormulaNode:
        token = self.at[column]
        if token.kind != "quoted":
            number, blank = figure(Fraction(token.text)), unknown()
            return FormulaNode(lambda world: blank if world.every else number, column)
        text = token.text[1:-1].strip()
        if not text:
            raise FormulaError("there is nothing between these quotation marks", column)
        return _word(text, column)

    def _name(self, node: ast.expr, *, named: bool) -> FormulaNode:
        name, column = self._word_at(node), self._column(node)
        if name == "pi" or name in self.units:
            unit = self.units.get(name, "")
            constant, blank = figure(Fraction(1) if unit else math.pi, unit), unknown(unit)
            return FormulaNode(lambda world: blank if world.every else constant, column, "constant", name)
        if name in FUNCTIONS:
            raise FormulaError(f"{name} is a function; write it with its arguments in brackets", column)

        def work(world: World) -> Figure:
            found = world.of(piece)
            if isinstance(found, str | Choices):
                raise not_a_number(name, column)
            return found

        piece = FormulaNode(work, column, "parameter", name)
        if named:
            self.names.setdefault(name)
        return piece

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

    def _binary(self, node: ast.BinOp, depth: int) -> FormulaNode:
        column = self._sign_column(node)
        sign = _SIGNS.get(type(node.op))
        if sign is None:
            raise FormulaError("this sign is not used in formulas; write one of + - * / **", column)
        # A long plain sum leans to the left without being nested.
        left = self.read(node.left, depth if isinstance(node.left, ast.BinOp) else depth + 1).work
        right = self.read(node.right, depth + 1).work
        return _placed(lambda world: combined(sign, left(world), right(world)), column)

    def _call(self, node: ast.Call, depth: int) -> FormulaNode:
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
        given = [self.read(argument, depth + 1).work for argument in node.args]
        if name == "sqrt":
            if len(given) != 1:
                raise FormulaError("sqrt takes one argument", column)
            return _placed(lambda world: rooted(given[0](world)), column)
        if len(given) < 2:
            raise FormulaError(f"{name} takes two or more arguments", column)
        pick = min if name == "min" else max

        def work(world: World) -> Figure:
            found = _all_alike([one(world) for one in given], f"{name} cannot compare", column)
            return pick(found, key=lambda one: one.magnitude)

        return FormulaNode(work, column)

    def _when(self, node: ast.Call, depth: int) -> FormulaNode:
        column = self._column(node)
        if len(node.args) != 3:
            raise FormulaError(f"when takes three arguments; {_WHEN}", column)
        test, *branches = node.args
        if not isinstance(test, ast.Compare):
            raise FormulaError(f"the first argument of when is a comparison; {_WHEN}", self._column(test))
        holds = self._comparison(test, depth + 1)
        then, otherwise = (self.read(branch, depth + 1).work for branch in branches)

        def work(world: World) -> Figure:
            held = holds(world)
            if not world.every:  # only the branch taken is worked out
                return (then if held else otherwise)(world)
            doing = "the two figures of when(...) must be alike, not"
            return _all_alike([then(world), otherwise(world)], doing, column)[0]

        return FormulaNode(work, column, "when")

    def _comparison(self, node: ast.Compare, depth: int) -> Callable[[World], bool]:
        column = self._column(node)
        relation = _RELATIONS.get(type(node.ops[0]))
        if len(node.ops) != 1 or relation is None:
            raise FormulaError(f"one comparison at a time, with == != < <= > or >=; {_WHEN}", column)
        left = self.read(node.left, depth + 1)
        # A bare name to the right of a parameter is a choice, by its place alone.
        by_words = left.kind == "parameter" and relation in (operator.eq, operator.ne)
        right = self.read(node.comparators[0], depth + 1, named=not by_words)
        if by_words and right.kind in ("parameter", "constant", "word"):
            return lambda world: world.choice(left, right.text, right.column) == (relation is operator.eq)
        if "word" in (left.kind, right.kind):
            raise FormulaError(
                "a choice stands to the right of a parameter and == or !=, as in brake == yes", column
            )

        def compare(world: World) -> bool:
            one, two = _all_alike([left.work(world), right.work(world)], "cannot compare", column)
            return bool(relation(one.magnitude, two.magnitude))

        return compare

    def _table(self, node: ast.Call, depth: int) -> FormulaNode:
        column = self._column(node)
        option = self.read(node.args[0], depth + 1) if node.args else None
        if option is None or option.kind != "parameter":
            raise FormulaError(f"a table starts with a parameter; {_TABLE}", column)
        pairs = node.args[1:]
        if len(pairs) % 2:
            raise FormulaError(f"a quoted choice is followed by its figure, in pairs; {_TABLE}", column)
        rows: list[tuple[FormulaNode, Work]] = []
        for key, value in zip(pairs[::2], pairs[1::2], strict=True):
            if any(isinstance(part, ast.Name) and self._is_parameter(part) for part in ast.walk(key)):
                raise FormulaError(
                    f"a row is named by a choice in quotation marks or by a constant; {_TABLE}",
                    self._column(key),
                )
            rows.append((self.read(key, depth + 1), self.read(value, depth + 1).work))
        for row in node.keywords:
            if row.arg is None:
                raise FormulaError(f"this is not used in formulas; {_TABLE}", self._column(row))
            key_piece = _word(self._word_at(row), self._column(row))
            rows.append((key_piece, self.read(row.value, depth + 1).work))
        if not rows:
            raise FormulaError(f"this table has no rows; {_TABLE}", column)
        words = [key.text for key, _ in rows if key.kind == "word"]
        if len(set(words)) != len(words):
            raise FormulaError("the same choice stands twice in this table; keep one", column)
        if words and len(words) != len(rows):
            raise FormulaError("a table is by choices or by figures, not both", column)
        return FormulaNode(lambda world: _row(world, option, rows, column), column)

    def _is_parameter(self, node: ast.Name) -> bool:
        name = self._word_at(node)
        return name != "pi" and name not in self.units and name not in FUNCTIONS


def _placed(work: Work, column: int) -> FormulaNode:
    """A piece whose faults have the column of the sign that causes them."""

    def placed(world: World) -> Figure:
        with at(column):
            return work(world)

    return FormulaNode(placed, column)


def _word(text: str, column: int) -> FormulaNode:
    def work(_: World) -> Figure:
        raise FormulaError(f"{text!r} is a choice and cannot be calculated with", column)

    return FormulaNode(work, column, "word", text)


def _all_alike(found: list[Figure], doing: str, column: int) -> list[Figure]:
    with at(column):
        for other in found[1:]:
            alike(found[0], other, doing)
    return found


def _row(world: World, option: FormulaNode, rows: list[tuple[FormulaNode, Work]], column: int) -> Figure:
    """The row that the option's value names; in a check, all rows."""
    found = world.of(option)
    chosen: list[Work] = []
    known: list[str] = []
    for key, value in rows:
        if key.kind == "word":
            same = world.choice(option, key.text, key.column)
            known.append(key.text)
        elif isinstance(found, str | Choices):
            raise not_a_number(option.text, option.column)
        else:
            one, two = _all_alike([found, key.work(world)], "cannot compare", key.column)
            same = one.magnitude == two.magnitude
            known.append(shown(two))
        if same or world.every:
            chosen.append(value)
    if isinstance(found, Choices) and (left_out := [word for word in found.words if word not in known]):
        raise FormulaError(f"the table has no row for {', '.join(left_out)}; add one", column)
    told = found if isinstance(found, str | Choices) else shown(found)
    if not chosen:
        raise FormulaError(
            f"the table has no row for {told}; it has {', '.join(known)}. Add a row", option.column
        )
    if world.every:
        return _all_alike([one(world) for one in chosen], "the rows of a table must be alike, not", column)[0]
    if len(chosen) > 1:
        raise FormulaError(f"two rows of this table are for {told}; keep one", column)
    return chosen[0](world)


def shown(found: Figure) -> str:
    """A figure in base units, as a fault tells it."""
    return f"{float(found.magnitude):.10g} {found.units:~}".strip()
