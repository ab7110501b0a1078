"""The look-up of one component from stored rows: what it weighs, who says so, what it is made of."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.classes import replace
from handling_db.database.queries.jobs import open_jobs
from handling_db.database.queries.names import need_key
from handling_db.lookup.rests_kept import rests_from, shared_from
from handling_db.weights.answer import (
    Named,
    ParameterValue,
    PartFigure,
    StateFigure,
    StatementFigure,
    WeightAnswer,
)

STATES = ("dry", "drained", "filled")
EVERY = "every"  # one row stands for the three states where a large table lists no fluid

_TOTAL = """
  state, best_kg, low_kg, high_kg, complete, basis, half_width_rss_kg, u_kg, plan_kg, why_none, raised_by,
  chosen, rests, x_m, y_m, z_m, worked_out
"""

_STATEMENT = """
  select t.code, t.printed, t.best_kg, t.low_kg, t.high_kg, t.doubt_from, t.step_assumed, t.columns, t.state,
    t.counts, t.without, t.boundary_known, s.code, s.name, k.name, t.day, t.by_whom, t.derived, t.serials,
    t.build, t.review_by, t.chosen, t.verdict, t.because, t.parts_low_kg, t.parts_high_kg, t.gap_low_kg,
    t.gap_high_kg, t.missing_low_kg, t.missing_high_kg, t.shared, t.written
  from statement t join source s on s.id = t.source left join source_kind k on k.id = s.kind
  where t.component = ? order by t.position
"""

_PART = """
  select coalesce(u.code, ''), c.code, c.name, c.kind, u.quantity, u.written, u.other_build,
    case when u.other_build then u.each_best_kg else t.best_kg end,
    case when u.other_build then u.each_low_kg else t.low_kg end,
    case when u.other_build then u.each_high_kg else t.high_kg end,
    case when u.other_build then u.each_complete else t.complete end,
    case when u.other_build then u.each_basis else coalesce(t.from_kind, t.basis) end,
    c.parts_listed is not null, u.remark, u.x_m, u.y_m, u.z_m, u.child
  from usage u join component c on c.id = u.child
    left join total t on t.component = u.child and t.state in ('every', case when exists (
      select 1 from total_unknown e where e.component = u.child and e.what = 'fluid elsewhere')
      then 'dry' else 'filled' end)  -- a share of the charge stands on its own line
  where u.parent = ? and u.quantity > 0 order by u.line
"""


def stored_answer(connection: sqlite3.Connection, code: str) -> WeightAnswer:
    """Everything the look-up of one component says, in its default build, from stored rows.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str
        The component's id.

    Returns
    -------
    WeightAnswer
        Dry, drained and filled; the parts filled. Masses are floats, limits rounded outward.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    key = need_key(connection, code)
    code, name, kind, also_called, part_number, maker, fits, parts_listed, remark = connection.execute(
        "select code, name, kind, also_called, part_number, maker, fits, parts_listed, remark from component "
        "where id = ?",
        (key,),
    ).fetchone()
    return WeightAnswer(
        id=code,
        name=name,
        kind=kind,
        also_called=_split(also_called),
        part_number=part_number or "",
        maker=maker or "",
        fits=_split(fits),
        parts_listed=parts_listed or "",
        remark=remark or "",
        build=_build(connection, key),
        states=states_of(connection, key),
        statements=tuple(statement_of(row, code) for row in connection.execute(_STATEMENT, (key,))),
        parts=tuple(part for part, _, _ in parts_of(connection, key)),
        goes_into=goes_into(connection, key),
        jobs=open_jobs(connection, code),
    )


def datum(connection: sqlite3.Connection, code: str) -> str:
    """Origin and directions of a component's own frame; empty where nobody recorded them."""
    row = connection.execute("select datum from component where id = ?", (need_key(connection, code),))
    return row.fetchone()[0] or ""


def _split(text: str | None) -> tuple[str, ...]:
    return tuple(text.split("\n")) if text else ()


def _build(connection: sqlite3.Connection, key: int) -> tuple[ParameterValue, ...]:
    rows = connection.execute(
        "select name, value, unit, is_default, meaning from parameter where component = ? order by position",
        (key,),
    )
    return tuple(
        ParameterValue(name, value, unit, bool(is_default), meaning or "")
        for name, value, unit, is_default, meaning in rows
    )


def states_of(
    connection: sqlite3.Connection, key: int, *, look_for_gaps: bool = True
) -> tuple[StateFigure, ...]:
    """The stored figures of one component, dry, drained and filled.

    Where a file was built without naming what is not known in a total, it is looked for now, if wanted.
    """
    rows = connection.execute(f"select {_TOTAL} from total where component = ?", (key,)).fetchall()
    by_state = {row[0]: row for row in rows}
    gaps = _gaps(connection, key)
    states = tuple(
        _state(state, by_state.get(state) or by_state[EVERY], gaps.get(state) or gaps.get(EVERY, {}))
        for state in STATES
    )
    if not look_for_gaps or all(row[-1] for row in rows):
        return states
    from handling_db.database.queries.gaps import with_gaps

    if EVERY in by_state:
        first = with_gaps(connection, key, states[0])
        return tuple(
            replace(one, unknown=first.unknown, open_lists=first.open_lists, why_none=first.why_none)
            for one in states
        )
    return tuple(with_gaps(connection, key, one) for one in states)


def _state(state: str, row: tuple[Any, ...], gaps: dict[str, tuple[Named, ...]]) -> StateFigure:
    (_, best, low, high, complete, basis, rss, u, plan, why_none, raised_by, chosen, rests, x, y,
     z, worked_out) = row  # fmt: skip
    known = best is not None
    return StateFigure(
        state=state,
        best=best or 0.0,
        low=low or 0.0,
        high=high or 0.0,
        complete=bool(complete),
        basis=basis,
        half_width_rss=rss if known or not worked_out else 0.0,
        u=u if known or not worked_out else 0.0,
        planning=plan,
        why_none=why_none or "",
        raised_by=raised_by or "",
        unknown=gaps.get("no mass", ()),
        open_lists=gaps.get("open list", ()),
        fluid_elsewhere=gaps.get("fluid elsewhere", ()),
        centre=None if x is None else (x, y, z),
        no_place=gaps.get("no place", ()),
        at_datum=gaps.get("at datum", ()),
        chosen=chosen or "",
        rests=rests_from(rests),
    )


def _gaps(connection: sqlite3.Connection, key: int) -> dict[str, dict[str, tuple[Named, ...]]]:
    """What is not known about a component's totals, by state and by what it is."""
    found: dict[str, dict[str, tuple[Named, ...]]] = {}
    rows = connection.execute(
        "select t.state, t.what, c.code, c.name, t.pieces from total_unknown t join component c "
        "on c.id = t.part where t.component = ? order by t.state, t.what, t.position",
        (key,),
    )
    for state, what, code, name, pieces in rows:
        of_state = found.setdefault(state, {})
        of_state[what] = (*of_state.get(what, ()), Named(code, name, pieces))
    return found


def statement_of(row: tuple[Any, ...], component: str) -> StatementFigure:
    """A stored statement as the answer has it."""
    texts: list[Any] = [value if value is not None else "" for value in row[:24]]
    for place in (6, 11, 21):  # step_assumed, boundary_known, chosen
        texts[place] = bool(texts[place])
    if row[0] is None:
        texts[0] = _id_from_table(component, row)
    values: list[Any] = [*texts, *row[24:-2], shared_from(row[-2])]
    return StatementFigure(*values)


def _id_from_table(component: str, row: tuple[Any, ...]) -> str:
    """The id of a statement of a large table: the hash its record would have."""
    import hashlib
    import json

    fields: dict[str, Any] = {"component": component, "printed": row[1], "source": row[12]}
    if row[8] != "not stated":
        fields["state"] = row[8]
    if row[19] or row[-1]:
        from handling_db.tables.cells import boundary_fields, build_values

        cells = json.loads(row[-1]) if row[-1] else {"boundary": None, "given": {}}
        if row[19]:
            fields["build"] = build_values(row[19])
        if cells["boundary"] is not None:
            fields |= boundary_fields(cells["boundary"])
        fields |= {_ROLES[role]: " ".join(pair) for role, pair in cells["given"].items()}
    canonical = json.dumps(fields, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(canonical.encode()).hexdigest()[:12]


_ROLES = {"step": "step", "plus_minus": "plus or minus", "u": "u"}


def parts_of(connection: sqlite3.Connection, key: int) -> list[tuple[PartFigure, int, bool]]:
    """The part lines of a component, filled, each with the key of its part and whether it can be opened.

    A part that is here in another build than its default one has no stored parts of its own.
    """
    found = []
    for row in connection.execute(_PART, (key,)):
        (line, code, name, kind, quantity, written, other_build, best, low, high, complete, basis, has_parts,
         remark, x, y, z, child) = row  # fmt: skip
        part = PartFigure(
            line=line,
            id=code,
            name=name,
            kind=kind,
            quantity=quantity,
            quantity_text=written if written is not None else f"{quantity:.0f}",
            known=best is not None,
            complete=bool(complete),
            best=best or 0.0,
            low=low or 0.0,
            high=high or 0.0,
            basis=basis,
            has_parts=bool(has_parts),
            remark=remark or "",
            centre=None if x is None else (x, y, z),
        )
        found.append((part, child, bool(has_parts) and not other_build))
    return found


def goes_into(connection: sqlite3.Connection, key: int) -> tuple[Named, ...]:
    """The assemblies that list a component, by id, with how many pieces in their default build."""
    rows = connection.execute(
        "select p.code, p.name, sum(u.quantity) from usage u join component p on p.id = u.parent "
        "where u.child = ? group by p.id order by p.code",
        (key,),
    )
    return tuple(Named(code, name, pieces) for code, name, pieces in rows)
