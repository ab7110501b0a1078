"""The roll-up in SQL, level by level: plain statements that any SQL engine runs, none of them recursive.

They read three tables, `names`, `lines` and `masses` as `tables` describes them, whichever way the engine
holds them. Whole numbers 0 and 1 stand for no and yes,
  since engines differ in their truth values. The rules are
those of `weights.totals`: a part hands up its figure; an assembly the sum of its parts
  where all are known and
listed, else a whole that may stand for them and that the known parts do not outweigh already, else the sum,
  "at
least".

Every figure carries how much floating point may have lost of it, so that low and high can be moved outward.
"""

from __future__ import annotations

# Relative rounding of one operation on float64.
EPS = 2.0**-53

# Nodes of each shop are numbered on from those of the shops before it.
SHOPS = (
    """
    create table shop_nodes as
    select shop, min(stamp) as stamp, max(node) + 1 as many from names group by shop
    """,
    """
    create table shop_states as
    select shop, max(case when state = 'every' then 0 else 1 end) as several from masses group by shop
    """,
    """
    create table shop_first as
    select s.shop, s.stamp, sum(s.many) over (order by s.shop) - s.many as first_node,
      coalesce(t.several, 0) as several
    from shop_nodes s left join shop_states t on t.shop = s.shop
    """,
    "create table state_of (state varchar(8), several integer)",
    "insert into state_of values ('every', 0), ('dry', 1), ('drained', 1), ('filled', 1)",
)

GRAPH = (
    """
    create table node as
    select cast(f.first_node + n.node as bigint) as node, n.shop, n.node as own_node, f.several,
      case when n.lists_parts then 1 else 0 end as parted,
      case when n.open_list then 1 else 0 end as open_list,
      n.broken_lines as broken
    from names n join shop_first f on f.shop = n.shop
    """,
    """
    create table line as
    select cast(f.first_node + l.parent as bigint) as parent, cast(f.first_node + l.child as bigint) as child,
      l.quantity
    from lines l join shop_first f on f.shop = l.shop
    """,
    """
    create table mass as
    select cast(f.first_node + m.node as bigint) as node, s.state, m.best_kg, m.low_kg, m.high_kg, m.origin,
      m.weighed_together, m.scatter_kg
    from masses m join shop_first f on f.shop = m.shop join state_of s on s.several = f.several
    where m.state = s.state or m.state = 'every'
    """,
)

# Heights: what has no part lines is at 0; then, level by level, what has only parts that have a height.
FIRST_HEIGHTS = (
    "create table holding as select distinct parent as node from line",
    """
    create table height as
    select n.node, 0 as height from node n where not exists (select 1 from holding h where h.node = n.node)
    """,
    # Only lines between assemblies are peeled: most lines end at a single part.
    """
    create table open_0 as
    select distinct l.parent, l.child from line l where exists (select 1 from holding h
      where h.node = l.child)
    """,
    "create table waiting_0 as select node from holding",
)
NEXT_HEIGHTS = (
    """
    create table ready as
    select w.node from waiting_{before} w
    where not exists (select 1 from open_{before} o where o.parent = w.node)
    """,
    "insert into height select node, {level} from ready",
    """
    create table open_{level} as
    select o.parent, o.child from open_{before} o where not exists (select 1 from ready r
      where r.node = o.child)
    """,
    """
    create table waiting_{level} as
    select w.node from waiting_{before} w where not exists (select 1 from ready r where r.node = w.node)
    """,
    "drop table open_{before}",
    "drop table waiting_{before}",
)
READY = "select count(*) from ready"
DONE_WITH_LEVEL = "drop table ready"

# What is left is in a ring or above one; without what is only above, rings and the ways between them remain.
RINGS_ONLY = """
    create table ring_{level} as
    select o.parent, o.child from {before} o where exists (select 1 from {before} u where u.child = o.parent)
"""
NAMES_OF = """
    select k.node, n.shop, n.component, n.build
    from node k join names n on n.shop = k.shop and n.node = k.own_node where k.node in ({nodes})
"""

LINES_BY_LEVEL = """
    create table level_line as
    select h.height as level, l.parent, l.child, l.quantity
    from line l join height h on h.node = l.parent order by h.height
"""

# Of level 0: single parts; and assemblies that list no part in this build, whose sum is nothing.
FIRST_TOTALS = """
    create table total as
    select n.node, s.state,
      case when m.node is not null and (n.parted = 0 or n.open_list = 1 or n.broken > 0) then m.best_kg
        else 0e0 end as best_kg,
      case when m.node is not null and (n.parted = 0 or n.open_list = 1 or n.broken > 0) then m.low_kg
        else 0e0 end as low_kg,
      case when m.node is not null and (n.parted = 0 or n.open_list = 1 or n.broken > 0) then m.high_kg
        else 0e0 end as high_kg,
      0e0 as lost_kg,
      case when m.node is not null or (n.parted = 1 and n.open_list = 0 and n.broken = 0) then 1 else 0 end
        as complete,
      case when m.node is not null and (n.parted = 0 or n.open_list = 1 or n.broken > 0) then m.origin
        when n.parted = 1 then 'sum of parts' else 'nobody knows' end as basis,
      case when m.node is not null then 0e0 when n.parted = 0 then 1e0 else 1e0 * n.broken end
        as unknown_pieces,
      case when n.parted = 0 then m.weighed_together end as weighed_together,
      case when n.parted = 0 then m.scatter_kg end as scatter_kg
    from node n join height h on h.node = n.node and h.height = 0
      join state_of s on s.several = n.several
      left join mass m on m.node = n.node and m.state = s.state
"""

# So many pieces of which some were weighed together are off their mean by the scatter of those that are not
# balanced by the rest: see `weights.witness`. What is lost: one rounding an addition, and a few a line.
SUMS = """
    create table level_sum as
    select p.parent as node, p.state, sum(p.best_kg) as best_kg, sum(p.low_kg) as low_kg,
      sum(p.high_kg) as high_kg,
      sum(p.lost_kg) + (count(*) + 8) * {eps} * sum(p.high_kg) as lost_kg,
      min(p.complete) as complete, sum(p.unknown_pieces) as unknown_pieces
    from (
      select q.parent, q.state, q.best_kg,
        case when q.low_kg < q.spread_kg then 0e0 else q.low_kg - q.spread_kg end as low_kg,
        q.high_kg + q.spread_kg as high_kg, q.lost_kg, q.complete, q.unknown_pieces
      from (
        select l.parent, t.state, l.quantity * t.best_kg as best_kg, l.quantity * t.low_kg as low_kg,
          l.quantity * t.high_kg as high_kg, l.quantity * t.lost_kg as lost_kg, t.complete,
          l.quantity * t.unknown_pieces as unknown_pieces,
          case when t.scatter_kg is null then 0e0
            when l.quantity < abs(t.weighed_together - l.quantity) then l.quantity * t.scatter_kg
            else abs(t.weighed_together - l.quantity) * t.scatter_kg end as spread_kg
        from level_line l join total t on t.node = l.child
        where l.level = {level}
      ) q
    ) p
    group by p.parent, p.state
"""

# Where the known parts are as heavy as the whole that may stand for them, to what floats may have lost.
NOT_DECIDED = """
    select s.node, s.state from level_sum s join node n on n.node = s.node
      join mass m on m.node = s.node and m.state = s.state
    where (s.complete = 0 or n.open_list = 1 or n.broken > 0)
      and abs(s.low_kg - m.high_kg) <= s.lost_kg + 4 * {eps} * m.high_kg
"""
DECIDED = (
    "create table decided (node bigint, state varchar(8), stands integer)",
    "insert into decided values ({node}, '{state}', {stands})",
)

NEXT_TOTALS = """
    insert into total
    select u.node, u.state,
      case when u.stands = 1 then u.whole_best else u.best_kg end,
      case when u.stands = 1 then u.whole_low else u.low_kg end,
      case when u.stands = 1 then u.whole_high else u.high_kg end,
      case when u.stands = 1 then 0e0 else u.lost_kg end,
      case when u.stands = 1 or u.lacking = 0 then 1 else 0 end,
      case when u.stands = 1 then u.origin else 'sum of parts' end,
      case when u.stands = 1 then 0e0 else u.unknown_pieces end,
      null, null
    from (
      select k.*, case when k.lacking = 0 or k.whole_high is null then 0
          when d.stands is not null then d.stands
          when k.low_kg <= k.whole_high then 1 else 0 end as stands
      from (
        select s.node, s.state, s.best_kg, s.low_kg, s.high_kg, s.lost_kg,
          s.unknown_pieces + n.broken as unknown_pieces,
          case when s.complete = 1 and n.open_list = 0 and n.broken = 0 then 0 else 1 end as lacking,
          m.best_kg as whole_best, m.low_kg as whole_low, m.high_kg as whole_high, m.origin
        from level_sum s join node n on n.node = s.node
          left join mass m on m.node = s.node and m.state = s.state
      ) k left join decided d on d.node = k.node and d.state = k.state
    ) u
"""
DONE_WITH_SUMS = "drop table level_sum"

# Figures that were weighed for several pieces together, with their scatter: how many of them a total holds
# decides how far they are off, wherever they stand in it. What each line added for itself is taken back, and
# what the whole adds put in.
FIRST_SCATTER = (
    """
    create table piece as
    select t.node, t.state, t.node as leaf, 1e0 as pieces from total t where t.scatter_kg is not null
    """,
    """
    create table spread as
    select t.node, t.state, 0e0 as low_kg, 0e0 as high_kg from total t where t.scatter_kg is not null
    """,
)
NEXT_SCATTER = (
    """
    insert into piece
    select l.parent, p.state, p.leaf, sum(l.quantity * p.pieces)
    from level_line l join piece p on p.node = l.child
      join total t on t.node = l.parent and t.state = p.state and t.basis = 'sum of parts'
    where l.level = {level} group by l.parent, p.state, p.leaf
    """,
    """
    insert into spread
    select q.parent, q.state,
      sum(q.low_kg + case when q.spread_kg < q.own_low_kg then q.spread_kg else q.own_low_kg end),
      sum(q.high_kg + q.spread_kg)
    from (
      select l.parent, s.state, l.quantity * s.low_kg as low_kg, l.quantity * s.high_kg as high_kg,
        l.quantity * c.low_kg as own_low_kg,
        case when c.scatter_kg is null then 0e0
          when l.quantity < abs(c.weighed_together - l.quantity) then l.quantity * c.scatter_kg
          else abs(c.weighed_together - l.quantity) * c.scatter_kg end as spread_kg
      from level_line l join spread s on s.node = l.child
        join total c on c.node = l.child and c.state = s.state
        join total t on t.node = l.parent and t.state = s.state and t.basis = 'sum of parts'
      where l.level = {level}
    ) q group by q.parent, q.state
    """,
)
SHIFT = """
    create table shift as
    select q.node, q.state,
      max(s.low_kg) - sum(case when q.spread_kg < q.own_low_kg then q.spread_kg else q.own_low_kg end)
        as low_kg,
      sum(q.spread_kg) - max(s.high_kg) as high_kg,
      max(s.low_kg) + max(s.high_kg) + 2 * sum(q.spread_kg) as moved_kg
    from (
      select p.node, p.state, p.pieces * t.low_kg as own_low_kg,
        case when p.pieces < abs(t.weighed_together - p.pieces) then p.pieces * t.scatter_kg
          else abs(t.weighed_together - p.pieces) * t.scatter_kg end as spread_kg
      from piece p join total t on t.node = p.leaf and t.state = p.state
    ) q join spread s on s.node = q.node and s.state = q.state
    group by q.node, q.state
"""

# Low and high outward; of what is known in part only the known part, without an upper limit; of what nobody
# knows anything of nothing. What is in or above a ring has no height and no figure.
ROLLED = """
    create table rolled as
    select q.node, q.state, q.height,
      case when q.complete = 1 or q.high_kg > 0 then q.best_kg end as best_kg,
      case when q.complete = 1 or q.high_kg > 0 then
        case when q.low_kg < q.lost_kg then 0e0 else q.low_kg - q.lost_kg end end as low_kg,
      case when q.complete = 1 or q.high_kg > 0 then q.high_kg + q.lost_kg end as known_high_kg,
      q.complete, q.basis, q.unknown_pieces
    from (
      select n.node, coalesce(t.state, 'every') as state, t.best_kg,
        t.low_kg + coalesce(x.low_kg, 0e0) as low_kg, t.high_kg + coalesce(x.high_kg, 0e0) as high_kg,
        t.lost_kg + coalesce(16 * {eps} * (t.high_kg + x.moved_kg), 0e0) as lost_kg,
        coalesce(t.complete, 0) as complete, coalesce(t.basis, 'contains itself') as basis, h.height,
        t.unknown_pieces
      from node n left join height h on h.node = n.node left join total t on t.node = n.node
        left join shift x on x.node = t.node and x.state = t.state
    ) q
"""
