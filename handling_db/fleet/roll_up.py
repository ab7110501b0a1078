"""The roll-up of a whole fleet: heights, then totals level by level, whatever engine runs the statements."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from handling_db.fleet import scatter_statements, statements
from handling_db.fleet.engine import Engine

# Whether the whole stands for its parts, where floating point cannot tell: of a node and a state.
Decide = Callable[[int, int], bool]


@dataclass(frozen=True, slots=True)
class Climbed:
    """How far up the heights went.

    Parameters
    ----------
    levels : int
        The largest height.
    left : int
        How many nodes are in a ring or above one.
    """

    levels: int
    left: int


def prepare(engine: Engine, *, sums: bool = True) -> None:
    """Number the nodes of all shops on, and lay out by these numbers what each level looks at.

    Parameters
    ----------
    engine : Engine
        With the tables under their names.
    sums : bool
        Add up the lines that end at single parts, as `add_up` needs it.
    """
    lines = (
        "view" if sums else "table"
    )  # which is read twice for the sums, and more often for other questions
    for statement in (*statements.SHOPS, *statements.GRAPH, *([statements.PART_SUMS] if sums else ())):
        engine.execute(statement.format(lines=lines))
    engine.execute(statements.LISTING.format(lines="part_sum" if sums else "line"))


def climb(engine: Engine) -> Climbed:
    """Work out how high every node stands above single parts; leaves what is in or above a ring without."""
    for statement in statements.FIRST_HEIGHTS:
        engine.execute(statement)
    level = 0
    while True:
        before, level = level, level + 1
        for number, statement in enumerate(statements.NEXT_HEIGHTS):
            engine.execute(statement.format(before=before, level=level))
            if number == 0 and not count_of(engine, statements.READY.format(level=level)):
                return Climbed(before, count_of(engine, f"select count(*) from waiting_{before}"))


def sort_lines(engine: Engine) -> None:
    """Lay the part lines out by the height of what they are in; those of a ring are left out."""
    engine.execute(statements.LINES_BY_LEVEL)


def add_up(engine: Engine, climbed: Climbed, decide: Decide | None = None) -> int:
    """Total every node that has a height, level by level.

    Parameters
    ----------
    engine : Engine
        With what `prepare` and `climb` made.
    climbed : Climbed
    decide : function of (node, state), optional
        Decides exactly what floating point cannot; without it the figures as they are do.

    Returns
    -------
    int
        How many cases were decided so.
    """
    eps = repr(statements.EPS)
    scatter = bool(count_of(engine, "select count(*) from scattered"))
    wholes = bool(count_of(engine, "select count(*) from whole"))
    lines = (statements.UPPER_LINES, *([statements.SCATTERED_LINES] if scatter else ()))
    for statement in (statements.DECIDED[0], *lines, *statements.TOTALS, *scatter_statements.FIRST):
        engine.execute(statement)
    decided = 0
    for level in range(climbed.levels + 1):
        sums = statements.SUMS.format(level=level, eps=eps)
        if scatter:
            engine.execute(scatter_statements.LINE_SPREAD.format(level=level))
            sums = scatter_statements.SUMS.format(sums=sums, eps=eps)
        decided += _decided(engine, decide, sums, eps) if decide is not None and wholes else 0
        for statement in (statements.NEXT_TOTALS, *(scatter_statements.NEXT if scatter else ())):
            engine.execute(statement.format(level=level, sums=sums))
    engine.execute(scatter_statements.SHIFT)
    engine.execute(statements.ROLLED.format(eps=eps))
    return decided


def _decided(engine: Engine, decide: Decide, sums: str, eps: str) -> int:
    """Decide what floating point cannot of one level; how many cases."""
    close = engine.execute(statements.NOT_DECIDED.format(sums=sums, eps=eps)).fetchall()
    for node, state in close:
        stands = int(decide(node, state))
        engine.execute(statements.DECIDED[1].format(node=int(node), state=int(state), stands=stands))
    return len(close)


def count_of(engine: Engine, question: str) -> int:
    """The one number that a question gives."""
    return int(engine.execute(question).fetchall()[0][0])
