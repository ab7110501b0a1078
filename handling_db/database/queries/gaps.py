"""What is not known about a total that was stored without it: parts without a mass, open lists."""

from __future__ import annotations

import sqlite3

from handling_db.classes import replace
from handling_db.quantities.display import counted
from handling_db.weights.answer import Named, StateFigure

# Only what is not complete is followed, so that this costs what is missing and not what is there.
_BELOW = """
  with recursive below(id) as (
    select ?1 union
    select u.child from below b cross join usage u on u.parent = b.id and u.quantity > 0
      cross join total t on t.component = u.child and t.state in (?2, 'every') and not t.complete)
"""
_LINES = f"""
  {_BELOW} select u.parent, u.child, u.quantity from below b cross join usage u on u.parent = b.id
    cross join total t on t.component = u.child and t.state in (?2, 'every')
      and (not t.complete or t.rests is not null)
  where u.quantity > 0
"""
NOBODY = "nobody"  # knows, or weighed it: how the basis of a single piece without a figure begins

_NODES = f"""
  {_BELOW} select c.id, c.code, c.name, t.basis, c.height, c.parts_listed
  from below b cross join component c on c.id = b.id
    cross join total t on t.component = b.id and t.state in (?2, 'every')
  order by c.height desc
"""


def with_gaps(connection: sqlite3.Connection, key: int, figure: StateFigure) -> StateFigure:
    """A stored figure with the names of what is not known in it."""
    if figure.complete and not figure.rests.ranged:
        return figure
    unknown, open_lists = gaps(connection, key, figure.state, figure.basis)
    return replace(figure, unknown=unknown, open_lists=open_lists, why_none=why_none(unknown, open_lists))


def why_none(unknown: tuple[Named, ...], open_lists: tuple[Named, ...]) -> str:
    """Why there is no upper figure: ``2 parts have no mass``."""
    reasons = [counted(len(unknown), "part has no mass", "parts have no mass")] if unknown else []
    if open_lists:
        one, many = "list of parts may be incomplete", "lists of parts may be incomplete"
        reasons.append(counted(len(open_lists), one, many))
    return " and ".join(reasons) or "nothing is known"


def gaps(
    connection: sqlite3.Connection, key: int, state: str, basis: str
) -> tuple[tuple[Named, ...], tuple[Named, ...]]:
    """Parts without a mass, with how many pieces, and assemblies whose lists may be open; by id.

    Every one of them, however many lines lie below.
    """
    if basis.startswith(NOBODY):
        code, name = connection.execute("select code, name from component where id = ?", (key,)).fetchone()
        return (Named(code, name, 1.0),), ()
    below: dict[int, list[tuple[int, float]]] = {}
    for parent, child, quantity in connection.execute(_LINES, (key, state)):
        below.setdefault(parent, []).append((child, quantity))
    unknown: list[Named] = []
    opened: list[Named] = []
    pieces = {key: 1.0}
    for node, code, name, how, _, listed in connection.execute(_NODES, (key, state)):
        number = pieces.get(node, 0.0)
        for child, quantity in below.get(node, ()):  # what contains a part is higher, so it came before
            pieces[child] = pieces.get(child, 0.0) + number * quantity
        if how.startswith(NOBODY):
            unknown.append(Named(code, name, number))
        elif how == "sum of parts" and listed != "all":
            opened.append(Named(code, name, 1))
    return tuple(sorted(unknown, key=_by_id)), tuple(sorted(opened, key=_by_id))


def _by_id(named: Named) -> str:
    return named.id
