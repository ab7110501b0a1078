"""The roll-up in SQL, level by level: plain statements that any SQL engine runs, none of them recursive.

They read the tables `names`, `lines`, `masses` and `totals` as `tables` describes them, whichever way the
engine holds them. Whole numbers stand for yes and no, states and bases, since engines differ in their truth
values and are slow with texts. The rules are those of `weights.totals`: a part hands up its figure; an
assembly the sum of its parts where all are known and listed, else a whole that may stand for them and that
the known parts do not outweigh already, else the sum, "at least".

Every figure carries how much floating point may have lost of it, so that low and high can be moved outward.
"""

from __future__ import annotations

# Relative rounding of one operation on float64.
EPS = 2.0**-53

# States: 0 every, where a shop's figures are the same in all three; 1 dry, 2 drained, 3 filled.
# Bases: 0 nobody knows, 1 a statement, 2 litres times density, 3 the sum of the parts, 4 a whole.
STATE = "case {column} when 0 then 'every' when 1 then 'dry' when 2 then 'drained' else 'filled' end"
BASIS = """case {column} when 0 then 'nobody knows' when 1 then 'statement' when 2 then 'litres times density'
  when 3 then 'sum of parts' when 4 then 'whole, not from parts' else 'contains itself' end"""
UNKNOWN, SUM, WHOLE = 0, 3, 4

# Nodes of each shop are numbered on from those of the shops before it.
SHOPS = (
    """
    create table shop_nodes as
    select shop, min(stamp) as stamp, max(node) + 1 as many from names group by shop
    """,
    """
    create table shop_states as
    select q.shop, max(q.several) as several from (
      select shop, max(case when state = 'every' then 0 else 1 end) as several from masses group by shop
      union all
      select shop, max(case when state = 'every' then 0 else 1 end) as several from totals group by shop
    ) q group by q.shop
    """,
    """
    create table shop_first as
    select s.shop, s.stamp, cast(sum(s.many) over (order by s.shop) - s.many as bigint) as first_node,
      coalesce(t.several, 0) as several
    from shop_nodes s left join shop_states t on t.shop = s.shop
    """,
    "create table state_of (state smallint, word varchar(8), several smallint)",
    "insert into state_of values (0, 'every', 0), (1, 'dry', 1), (2, 'drained', 1), (3, 'filled', 1)",
)

GRAPH = (
    """
    create table node as
    select f.first_node + n.node as node, n.shop, n.node as own_node, cast(f.several as smallint) as several,
      cast(case when n.lists_parts then 1 else 0 end as smallint) as parted,
      cast(case when n.open_list then 1 else 0 end as smallint) as open_list, n.broken_lines as broken
    from names n join shop_first f on f.shop = n.shop
    """,
    """
    create table line as
    select f.first_node + l.parent as parent, f.first_node + l.child as child, l.quantity
    from lines l join shop_first f on f.shop = l.shop
    """,
    """
    create table mass as
    select f.first_node + m.node as node, s.state, m.best_kg, m.low_kg, m.high_kg,
      cast(case when m.origin = 'litres times density' then 2 else 1 end as smallint) as origin
    from masses m join shop_first f on f.shop = m.shop
      join state_of s on s.several = f.several and (m.state = s.word or m.state = 'every')
    """,
    # Figures that were weighed for several pieces together, with how far a single one may be off their mean.
    """
    create table scattered as
    select f.first_node + m.node as node, s.state, m.low_kg, m.weighed_together, m.scatter_kg
    from masses m join shop_first f on f.shop = m.shop
      join state_of s on s.several = f.several and (m.state = s.word or m.state = 'every')
    where m.scatter_kg is not null
    """,
)

# Heights of what has parts: first where no part has parts; then, level by level, what has only parts with a
# height. Only lines between assemblies are peeled: most lines end at a single part, which is at 0.
FIRST_HEIGHTS = (
    "create table holding as select distinct parent as node from line",
    """
    create table between_assemblies as
    select distinct l.parent, l.child from line l
    where exists (select 1 from holding h where h.node = l.child)
    """,
    "create table height (node bigint, height integer)",
    "create table open_0 as select parent, child from between_assemblies",
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
    select o.parent, o.child from open_{before} o
    where not exists (select 1 from ready r where r.node = o.child)
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
    select h.height as level, l.parent, l.child, l.quantity from line l join height h on h.node = l.parent
"""
# Most lines end at what has no part lines, and need no level: they are added up in one go. The others are
# laid out by level, with those to pieces that were weighed together, which each level looks at again.
UPPER_LINES = """
    create table level_line as
    select h.height as level, l.parent, l.child, l.quantity from line l join height h on h.node = l.parent
      join height x on x.node = l.child
"""
SCATTERED_LINES = """
    insert into level_line
    select h.height as level, l.parent, l.child, l.quantity from line l join height h on h.node = l.parent
    where exists (select 1 from scattered x where x.node = l.child)
      and not exists (select 1 from height x where x.node = l.child)
"""

# What has no part lines: single parts, and assemblies that list no part in this build, whose sum is nothing.
FIRST_TOTALS = (
    """
    create table first_total as
    select n.node, s.state, coalesce(m.best_kg, 0e0) as best_kg, coalesce(m.low_kg, 0e0) as low_kg,
      coalesce(m.high_kg, 0e0) as high_kg,
      cast(case when m.node is null then 0 else 1 end as smallint) as complete,
      cast(coalesce(m.origin, 0) as smallint) as basis,
      case when m.node is null then 1e0 else 0e0 end as unknown_pieces
    from node n join state_of s on s.several = n.several
      left join mass m on m.node = n.node and m.state = s.state
    where n.parted = 0
    """,
    """
    insert into first_total
    select q.node, q.state, case when q.own = 1 then q.best_kg else 0e0 end,
      case when q.own = 1 then q.low_kg else 0e0 end, case when q.own = 1 then q.high_kg else 0e0 end,
      case when q.own = 1 or q.lacking = 0 then 1 else 0 end, case when q.own = 1 then 4 else 3 end,
      case when q.own = 1 then 0e0 else 1e0 * q.broken end
    from (
      select n.node, s.state, n.broken, m.best_kg, m.low_kg, m.high_kg,
        case when n.open_list = 1 or n.broken > 0 then 1 else 0 end as lacking,
        case when m.node is not null and (n.open_list = 1 or n.broken > 0) then 1 else 0 end as own
      from node n join state_of s on s.several = n.several
        left join mass m on m.node = n.node and m.state = s.state
      where n.parted = 1 and not exists (select 1 from holding h where h.node = n.node)
    ) q
    """,
    """
    create table first_sum as
    select l.parent as node, t.state, sum(l.quantity * t.best_kg) as best_kg,
      sum(l.quantity * t.low_kg) as low_kg, sum(l.quantity * t.high_kg) as high_kg,
      min(t.complete) as complete, sum(l.quantity * t.unknown_pieces) as unknown_pieces, count(*) as many
    from line l join first_total t on t.node = l.child group by l.parent, t.state
    """,
    """
    create table leaf_sum as
    select h.height as level, f.* from first_sum f join height h on h.node = f.node
    """,
    "drop table first_sum",
    # What has parts, and the wholes that may stand for them: a small part of all, looked at level by level.
    """
    create table upper_node as
    select n.node, n.open_list, n.broken from node n join holding h on h.node = n.node
    """,
    """
    create table upper_mass as
    select m.node, m.state, m.best_kg, m.low_kg, m.high_kg from mass m join holding h on h.node = m.node
    """,
    """
    create table upper_total (node bigint, state smallint, height integer, best_kg double precision,
      low_kg double precision, high_kg double precision, lost_kg double precision, complete smallint,
      basis smallint, unknown_pieces double precision)
    """,
    """
    create view total as
    select node, state, 0 as height, best_kg, low_kg, high_kg, 0e0 as lost_kg, complete, basis, unknown_pieces
    from first_total
    union all
    select node, state, height, best_kg, low_kg, high_kg, lost_kg, complete, basis, unknown_pieces
    from upper_total
    """,
)

# What is lost: one rounding an addition, and a few a line.
SUMS = """
    create table level_sum as
    select q.node, q.state, sum(q.best_kg) as best_kg, sum(q.low_kg) as low_kg, sum(q.high_kg) as high_kg,
      sum(q.lost_kg) + (sum(q.many) + 8) * {eps} * sum(q.high_kg) as lost_kg, min(q.complete) as complete,
      sum(q.unknown_pieces) as unknown_pieces
    from (
      select l.parent as node, t.state, l.quantity * t.best_kg as best_kg, l.quantity * t.low_kg as low_kg,
        l.quantity * t.high_kg as high_kg, l.quantity * t.lost_kg as lost_kg, t.complete,
        l.quantity * t.unknown_pieces as unknown_pieces, 1 as many
      from level_line l join upper_total t on t.node = l.child where l.level = {level}
      union all
      select f.node, f.state, f.best_kg, f.low_kg, f.high_kg, 0e0, f.complete, f.unknown_pieces, f.many
      from leaf_sum f where f.level = {level}
    ) q group by q.node, q.state
"""

# Where the known parts are as heavy as the whole that may stand for them, to what floats may have lost.
NOT_DECIDED = """
    select s.node, s.state from level_sum s join upper_node n on n.node = s.node
      join upper_mass m on m.node = s.node and m.state = s.state
    where (s.complete = 0 or n.open_list = 1 or n.broken > 0)
      and abs(s.low_kg - m.high_kg) <= s.lost_kg + 4 * {eps} * m.high_kg
"""
DECIDED = (
    "create table decided (node bigint, state smallint, stands smallint)",
    "insert into decided values ({node}, {state}, {stands})",
)

NEXT_TOTALS = """
    insert into upper_total
    select u.node, u.state, {level},
      case when u.stands = 1 then u.whole_best else u.best_kg end,
      case when u.stands = 1 then u.whole_low else u.low_kg end,
      case when u.stands = 1 then u.whole_high else u.high_kg end,
      case when u.stands = 1 then 0e0 else u.lost_kg end,
      case when u.stands = 1 or u.lacking = 0 then 1 else 0 end,
      case when u.stands = 1 then 4 else 3 end,
      case when u.stands = 1 then 0e0 else u.unknown_pieces end
    from (
      select k.*, case when k.lacking = 0 or k.whole_high is null then 0
          when d.stands is not null then d.stands
          when k.low_kg <= k.whole_high then 1 else 0 end as stands
      from (
        select s.node, s.state, s.best_kg, s.low_kg, s.high_kg, s.lost_kg,
          s.unknown_pieces + n.broken as unknown_pieces,
          case when s.complete = 1 and n.open_list = 0 and n.broken = 0 then 0 else 1 end as lacking,
          m.best_kg as whole_best, m.low_kg as whole_low, m.high_kg as whole_high
        from level_sum s join upper_node n on n.node = s.node
          left join upper_mass m on m.node = s.node and m.state = s.state
      ) k left join decided d on d.node = k.node and d.state = k.state
    ) u
"""
DONE_WITH_SUMS = "drop table level_sum"

# Low and high outward; of what is known in part only the known part, without an upper limit; of what nobody
# knows anything of nothing. What is in or above a ring has no height and no figure.
ROLLED = """
    create view rolled as
    select q.node, q.state, q.height,
      case when q.complete = 1 or q.high_kg > 0 then q.best_kg end as best_kg,
      case when q.complete = 1 or q.high_kg > 0 then
        case when q.low_kg < q.lost_kg then 0e0 else q.low_kg - q.lost_kg end end as low_kg,
      case when q.complete = 1 or q.high_kg > 0 then q.high_kg + q.lost_kg end as known_high_kg,
      q.complete, q.basis, q.unknown_pieces
    from (
      select t.node, t.state, t.height, t.best_kg, t.low_kg + coalesce(x.low_kg, 0e0) as low_kg,
        t.high_kg + coalesce(x.high_kg, 0e0) as high_kg,
        t.lost_kg + coalesce(16 * {eps} * (t.high_kg + x.moved_kg), 0e0) as lost_kg, t.complete, t.basis,
        t.unknown_pieces
      from total t left join shift x on x.node = t.node and x.state = t.state
    ) q
    union all
    select h.node, 0, null, null, null, null, 0, 5, null from holding h
    where not exists (select 1 from height x where x.node = h.node)
"""
