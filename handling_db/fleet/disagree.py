"""``fleet disagree``: one maker's part number, and two shops whose figures for it cannot both be true."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from handling_db.fleet.engine import Bounds, opened
from handling_db.fleet.folders import lay_out
from handling_db.fleet.part_numbers import numbered

# What each shop's own totals say of one piece. "At least" has no upper limit: it can be too heavy for another
# shop's figure, and never too light.
FIGURES = """
    create view figure_of as
    select b.maker_key, b.number_key, b.build, s.state, b.shop, b.node, b.component, b.name, b.maker,
      b.part_number,
      t.best_kg, t.low_kg, case when t.complete then t.high_kg end as high_kg, t.basis
    from numbered b join totals t on t.shop = b.shop and t.node = b.node
      join (select 'dry' as state union all select 'drained' union all select 'filled') s
        on t.state = s.state or t.state = 'every'
    where t.best_kg is not null {makers}
"""
GROUPS = """
    create table apart as
    select maker_key, number_key, build, state, max(low_kg) - min(high_kg) as gap_kg
    from figure_of group by maker_key, number_key, build, state
    having count(distinct shop) > 1 and max(low_kg) > min(high_kg)
"""
MEMBERS = """
    select a.maker_key, a.number_key, a.build, a.state, a.gap_kg, f.shop || ':' || f.component, f.name,
      f.maker,
      f.part_number, f.best_kg, f.low_kg, f.high_kg, f.basis,
      m.printed, m.source_kind
    from apart a join figure_of f on f.maker_key = a.maker_key and f.number_key = a.number_key
      and f.build = a.build and f.state = a.state
      left join masses m on m.shop = f.shop and m.node = f.node and m.origin = f.basis
        and (m.state = f.state or m.state = 'every')
    order by a.gap_kg desc, a.maker_key, a.number_key, a.build, a.state, f.low_kg, f.shop, f.component
"""
SHARED = """
    select count(*), coalesce(sum(case when figures > 1 then 1 else 0 end), 0) from (
      select b.maker_key, b.number_key, count(distinct b.shop) as shops,
        count(distinct case when t.best_kg is not null then b.shop end) as figures
      from numbered b left join totals t on t.shop = b.shop and t.node = b.node
      where 1 = 1 {makers}
      group by b.maker_key, b.number_key
    ) q where shops > 1
"""
NO_MAKER = """
    select count(distinct number_key) from numbered where maker_key = ''
      and number_key in (select number_key from numbered group by number_key having count(distinct shop) > 1)
"""


@dataclass(frozen=True, slots=True)
class SaidThere:
    """What one shop says one piece weighs. `high_kg` None: at least. [kg]"""

    id: str
    name: str
    maker: str | None
    part_number: str
    best_kg: float
    low_kg: float
    high_kg: float | None
    basis: str
    printed: str | None
    source_kind: str | None


@dataclass(frozen=True, slots=True)
class NumberApart:
    """One part number of which figures cannot all be true.

    Parameters
    ----------
    build : str
        Empty without parameters.
    states : tuple of str
        In which it is so.
    gap_kg : float
        How far the two farthest figures are apart at least. [kg]
    said : tuple of SaidThere
        Every shop's figure in the first of these states, the lightest first.
    """

    build: str
    states: tuple[str, ...]
    gap_kg: float
    said: tuple[SaidThere, ...]


@dataclass(frozen=True, slots=True)
class Disagreements:
    """What several shops say of the same parts.

    Parameters
    ----------
    shared : int
        Part numbers that more than one shop has.
    compared : int
        Those of them that more than one shop has a figure for.
    no_maker : int
        Part numbers of several shops that were not compared, since no maker stands beside them.
    apart : tuple of NumberApart
        The widest gap first.
    """

    shared: int
    compared: int
    no_maker: int
    apart: tuple[NumberApart, ...]


def disagreements(folders: Sequence[Path], bounds: Bounds, *, any_maker: bool = False) -> Disagreements:
    """Compare what shops say of parts with the same maker and part number.

    Parameters
    ----------
    folders : sequence of Path
    bounds : Bounds
    any_maker : bool
        Compare by part number alone, whoever made it.

    Raises
    ------
    HandlingError
        A folder cannot be used.
    """
    with opened(bounds) as engine:
        lay_out(engine, folders)
        engine.execute(numbered(any_maker=any_maker))
        makers = "" if any_maker else "and b.maker_key <> ''"
        engine.execute(FIGURES.format(makers=makers))
        engine.execute(GROUPS)
        rows = engine.execute(MEMBERS).fetchall()
        shared, compared = engine.execute(SHARED.format(makers=makers)).fetchone()
        no_maker = 0 if any_maker else int(engine.execute(NO_MAKER).fetchone()[0])
    return Disagreements(int(shared), int(compared), no_maker, _grouped(rows))


def _grouped(rows: Sequence[tuple[object, ...]]) -> tuple[NumberApart, ...]:
    """One entry a part number and build, whatever the number of states in which it is so."""
    found: dict[tuple[object, ...], NumberApart] = {}
    for key, several in groupby(rows, key=lambda row: row[:5]):
        maker, number, build, state, gap = key
        said = tuple(SaidThere(*row[5:]) for row in several)  # type: ignore[arg-type]  # as the columns are
        before = found.get((maker, number, build))
        if before is None:
            found[maker, number, build] = NumberApart(str(build), (str(state),), float(gap), said)
        else:
            states = (*before.states, str(state))
            found[maker, number, build] = NumberApart(before.build, states, before.gap_kg, before.said)
    return tuple(found.values())
