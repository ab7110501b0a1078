"""The lines a sum is made of: every part line below an assembly, with how many pieces of it there are."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from handling_db.quantities.mass import Mass
from handling_db.weights.totals import Basis, Figure, Totals
from handling_db.weights.witness import Witness


@dataclass(frozen=True, slots=True)
class SumLine:
    """One part line inside a sum.

    Parameters
    ----------
    parent, child : int
        Nodes of the tree.
    component : str
        Of the child.
    times : Fraction
        How many of the parent there are.
    quantity : Fraction
        How many of the child a parent has.
    figure : Figure
        What one piece hands up.
    opened : bool
        Whether the sum goes on below it; otherwise it is a leaf of the sum.
    """

    parent: int
    child: int
    component: str
    times: Fraction
    quantity: Fraction
    figure: Figure
    opened: bool

    @property
    def pieces(self) -> Fraction:
        """How many of the child this line puts into the sum."""
        return self.times * self.quantity

    @property
    def mass(self) -> Mass | None:
        """All its pieces together; None where that is not fully known. [kg]"""
        mass = self.figure.several(self.pieces)
        return mass if mass is not None and mass.complete else None


def sum_lines(totals: Totals, node: int, witness: Witness | None = None) -> tuple[SumLine, ...]:
    """The part lines that the sum of a node counts, parents before children.

    Parameters
    ----------
    totals : Totals
    node : int
    witness : Witness, optional
        Whose boundary says what is counted and what is not.
    """
    without, only = (witness.left_out, witness.only) if witness else ((), None)
    tree, figures = totals.tree, totals.figures
    pieces = {node: Fraction(1)}
    inside = {node: only is None}
    found: list[SumLine] = []
    for here in reversed(totals.below(node)):
        if here not in pieces or not (here == node or figures[here].basis is Basis.SUM):
            continue
        for use in tree.uses[here]:
            code = tree.component(use.child)
            if code in without or code in totals.without:
                continue
            pieces[use.child] = pieces.get(use.child, Fraction(0)) + pieces[here] * use.quantity
            counted = inside[here] or (only is not None and code in only)
            inside[use.child] = inside.get(use.child, False) or counted
            if counted:
                figure = figures[use.child]
                opened = figure.basis is Basis.SUM and bool(tree.uses[use.child])
                found.append(SumLine(here, use.child, code, pieces[here], use.quantity, figure, opened))
    return tuple(found)


def leaf_lines_below(lines: tuple[SumLine, ...], node: int) -> list[SumLine]:
    """The leaves of the sum that lie below one of its nodes."""
    reached = {node}
    found = []
    for line in lines:
        if line.parent in reached:
            if line.opened:
                reached.add(line.child)
            else:
                found.append(line)
    return found
