"""The roll-up in SQL, of figures that were weighed for several pieces together: see `weights.witness`.

How many of such pieces a total holds decides how far they are off, wherever they stand in it. A whole is
compared with what each level adds for itself, which `SUMS` puts into the sums; at the end that is taken
back, and what the pieces of the whole total come to put in.
"""

from __future__ import annotations

# So many pieces are off their mean by the scatter of those that are not balanced by the rest of the weighed.
FREE = """case when {pieces} < abs(c.weighed_together - {pieces}) then {pieces} * c.scatter_kg
  else abs(c.weighed_together - {pieces}) * c.scatter_kg end"""

FIRST = (
    "create table piece as select c.node, c.state, c.node as leaf, 1e0 as pieces from scattered c",
    "create table spread as select c.node, c.state, 0e0 as low_kg, 0e0 as high_kg from scattered c",
)
# What the lines of a level add, before it is decided what of it stands; and the sums with it.
LINE_SPREAD = f"""
    create table line_spread as
    select q.node, q.state, sum(case when q.spread_kg < q.own_low_kg then q.spread_kg else q.own_low_kg end)
      as low_kg, sum(q.spread_kg) as high_kg
    from (
      select l.parent as node, c.state, l.quantity * c.low_kg as own_low_kg,
        {FREE.format(pieces="l.quantity")} as spread_kg
      from level_line l join scattered c on c.node = l.child where l.level = {{level}}
    ) q group by q.node, q.state
"""
SUMS = """
    select s.node, s.state, s.best_kg, s.low_kg - coalesce(d.low_kg, 0e0) as low_kg,
      s.high_kg + coalesce(d.high_kg, 0e0) as high_kg,
      s.lost_kg + 16 * {eps} * coalesce(s.high_kg + d.high_kg, 0e0) as lost_kg, s.unknown_pieces, s.lacking,
      s.whole_best, s.whole_low, s.whole_high
    from ({sums}) s left join line_spread d on d.node = s.node and d.state = s.state
"""
# After the totals of a level are there.
NEXT = (
    """
    insert into piece
    select l.parent, p.state, p.leaf, sum(l.quantity * p.pieces)
    from level_line l join piece p on p.node = l.child
      join upper_total t on t.node = l.parent and t.state = p.state and t.basis = 3
    where l.level = {level} group by l.parent, p.state, p.leaf
    """,
    """
    insert into spread
    select q.node, q.state, q.low_kg + coalesce(d.low_kg, 0e0), q.high_kg + coalesce(d.high_kg, 0e0)
    from (
      select l.parent as node, s.state, sum(l.quantity * s.low_kg) as low_kg,
        sum(l.quantity * s.high_kg) as high_kg
      from level_line l join spread s on s.node = l.child
        join upper_total t on t.node = l.parent and t.state = s.state and t.basis = 3
      where l.level = {level} group by l.parent, s.state
    ) q left join line_spread d on d.node = q.node and d.state = q.state
    """,
    "drop table line_spread",
)
SHIFT = f"""
    create table shift as
    select q.node, q.state,
      max(s.low_kg) - sum(case when q.spread_kg < q.own_low_kg then q.spread_kg else q.own_low_kg end)
        as low_kg,
      sum(q.spread_kg) - max(s.high_kg) as high_kg,
      max(s.low_kg) + max(s.high_kg) + 2 * sum(q.spread_kg) as moved_kg
    from (
      select p.node, p.state, p.pieces * c.low_kg as own_low_kg, {FREE.format(pieces="p.pieces")} as spread_kg
      from piece p join scattered c on c.node = p.leaf and c.state = p.state
    ) q join spread s on s.node = q.node and s.state = q.state
    group by q.node, q.state
"""
