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

# Nodes of each shop are numbered on from those of the shops before it. `several`: 0 where all its masses are
# the same in every state, 1 where they are not, 2 where there is a state that nobody knows.
SHOPS = (
    """
    create table shop_nodes as
    select shop, min(stamp) as stamp, max(node) + 1 as many from names group by shop
    """,
    """
    create table shop_states as
    select q.shop, max(q.several) as several from (
      select shop, max(case when state = 'every' then 0 when state in ('dry', 'drained', 'filled') then 1
        else 2 end) as several from masses group by shop
      union all
      select shop, max(case when state = 'every' then 0 else 1 end) as several from totals group by shop
    ) q group by q.shop
    """,
    """
    create table shop_first as
    select s.shop, s.stamp, s.many, cast(sum(s.many) over (order by s.shop) - s.many as bigint) as first_node,
      cast(coalesce(t.several, 0) as smallint) as several
    from shop_nodes s left join shop_states t on t.shop = s.shop
    """,
    "create table state_of (state smallint, word varchar(8), several smallint)",
    "insert into state_of values (0, 'every', 0), (1, 'dry', 1), (2, 'drained', 1), (3, 'filled', 1)",
)

# Names, lines and masses by the numbers of the whole fleet are views: to read the tables again costs a third
# of writing them down. Written are single parts with their figures and, of what lists parts, the few columns
# and lines that each level looks at.
GRAPH = (
    """
    create view named as
    select f.first_node + n.node as node, n.node as own_node, n.shop, n.stamp, n.component, n.build, n.name,
      n.maker, n.part_number
    from names n join shop_first f on f.shop = n.shop
    """,
    """
    create {lines} line as
    select f.first_node + l.parent as parent, f.first_node + l.child as child, l.quantity
    from lines l join shop_first f on f.shop = l.shop
    """,
    """
    create view mass as
    select f.first_node + m.node as node, s.state, m.best_kg, m.low_kg, m.high_kg,
      cast(case when m.origin = 'litres times density' then 2 else 1 end as smallint) as basis,
      m.weighed_together, m.scatter_kg
    from masses m join shop_first f on f.shop = m.shop
      join state_of s on s.several = f.several and (m.state = s.word or m.state = 'every')
    """,
    """
    create table part as
    select n.node, s.state, m.best_kg, m.low_kg, m.high_kg, coalesce(m.basis, 0) as basis
    from (
      select f.first_node + p.node as node, f.several from names p join shop_first f on f.shop = p.shop
      where not p.lists_parts
    ) n join state_of s on s.several = n.several left join mass m on m.node = n.node and m.state = s.state
    """,
    """
    create table assembly as
    select f.first_node + n.node as node, f.several, n.broken_lines as broken,
      cast(case when n.open_list then 1 else 0 end as smallint) as open_list
    from names n join shop_first f on f.shop = n.shop where n.lists_parts
    """,
    # The wholes that may stand for what lists parts.
    """
    create table whole as
    select m.node, m.state, m.best_kg, m.low_kg, m.high_kg from mass m join assembly a on a.node = m.node
    """,
    # Figures that were weighed for several pieces together, with how far a single one may be off their mean.
    """
    create table scattered as
    select m.node, m.state, m.low_kg, m.weighed_together, m.scatter_kg from mass m
    where m.scatter_kg is not null
    """,
    """
    create table upper_line as
    select l.parent, l.child, l.quantity from line l join assembly a on a.node = l.child
    """,
)

# Nine lines of ten end at a single part, and need no level: they are added up in one go.
PART_SUMS = """
    create table part_sum as
    select l.parent, p.state, sum(l.quantity * p.best_kg) as best_kg, sum(l.quantity * p.low_kg) as low_kg,
      sum(l.quantity * p.high_kg) as high_kg,
      sum(case when p.basis = 0 then l.quantity else 0e0 end) as unknown_pieces, count(*) as many
    from line l join part p on p.node = l.child group by l.parent, p.state
"""
# What has part lines: by the sums, or where nothing was added up by the lines themselves.
LISTING = """
    create view listing as select parent as node from {lines} union all select parent from upper_line
"""

# Heights of what lists parts: 0 without any part line; then, level by level, what has only parts with a
# height. Only lines between assemblies are peeled: the others end at a single part, which is at 0.
FIRST_HEIGHTS = (
    """
    create table height as
    select a.node, 0 as height from assembly a
    where not exists (select 1 from listing l where l.node = a.node)
    """,
    """
    create table waiting_0 as
    select a.node from assembly a where not exists (select 1 from height h where h.node = a.node)
    """,
    """
    create table open_0 as
    select l.parent, l.child from upper_line l
    where not exists (select 1 from height h where h.node = l.child)
    """,
)
NEXT_HEIGHTS = (
    """
    insert into height
    select w.node, {level} from waiting_{before} w
    where not exists (select 1 from open_{before} o where o.parent = w.node)
    """,
    "create table waiting_{level} as select distinct parent as node from open_{before}",
    """
    create table open_{level} as
    select o.parent, o.child from open_{before} o
    where not exists (select 1 from height h where h.node = o.child)
    """,
    "drop table open_{before}",
    "drop table waiting_{before}",
)
READY = "select count(*) from height where height = {level}"

# What is left is in a ring or above one; without what is only above, rings and the ways between them remain.
RINGS_ONLY = """
    create table ring_{level} as
    select o.parent, o.child from {before} o where exists (select 1 from {before} u where u.child = o.parent)
"""
NAMES_OF = """
    select n.node, n.shop, n.component, n.build from named n where n.node in ({nodes})
"""

LINES_BY_LEVEL = """
    create table level_line as
    select h.height as level, l.parent, l.child, l.quantity from line l join height h on h.node = l.parent
"""
# The lines that each level looks at: those between assemblies, and to pieces that were weighed together.
UPPER_LINES = """
    create table level_line as
    select h.height as level, l.parent, l.child, l.quantity
    from upper_line l join height h on h.node = l.parent
"""
SCATTERED_LINES = """
    insert into level_line
    select h.height as level, l.parent, l.child, l.quantity from line l join height h on h.node = l.parent
    where exists (select 1 from scattered x where x.node = l.child)
      and not exists (select 1 from assembly a where a.node = l.child)
"""

TOTALS = (
    """
    create table upper_total (node bigint, state smallint, height integer, best_kg double precision,
      low_kg double precision, high_kg double precision, lost_kg double precision, complete smallint,
      basis smallint, unknown_pieces double precision)
    """,
    """
    create view total as
    select node, state, 0 as height, coalesce(best_kg, 0e0) as best_kg, coalesce(low_kg, 0e0) as low_kg,
      coalesce(high_kg, 0e0) as high_kg, 0e0 as lost_kg, case when basis = 0 then 0 else 1 end as complete,
      basis, case when basis = 0 then 1e0 else 0e0 end as unknown_pieces
    from part
    union all
    select node, state, height, best_kg, low_kg, high_kg, lost_kg, complete, basis, unknown_pieces
    from upper_total
    """,
)

# The sums of one level beside the wholes that may stand for them. What is lost: one rounding an addition, and
# a few a line. Without any line, at height 0, the sum is nothing.
SUMS = """
    select q.node, q.state, q.best_kg, q.low_kg, q.high_kg,
      q.lost_kg + (q.many + 8) * {eps} * q.high_kg as lost_kg, q.unknown_pieces + q.broken as unknown_pieces,
      case when q.complete = 1 and q.open_list = 0 and q.broken = 0 then 0 else 1 end as lacking,
      q.whole_best, q.whole_low, q.whole_high
    from (
      select h.node, s.state, a.open_list, a.broken,
        coalesce(p.best_kg, 0e0) + coalesce(u.best_kg, 0e0) as best_kg,
        coalesce(p.low_kg, 0e0) + coalesce(u.low_kg, 0e0) as low_kg,
        coalesce(p.high_kg, 0e0) + coalesce(u.high_kg, 0e0) as high_kg, coalesce(u.lost_kg, 0e0) as lost_kg,
        coalesce(p.unknown_pieces, 0e0) + coalesce(u.unknown_pieces, 0e0) as unknown_pieces,
        case when p.unknown_pieces > 0 then 0 else coalesce(u.complete, 1) end as complete,
        coalesce(p.many, 0) + coalesce(u.many, 0) as many,
        m.best_kg as whole_best, m.low_kg as whole_low, m.high_kg as whole_high
      from height h join assembly a on a.node = h.node join state_of s on s.several = a.several
        left join whole m on m.node = h.node and m.state = s.state
        left join part_sum p on p.parent = h.node and p.state = s.state
        left join (
          select l.parent, t.state, sum(l.quantity * t.best_kg) as best_kg,
            sum(l.quantity * t.low_kg) as low_kg, sum(l.quantity * t.high_kg) as high_kg,
            sum(l.quantity * t.lost_kg) as lost_kg, min(t.complete) as complete,
            sum(l.quantity * t.unknown_pieces) as unknown_pieces, count(*) as many
          from level_line l join upper_total t on t.node = l.child
          where l.level = {level} group by l.parent, t.state
        ) u on u.parent = h.node and u.state = s.state
      where h.height = {level}
    ) q
"""

# Where the known parts are as heavy as the whole that may stand for them, to what floats may have lost.
NOT_DECIDED = """
    select s.node, s.state from ({sums}) s
    where s.lacking = 1 and s.whole_high is not null
      and abs(s.low_kg - s.whole_high) <= s.lost_kg + 4 * {eps} * s.whole_high
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
      from ({sums}) k left join decided d on d.node = k.node and d.state = k.state
    ) u
"""
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
    select a.node, 0, null, null, null, null, 0, 5, null from assembly a
    where not exists (select 1 from height x where x.node = a.node)
"""
