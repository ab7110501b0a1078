"""Whether the tables of a folder can be added up at all: what would make a sum wrong unseen is refused."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

# What may not be, by table, with the condition that finds it; {many} is how many nodes the folder has.
FORBIDDEN: Mapping[str, tuple[tuple[str, str], ...]] = {
    "lines": (
        (
            "a parent or child that is not among the names",
            "parent is null or parent < 0 or parent >= {many} "
            "or child is null or child < 0 or child >= {many}",
        ),
        (
            "a quantity that is no number above 0",
            "quantity is null or not (quantity > 0 and quantity < 1e300)",
        ),
    ),
    "masses": (
        ("a node that is not among the names", "node is null or node < 0 or node >= {many}"),
        (
            "a state other than dry, drained, filled, every",
            "state is null or state not in ('dry', 'drained', 'filled', 'every')",
        ),
        (
            "figures that are no masses, or limits that do not enclose the best figure",
            "best_kg is null or low_kg is null or high_kg is null "
            "or not (low_kg >= 0 and low_kg <= best_kg and best_kg <= high_kg and high_kg < 1e300)",
        ),
        (
            "a scatter that is no mass, or no number of pieces that were weighed together",
            "scatter_kg is not null and not (scatter_kg >= 0 and scatter_kg < 1e300 "
            "and coalesce(weighed_together >= 1, false))",
        ),
    ),
    "names": (
        (
            "a node without an id, or without a word on its parts",
            "component is null or build is null or lists_parts is null or open_list is null "
            "or broken_lines is null or broken_lines < 0",
        ),
    ),
}

_CODE = "case state when 'every' then 0 when 'dry' then 1 when 'drained' then 2 else 3 end"

# Rows that stand there twice would be added twice: what names one.
TWICE: Mapping[str, str] = {"names": "node", "masses": f"node * 4 + {_CODE}"}
BOTH = """
  select count(*) from {masses} a join {masses} b on b.shop = a.shop and b.node = a.node
  where a.state = 'every' and b.state <> 'every'
"""
# A part with part lines would have two figures, an assembly that lists none nothing to add.
PARTS_OF_PARTS = """
  select count(*) from {lines} l join {names} n on n.shop = l.shop and n.node = l.parent
  where not n.lists_parts
"""


def unsound(connection: Any, files: Mapping[str, str], many: int) -> list[str]:
    """What is wrong inside the tables of one folder.

    Parameters
    ----------
    connection : DuckDB connection
    files : mapping of table to str
        What reads each.
    many : int
        How many nodes it has.
    """
    found = []
    for table, conditions in FORBIDDEN.items():
        sums = ", ".join(
            f"coalesce(sum(case when {condition.format(many=many)} then 1 else 0 end), 0)"
            for _, condition in conditions
        )
        counts = connection.execute(f"select {sums} from {files[table]}").fetchone()
        found += [
            _told(table, count, what) for (what, _), count in zip(conditions, counts, strict=True) if count
        ]
    for table, one in TWICE.items():
        question = f"select count(*) - count(distinct {one}) from {files[table]}"
        (count,) = connection.execute(question).fetchone()
        if count:
            found.append(_told(table, count, "a node that stands there twice"))
    (count,) = connection.execute(BOTH.format(**files)).fetchone()
    if count:
        found.append(_told("masses", count, "a state of its own beside one for every state"))
    (count,) = connection.execute(PARTS_OF_PARTS.format(**files)).fetchone()
    if count:
        found.append(_told("lines", count, "a parent that lists no parts"))
    return found


# How many nodes each shop has, and four numbers for each node, on from those of the shops before.
SIZES = """
  create temp table size_of as
  select q.shop as of_shop, q.many,
    cast(4 * (sum(q.many) over (order by q.shop) - q.many) as bigint) as before
  from (select shop, count(*) as many from names group by shop) q
"""
# The same as `PARTS_OF_PARTS`, by the numbers of the whole fleet.
PARTS_OF_ANY = "select count(*) from line l join node n on n.node = l.parent where n.parted = 0"


def all_sound(connection: Any) -> bool:
    """Whether nothing is wrong inside the tables of all folders together, each of a shop of its own.

    One question a table takes far less than one a table and folder; which folder it is, `unsound` says. That
    the nodes are numbered without a gap is known before, and `PARTS_OF_ANY` is asked afterwards.

    Parameters
    ----------
    connection : DuckDB connection
        With the tables under their names.
    """
    connection.execute(SIZES)
    questions = [BOTH.format(masses="masses")]
    for table, conditions in FORBIDDEN.items():
        wrong = " or ".join(f"({condition.format(many='many')})" for _, condition in conditions)
        questions.append(f"select count(*) from {table} join size_of on of_shop = shop where {wrong}")
    questions.append(
        f"select count(*) - count(distinct before + {TWICE['masses']}) from masses "
        "join size_of on of_shop = shop"
    )
    found = any(connection.execute(question).fetchone() != (0,) for question in questions)
    connection.execute("drop table size_of")
    return not found


def _told(table: str, count: int, what: str) -> str:
    return f"{table}: {int(count):,} {'row' if count == 1 else 'rows'} with {what}"
