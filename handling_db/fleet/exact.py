"""Exactly where floats cannot tell: whether the known parts outweigh the whole that may stand for them."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from handling_db.fleet.engine import Engine, text
from handling_db.fleet.statements import SUM, UNKNOWN

_LINES = """
  select l.child, l.quantity, l.quantity_exact from lines l where l.shop = {shop} and l.parent = {node}
"""
_MASS = """
  select m.low_kg, m.high_kg, m.low_exact, m.high_exact, m.weighed_together, m.scatter_kg
  from masses m join state_of s on s.state = {state} and (m.state = s.word or m.state = 'every')
  where m.shop = {shop} and m.node = {node}
"""
_BASIS = "select t.basis from total t where t.node = {node} and t.state = {state}"


class Exact:
    """Lower limits in fractions, from the exact text of lines and masses; each worked out once.

    Where a table too large for records has no exact text its floats are taken for what they are.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        found = engine.execute("select first_node, shop from shop_first order by first_node").fetchall()
        self._shops = [(int(first), str(shop)) for first, shop in found]
        self._low: dict[tuple[int, int], Fraction] = {}

    def stands(self, node: int, state: int) -> bool:
        """Whether the known parts of a node do not weigh more than the whole that may stand for them."""
        return self._sum(node, state) <= self._own(node, state)[1]

    def _place(self, node: int) -> tuple[int, str]:
        """The first node of the shop that a node is of, and the shop."""
        return max((first, shop) for first, shop in self._shops if first <= node)

    def _sum(self, node: int, state: int) -> Fraction:
        """The lower limit of what is known in a node, its parts before it; no recursion."""
        stack = [(node, False)]
        while stack:
            here, ready = stack.pop()
            if (here, state) in self._low:
                continue
            lines = self._lines(here)
            if ready:
                self._low[here, state] = sum(
                    (self._together(child, quantity, state) for child, quantity in lines), start=Fraction(0)
                )
                continue
            stack.append((here, True))
            stack += [(child, False) for child, _ in lines if self._basis(child, state) == SUM]
        return self._low[node, state]

    def _together(self, child: int, quantity: Fraction, state: int) -> Fraction:
        basis = self._basis(child, state)
        if basis == UNKNOWN:
            return Fraction(0)
        if basis == SUM:
            return quantity * self._low[child, state]
        low, _, together, scatter = self._own(child, state)
        free = min(quantity, abs(together - quantity)) if scatter else Fraction(0)
        return max(quantity * low - free * scatter, Fraction(0))

    def _basis(self, node: int, state: int) -> int:
        asked = _BASIS.format(node=node, state=state)
        return int(self.engine.execute(asked).fetchall()[0][0])

    def _own(self, node: int, state: int) -> tuple[Fraction, Fraction, Fraction, Fraction]:
        first, shop = self._place(node)
        asked = _MASS.format(shop=text(shop), node=node - first, state=state)
        low, high, low_text, high_text, together, scatter = self.engine.execute(asked).fetchall()[0]
        return (
            _number(low, low_text), _number(high, high_text), Fraction(together or 0), Fraction(scatter or 0)
        )  # fmt: skip

    def _lines(self, node: int) -> list[tuple[int, Fraction]]:
        first, shop = self._place(node)
        rows: list[Any] = self.engine.execute(_LINES.format(shop=text(shop), node=node - first)).fetchall()
        return [(first + int(child), _number(quantity, exact)) for child, quantity, exact in rows]


def _number(value: float, exact: str | None) -> Fraction:
    return Fraction(exact) if exact is not None else Fraction(value)
