"""``fleet missing``: parts nobody weighed, those first of which units hold most; and who has a figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handling_db.fleet.engine import Bounds, opened
from handling_db.fleet.folders import lay_out
from handling_db.fleet.part_numbers import numbered
from handling_db.fleet.roll_up import Climbed, climb, count_of, sort_lines

# How many of each node there are in one of every whole unit, from the top down.
FIRST_NEED = """
    create table need as
    select n.node, 1e0 as pieces from named n where not exists (select 1 from line l where l.child = n.node)
"""
NEXT_NEED = """
    insert into need
    select l.child, sum(l.quantity * p.pieces)
    from level_line l join (
      select d.node, sum(d.pieces) as pieces from need d join height h on h.node = d.node
      where h.height = {level} group by d.node) p on p.node = l.parent
    where l.level = {level} group by l.child
"""
WITHOUT = """
    create table without_mass as
    select q.node, q.first_state, q.many, q.several, n.shop, n.own_node, n.component, n.build, n.name,
      n.maker, n.part_number
    from (
      select p.node, min(s.word) as first_state, count(*) as many, max(s.several) as several
      from part p join state_of s on s.state = p.state where p.basis = 0 group by p.node
    ) q join named n on n.node = q.node
"""
# What other shops say one piece of the same maker and part number weighs, where they know all of it.
ELSEWHERE = """
    create view elsewhere as
    select b.maker_key, b.number_key, b.shop, t.low_kg, t.high_kg
    from numbered b join totals t on t.shop = b.shop and t.node = b.node and t.state in ('every', 'dry')
    where t.complete {makers}
"""
LISTED = """
    select n.shop || ':' || n.component, n.build, n.name, n.maker, n.part_number,
      case when n.several = 1 and n.many < 3 then n.first_state else 'every' end as state,
      (select count(*) from line l where l.child = n.node) as goes_into,
      coalesce((select sum(d.pieces) from need d where d.node = n.node), 0e0) as pieces,
      count(distinct e.shop) as others, min(e.low_kg), max(e.high_kg)
    from without_mass n
      left join numbered b on b.shop = n.shop and b.node = n.own_node {makers}
      left join elsewhere e on e.maker_key = b.maker_key and e.number_key = b.number_key and e.shop <> n.shop
    group by n.shop, n.component, n.build, n.name, n.maker, n.part_number, n.node, n.several, n.many,
      n.first_state
    order by pieces desc, n.shop, n.component, n.build limit {most}
"""
# Lists that are not said to be whole, and no whole that may stand for them.
OPEN = """
    select n.shop || ':' || n.component, n.build, n.name, coalesce(n.parts_words, ''), n.broken_lines
    from (select *, case when open_list then 'not all of its parts are listed' end as parts_words
      from names) n
      join named k on k.shop = n.shop and k.own_node = n.node
    where (n.open_list or n.broken_lines > 0) and not exists (select 1 from mass m where m.node = k.node)
    order by n.shop, n.component, n.build
"""


@dataclass(frozen=True, slots=True)
class Unweighed:
    """One part without a mass.

    Parameters
    ----------
    state : str
        In which it has none; ``every`` for all.
    goes_into : int
        Part lines it stands in.
    pieces : float
        How many of it are in one of each whole unit of its shop.
    other_shops : int
        Other shops with a figure for the same maker and part number.
    low_kg, high_kg : float or None
        Of theirs, the lowest and the highest limit. [kg]
    """

    id: str
    build: str
    name: str
    maker: str | None
    part_number: str | None
    state: str
    goes_into: int
    pieces: float
    other_shops: int
    low_kg: float | None
    high_kg: float | None


@dataclass(frozen=True, slots=True)
class OpenList:
    """An assembly whose sum is "at least" for its own sake: its list is open, or a line cannot be read."""

    id: str
    build: str
    name: str
    why: str


@dataclass(frozen=True, slots=True)
class MissingInFleet:
    """What nobody knows in a fleet: how much of it, and what comes first."""

    parts: int
    first: tuple[Unweighed, ...]
    open_lists: tuple[OpenList, ...]
    in_rings: int


def missing(
    folders: Sequence[Path], bounds: Bounds, *, most: int = 30, any_maker: bool = False
) -> MissingInFleet:
    """Find what has no mass in a fleet.

    Parameters
    ----------
    folders : sequence of Path
    bounds : Bounds
    most : int
        How many parts are listed.
    any_maker : bool
        Look for figures of other shops by part number alone.

    Raises
    ------
    HandlingError
        A folder cannot be used.
    """
    with opened(bounds) as engine:
        lay_out(engine, folders)
        climbed = climb(engine)
        _needed(engine, climbed)
        engine.execute(WITHOUT)
        engine.execute(numbered(any_maker=any_maker))
        makers = "" if any_maker else "and b.maker_key <> ''"
        engine.execute(ELSEWHERE.format(makers=makers))
        rows = engine.execute(LISTED.format(most=int(most), makers=makers)).fetchall()
        parts = count_of(engine, "select count(*) from without_mass")
        lists = engine.execute(OPEN).fetchall()
    return MissingInFleet(
        parts, tuple(Unweighed(*row) for row in rows), tuple(_open_list(*row) for row in lists), climbed.left
    )


def _needed(engine: Any, climbed: Climbed) -> None:
    sort_lines(engine)
    engine.execute(FIRST_NEED)
    for level in range(climbed.levels, 0, -1):
        engine.execute(NEXT_NEED.format(level=level))


def _open_list(code: str, build: str, name: str, why: str, broken: int) -> OpenList:
    lines = f"{broken} part line{'s' if broken != 1 else ''} cannot be worked out" if broken else ""
    return OpenList(code, build, name, "; ".join(text for text in (why, lines) if text))
