"""Whether the tables of a folder can be added up at all: what would make a sum wrong unseen is refused."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

_QUANTITY = "quantity is null or not (quantity > 0 and quantity < 1e300)"
_FIGURES = (
    "best_kg is null or low_kg is null or high_kg is null "
    "or not (low_kg >= 0 and low_kg <= best_kg and best_kg <= high_kg and high_kg < 1e300)"
)
_SCATTER = (
    "scatter_kg is not null and not (scatter_kg >= 0 and scatter_kg < 1e300 "
    "and coalesce(weighed_together >= 1, false))"
)
# What may not be, by table, with the condition that finds it; {many} is how many nodes the folder has.
FORBIDDEN: Mapping[str, tuple[tuple[str, str], ...]] = {
    "lines": (
        (
            "a parent or child that is not among the names",
            "parent is null or parent < 0 or parent >= {many} "
            "or child is null or child < 0 or child >= {many}",
        ),
        ("a quantity that is no number above 0", _QUANTITY),
    ),
    "masses": (
        ("a node that is not among the names", "node is null or node < 0 or node >= {many}"),
        (
            "a state other than dry, drained, filled, every",
            "state is null or state not in ('dry', 'drained', 'filled', 'every')",
        ),
        ("figures that are no masses, or limits that do not enclose the best figure", _FIGURES),
        ("a scatter that is no mass, or no number of pieces that were weighed together", _SCATTER),
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


# What is wrong with the tables of all folders together, once they are numbered; which folder it is, `unsound`
# says. That each node of theirs is among the names, and the names say all they have to, is known before.
ANY = (
    "select count(*) from shop_first where several > 1",
    # Each part has one row a state, unless a figure stands there twice or one for every state beside others.
    """
    select coalesce(sum(q.many), 0) from (
      select sum(f.many) as many from shop_first f join state_of s on s.several = f.several
      union all
      select -count(*) from assembly a join state_of s on s.several = a.several
      union all
      select -count(*) from part
    ) q
    """,
    "select count(*) - count(distinct node * 4 + state) from whole",
    f"select count(*) from part where basis > 0 and ({_FIGURES})",
    f"select count(*) from whole where {_FIGURES}",
    f"select count(*) from scattered where {_SCATTER}",
    f"select count(*) from lines where {_QUANTITY}",
    "select count(*) from listing l where not exists (select 1 from assembly a where a.node = l.node)",
)


def all_sound(connection: Any) -> bool:
    """Whether the tables of all folders together can be added up.

    Parameters
    ----------
    connection : DuckDB connection
        With what `prepare` made of them.
    """
    return not any(connection.execute(question).fetchone() != (0,) for question in ANY)


def _told(table: str, count: int, what: str) -> str:
    return f"{table}: {int(count):,} {'row' if count == 1 else 'rows'} with {what}"
