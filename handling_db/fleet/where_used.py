"""``fleet where-used``: what a part goes into, in every shop that has it, up to whole units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.fleet.engine import Bounds, opened, text
from handling_db.fleet.folders import lay_out
from handling_db.fleet.part_numbers import numbered, plain
from handling_db.fleet.roll_up import climb, count_of, sort_lines

# The thing itself, and what has its maker and part number elsewhere.
NAMED = """
    create table asked as
    select n.node from named n where n.shop || ':' || n.component = {named}
"""
BY_NUMBER = """
    create table asked as
    select f.first_node + b.node as node from numbered b join shop_first f on f.shop = b.shop
    where b.number_key = {number} {maker}
"""
ALIKE = """
    insert into asked
    select distinct f.first_node + b.node
    from asked a join shop_first g on a.node >= g.first_node and a.node < g.first_node + g.many
      join numbered o on o.shop = g.shop and o.node = a.node - g.first_node
      join numbered b on b.maker_key = o.maker_key and b.number_key = o.number_key {makers}
      join shop_first f on f.shop = b.shop
    where not exists (select 1 from asked x where x.node = f.first_node + b.node)
"""
FIRST_USED = "create table used as select a.node, 1e0 as pieces from asked a"
NEXT_USED = """
    insert into used
    select l.parent, sum(l.quantity * u.pieces) from level_line l join used u on u.node = l.child
    where l.level = {level} group by l.parent
"""
ANSWER = """
    select n.shop || ':' || n.component as id, n.build, n.name, n.maker, n.part_number, coalesce(h.height,
      -1), u.pieces,
      case when exists (select 1 from asked a where a.node = u.node) then 1 else 0 end,
      case when exists (select 1 from line l where l.child = u.node) then 0 else 1 end
    from (select node, sum(pieces) as pieces from used group by node) u
      join named n on n.node = u.node
      left join height h on h.node = u.node
    order by n.shop, h.height, n.component, n.build
"""
IN_RINGS = """
    select count(distinct l.parent) from line l join used u on u.node = l.child
    where not exists (select 1 from height h where h.node = l.parent)
"""


@dataclass(frozen=True, slots=True)
class Holder:
    """What holds the part, or the part itself.

    Parameters
    ----------
    height : int
        How far above single parts it stands; -1 in or above a ring.
    pieces : float
        How many of the part one of it holds, by whatever way.
    asked : bool
        It is the part itself.
    top : bool
        It goes into nothing.
    """

    id: str
    build: str
    name: str
    maker: str | None
    part_number: str | None
    height: int
    pieces: float
    asked: bool
    top: bool


@dataclass(frozen=True, slots=True)
class UsedIn:
    """The part in every shop that has it, and everything that holds it; and how many rings it goes into."""

    asked: tuple[Holder, ...]
    holders: tuple[Holder, ...]
    in_rings: int


def where_used(
    thing: str, folders: Sequence[Path], bounds: Bounds, *, maker: str = "", any_maker: bool = False
) -> UsedIn:
    """Find everything that holds a part, in all shops.

    Parameters
    ----------
    thing : str
        ``SHOP:ID``, or a part number.
    folders : sequence of Path
    bounds : Bounds
    maker : str
        Only of this maker, where it is a part number.
    any_maker : bool
        What has the same part number in another shop is the same part, whoever made it.

    Raises
    ------
    HandlingError
        Nothing goes by that name; a folder cannot be used.
    """
    with opened(bounds) as engine:
        lay_out(engine, folders)
        engine.execute(numbered(any_maker=any_maker and not maker))
        _ask(engine, thing, maker)
        engine.execute(ALIKE.format(makers="" if any_maker else "and b.maker_key <> ''"))
        climbed = climb(engine)
        sort_lines(engine)
        engine.execute(FIRST_USED)
        for level in range(1, climbed.levels + 1):
            engine.execute(NEXT_USED.format(level=level))
        rows = engine.execute(ANSWER).fetchall()
        in_rings = count_of(engine, IN_RINGS)
    found = [_holder(row) for row in rows]
    return UsedIn(
        tuple(one for one in found if one.asked), tuple(one for one in found if not one.asked), in_rings
    )


def _holder(row: tuple[Any, ...]) -> Holder:
    code, build, name, maker, number, height, pieces, asked, top = row
    return Holder(code, build, name, maker, number, height, pieces, bool(asked), bool(top))


def _ask(engine: Any, thing: str, maker: str) -> None:
    engine.execute(NAMED.format(named=text(thing)))
    if count_of(engine, "select count(*) from asked"):
        return
    engine.execute("drop table asked")
    only = f"and b.maker_key = {text(plain(maker))}" if maker else ""
    number = plain(thing)
    if number:
        engine.execute(BY_NUMBER.format(number=text(number), maker=only))
    if not number or not count_of(engine, "select count(*) from asked"):
        of = f" of maker {maker!r}" if maker else ""
        raise HandlingError(
            f"nothing in these folders has the id or part number {thing!r}{of}; "
            "write SHOP:ID, such as quay-shed-nine:gear-case, or the part number as it is recorded"
        )
