"""Rows of a fleet's tables from a database file: of tables too large for records, and all that is said.

Statements stand in the file with the most trusted first, so the figure that is used is the first that may be.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from typing import Any

Rows = Iterator[list[tuple[Any, ...]]]

_TOGETHER = 100_000  # rows held at once

LARGE = """
  create temp table large as
  select c.id, row_number() over (order by c.id) - 1 + {first} as node,
    exists (select 1 from usage u where u.parent = c.id) as parted
  from component c where not exists (select 1 from record where kind = 'component' and code = c.code)
"""

NAMES = """
  select l.node, c.code, '', 1, c.name, c.kind, c.maker, c.part_number, l.parted,
    l.parted and coalesce(c.parts_listed, '') <> 'all', 0, c.file, c.line
  from large l join component c on c.id = l.id order by l.node
"""

LINES = """
  select p.node, k.node, u.line, u.quantity,
    case when u.written glob '[0-9]*' and not u.written glob '*[^0-9.]*' then u.written
      else printf('%.17g', u.quantity) end
  from usage u join large p on p.id = u.parent join large k on k.id = u.child
  order by p.node, u.line
"""

# Of a single part any figure speaks, of an assembly without fluid lines one that is dry or names no state.
MASSES = """
  with speaking as (
    select l.node, s.*, x.name as source_name, x.code as source_code, k.name as kind_name, a.state as asked
    from large l join statement s on s.component = l.id join source x on x.id = s.source
      left join source_kind k on k.id = x.kind
      join (select 'every' as state, 0 as parted union all select 'dry', 1 union all select 'drained', 1
        union all select 'filled', 1) a on a.parted = l.parted
    where s.chosen and (not l.parted or (s.counts = 'as listed' and s.without = 'none'
      and s.state in ('not stated', 'dry', a.state)))
  ), ranked as (
    select *, row_number() over (partition by node, asked order by position) as place from speaking
  ), used as (
    select *, min(id) over (partition by node) = max(id) over (partition by node)
      and count(*) over (partition by node) = 3 as same from ranked where place = 1
  )
  select node, case when same then 'every' else asked end, best_kg, low_kg, high_kg, null, null, null,
    case when asked = 'every' then 'statement' else 'whole, not from parts' end,
    source_code, kind_name, printed, null, null
  from used where not same or asked = 'dry' order by node, asked
"""

TOTALS = """
  select l.node, t.state, t.best_kg, t.low_kg, t.high_kg, null, null, null, t.complete, t.basis, c.height,
    null,
    t.plan_kg, t.why_none
  from large l join component c on c.id = l.id join total t on t.component = l.id order by l.node, t.state
"""

STATEMENTS = """
  select c.code, s.position, s.code, s.printed, s.best_kg, s.low_kg, s.high_kg, s.doubt_from, s.state,
    s.counts,
    s.without, s.boundary_known, x.code, x.name, k.name, s.day, s.serials, s.build, s.chosen, s.verdict,
      s.because
  from statement s join component c on c.id = s.component join source x on x.id = s.source
    left join source_kind k on k.id = x.kind order by s.id
"""

FINDINGS = """
  select rule, verdict, about, sentence, remedy, file, line, gap_low_kg, gap_high_kg from finding order by id
"""

PLANS = """
  select c.code, t.state, t.plan_kg, t.why_none from total t join component c on c.id = t.component
    join record r on r.kind = 'component' and r.code = c.code
"""

PLACES = "select c.code, c.file, c.line from component c where c.file is not null"


def number_large(connection: sqlite3.Connection, first: int) -> int:
    """Number the components that are no records, from a first number on; how many there are."""
    connection.execute("drop table if exists temp.large")
    connection.execute(LARGE.format(first=int(first)))
    connection.execute("create unique index temp.large_id on large (id)")
    return int(connection.execute("select count(*) from temp.large").fetchone()[0])


def rows(connection: sqlite3.Connection, question: str) -> Rows:
    """The rows of a question, some at a time."""
    cursor = connection.execute(question)
    while found := cursor.fetchmany(_TOGETHER):
        yield [tuple(row) for row in found]


SAID: Mapping[str, str] = {"statements": STATEMENTS, "findings": FINDINGS}
OF_TABLES: Mapping[str, str] = {"names": NAMES, "lines": LINES, "masses": MASSES, "totals": TOTALS}
