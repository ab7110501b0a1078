"""``fleet total``: every total of a fleet in one file, and what stands against the shops' own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.files.atomic import told
from handling_db.fleet import statements
from handling_db.fleet.engine import Bounds, Engine, opened, text
from handling_db.fleet.exact import Exact
from handling_db.fleet.folders import FleetShop, lay_out
from handling_db.fleet.roll_up import Climbed, add_up, climb, count_of
from handling_db.fleet.statements import BASIS, STATE

# Rings: assemblies that contain each other, so that nothing in or above them has a total.

_ROUNDS = 200  # of taking off what is only above a ring; after that the way into it is walked
_LISTED = 100_000  # lines of rings that are looked at


@dataclass(frozen=True, slots=True)
class Ring:
    """One closed walk: the first component stands at the end again."""

    shop: str
    components: tuple[str, ...]


def rings(engine: Engine, climbed: Climbed) -> tuple[Ring, ...]:
    """One closed walk for each group of components that contain each other."""
    if not climbed.left:
        return ()
    table = f"open_{climbed.levels}"
    many = count_of(engine, f"select count(*) from {table}")
    for level in range(1, _ROUNDS):
        engine.execute(statements.RINGS_ONLY.format(before=table, level=level))
        table, before = f"ring_{level}", many
        many = count_of(engine, f"select count(*) from {table}")
        if many == before:
            break
    lines = engine.execute(
        f"select parent, child from {table} order by parent, child limit {_LISTED}"
    ).fetchall()
    walks = closed_walks([(int(parent), int(child)) for parent, child in lines])
    nodes = ", ".join(str(node) for node in sorted({node for walk in walks for node in walk}))
    named = engine.execute(statements.NAMES_OF.format(nodes=nodes)).fetchall() if nodes else []
    name = {
        int(node): (str(shop), f"{code} [{build}]" if build else str(code))
        for node, shop, code, build in named
    }
    return tuple(Ring(name[walk[0]][0], tuple(name[node][1] for node in walk)) for walk in walks)


def closed_walks(lines: Sequence[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Follow the first line down from every node; each ring run into, once, from its smallest node."""
    below: dict[int, int] = {}
    for parent, child in lines:
        below.setdefault(parent, child)
    found: list[tuple[int, ...]] = []
    seen: set[int] = set()
    for start in sorted(below):
        found += _from(start, below, seen)
    return found


def _from(start: int, below: Mapping[int, int], seen: set[int]) -> list[tuple[int, ...]]:
    walk: list[int] = []
    node: int | None = start
    while node is not None and node not in seen:
        seen.add(node)
        walk.append(node)
        node = below.get(node)
    if node is None or node not in walk:
        return []
    ring = walk[walk.index(node) :]
    turn = ring.index(min(ring))
    return [(*ring[turn:], *ring[:turn], ring[turn])]


ENDINGS = {".parquet": "format parquet", ".csv": "format csv, header"}

# What each shop's own program says, by the numbers of the whole fleet; a row for each state of the shop.
OWN = """
    create view own as
    select f.first_node + o.node as node, s.state, o.best_kg, o.low_kg, o.high_kg,
      case when o.complete then 1 else 0 end as complete, o.height, o.unknown_pieces, o.plan_kg, o.why_no_plan
    from totals o join shop_first f on f.shop = o.shop
      join state_of s on s.several = f.several and (o.state = s.word or o.state = 'every')
"""
# The shop's own plan as well, which rests on more than the sum: on all its evidence.
ANSWER = f"""
    create view answer as
    select n.shop || ':' || n.component as id, n.shop, n.stamp, n.component, n.build, n.name,
      {STATE.format(column="r.state")} as state, r.best_kg, r.low_kg,
      case when r.complete = 1 then r.known_high_kg end as high_kg,
      case when r.complete = 1 then 'complete' when r.best_kg is null then 'nobody knows' else 'at least' end
        as what, {BASIS.format(column="r.basis")} as basis, r.height, r.unknown_pieces,
      o.plan_kg as own_plan_kg, o.why_no_plan as why_no_own_plan
    from rolled r join named n on n.node = r.node
      left join own o on o.node = r.node and o.state = r.state
"""
SORTED = (
    1_000_000  # rows that are put into the order of the shops' tables; sorting more costs more than it helps
)

# A shop whose masses are the same in every state has one row here, whatever it writes in its own totals.
APART = f"""
    select n.shop, n.component, n.build, {STATE.format(column="q.state")} from (
      select distinct r.node, r.state
      from rolled r left join own o on o.node = r.node and (o.state = r.state or r.state = 0)
      where r.height is not null and (
        o.node is null or r.complete <> o.complete or r.height <> o.height
        or coalesce(r.unknown_pieces <> o.unknown_pieces, false)
        or (r.best_kg is null) <> (o.best_kg is null)
        or abs(r.best_kg - o.best_kg) > 1e-12 * o.best_kg
        or abs(r.low_kg - o.low_kg) > 2e-12 * o.high_kg
        or abs(r.known_high_kg - o.high_kg) > 2e-12 * o.high_kg)
    ) q join named n on n.node = q.node
    order by n.shop, n.component, n.build, q.state
"""
COUNTS = """
    select count(*), coalesce(sum(case when complete = 0 and best_kg is not null then 1 else 0 end), 0),
      coalesce(sum(case when complete = 0 and best_kg is null and height is not null then 1 else 0 end), 0)
    from rolled
"""
TOPS = f"""
    select n.shop || ':' || n.component, n.name, {STATE.format(column="q.state")}, q.best_kg, q.low_kg,
      case when q.complete = 1 then q.known_high_kg end, q.unknown_pieces, o.plan_kg
    from (
      select r.* from rolled r
      where r.state in (0, 3) and r.height > 0
        and not exists (select 1 from upper_line l where l.child = r.node)
      order by r.best_kg desc nulls last, r.node limit {{most}}
    ) q join named n on n.node = q.node
      left join own o on o.node = q.node and o.state = q.state
    order by q.best_kg desc nulls last, q.node
"""


@dataclass(frozen=True, slots=True)
class Top:
    """A unit that goes into nothing, filled. [kg]

    Parameters
    ----------
    best, low : float or None
        None where nobody knows.
    high : float or None
        None where there is no upper limit: at least.
    unknown : float
        Pieces without a mass.
    plan : float or None
        What the shop's own program plans with, from all its evidence.
    """

    id: str
    name: str
    state: str
    best: float | None
    low: float | None
    high: float | None
    unknown: float
    plan: float | None


@dataclass(frozen=True, slots=True)
class FleetTotal:
    """What was added up.

    Parameters
    ----------
    shops : tuple of FleetShop
    lines, totals, levels : int
        Part lines, totals written, and the largest height.
    at_least, nothing : int
        Totals of which something, and of which everything, is not known.
    rings : tuple of Ring
    in_rings : int
        How many components in one build are in or above a ring and have no total.
    apart : tuple of (shop, component, build, state)
        Where the roll-up and the shop's own total are not the same.
    decided : int
        Cases that floating point could not tell and fractions did.
    tops : tuple of Top
        The heaviest that go into nothing.
    """

    shops: tuple[FleetShop, ...]
    lines: int
    totals: int
    levels: int
    at_least: int
    nothing: int
    rings: tuple[Ring, ...]
    in_rings: int
    apart: tuple[tuple[str, str, str, str], ...]
    decided: int
    tops: tuple[Top, ...]


def fleet_total(folders: Sequence[Path], out: Path, bounds: Bounds, most: int = 20) -> FleetTotal:
    """Add a whole fleet up and write every total.

    Parameters
    ----------
    folders : sequence of Path
    out : Path
        A ``.parquet`` or ``.csv`` file that is not there yet.
    bounds : Bounds
    most : int
        How many of the heaviest units are named.

    Raises
    ------
    HandlingError
        The file is there or has another ending; a folder cannot be used.
    """
    how = ENDINGS.get(out.suffix.lower())
    if how is None:
        raise HandlingError(f"{out}: totals are written as one of: {', '.join(ENDINGS)}")
    with told(out):
        if out.exists():
            raise HandlingError(f"{out}: is there already")
        out.parent.mkdir(parents=True, exist_ok=True)
    with opened(bounds) as engine:
        shops = lay_out(engine, folders, sums=True)
        climbed = climb(engine)
        found = rings(engine, climbed)
        decided = add_up(engine, climbed, Exact(engine).stands)
        engine.execute(OWN)
        engine.execute(ANSWER)
        counts = engine.execute(COUNTS).fetchone()
        _copy(engine, out, how, "order by shop, component, build, state" if counts[0] <= SORTED else "")
        apart = tuple(tuple(row) for row in engine.execute(APART).fetchall())
        tops = tuple(Top(*row) for row in engine.execute(TOPS.format(most=int(most))).fetchall())
        (lines,) = engine.execute("select count(*) from lines").fetchone()
    return FleetTotal(
        shops,
        lines,
        counts[0],
        climbed.levels,
        counts[1],
        counts[2],
        found,
        climbed.left,
        apart,
        decided,
        tops,
    )


def _copy(engine: Any, out: Path, how: str, order: str) -> None:
    part = out.with_name(f".part-{out.name}")
    with told(out):
        try:
            engine.execute(f"copy (select * from answer {order}) to {text(str(part))} ({how})")
            part.rename(out)
        finally:
            part.unlink(missing_ok=True)
