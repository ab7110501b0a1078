"""Findings, fixtures, shops and sources."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.names import need_key
from handling_db.errors import UnknownNameError
from handling_db.lookup.listings import (
    FixtureFigure,
    Instead,
    ListedMover,
    Need,
    RestsOnSource,
    ShopFigure,
    SourceFigure,
    StoredFinding,
)
from handling_db.weights.answer import Named

# What has to be looked for among all findings is kept by the stamp.
_counts: LastAnswers[dict[str, int]] = LastAnswers(4)
_disagree: LastAnswers[list[StoredFinding]] = LastAnswers(4)

_FINDING = """
  select f.rule, f.verdict, f.about, coalesce(c.name, ''), f.sentence, f.remedy, coalesce(f.file, ''), f.line,
    coalesce(f.field, ''), f.gap_low_kg, f.gap_high_kg, coalesce(f.because_of, '')
  from finding f left join component c on c.id = f.component
"""

_FIXTURE = """
  select id, code, name, kind, standing, rated_load, own_mass, faces, clearance, inspection_due, remark
  from fixture
"""

_SOURCE = """
  select s.code, s.name, k.name, k.basis, s.document, s.edition, s.instrument, s.by_whom, s.day, s.review_by,
    s.remark, (select count(*) from statement t where t.source = s.id)
  from source s left join source_kind k on k.id = s.kind
"""


def _findings(connection: sqlite3.Connection, rest: str, *values: object) -> list[StoredFinding]:
    """The findings of which the question says which and how many."""
    rows = connection.execute(f"{_FINDING} {rest}", values)
    return [StoredFinding(*[*row[:-1], tuple(row[-1].split("\n")) if row[-1] else ()]) for row in rows]


def _one(connection: sqlite3.Connection, sql: str, what: str, code: str) -> tuple[Any, ...]:
    """The one row of a shop, a source and so on.

    Raises
    ------
    UnknownNameError
        There is none.
    """
    row: tuple[Any, ...] | None = connection.execute(sql, (code,)).fetchone()
    if row is None:
        raise UnknownNameError(f"there is no {what} {code!r}")
    return row


def findings_counted(connection: sqlite3.Connection) -> dict[str, int]:
    """How many findings of each verdict there are, the gravest first."""

    def count() -> dict[str, int]:
        rows = connection.execute("select verdict, count(*) from finding group by verdict order by min(id)")
        return dict(tuple(row) for row in rows)

    return _counts.get(connection.execute("select stamp from built").fetchone()[0], count)


def findings_for(
    connection: sqlite3.Connection, code: str | None = None, *, part: tuple[int, int] | None = None
) -> list[StoredFinding]:
    """What the checker said when the file was built, the gravest first; about one component or about all.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str, optional
    part : (int, int), optional
        Of all: how many to pass over, and how many to give.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    if code is None:
        over, most = part or (0, -1)
        return _findings(connection, "order by f.id limit ? offset ?", most, over)
    return _findings(connection, "where f.component = ? order by f.id", need_key(connection, code))


def disagreements(connection: sqlite3.Connection, most: int = 50) -> list[StoredFinding]:
    """The findings that say that two figures cannot both be true."""
    rest = "where f.verdict = 'disagrees' order by f.id limit ?"
    (stamp,) = connection.execute("select stamp from built").fetchone()
    return _disagree.get((stamp, most), lambda: _findings(connection, rest, most))


def fixtures_for(connection: sqlite3.Connection, code: str | None = None) -> list[FixtureFigure]:
    """The fixtures that a component needs, each with the act it is needed for; or all fixtures, by name.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    rows = connection.execute(f"{_FIXTURE} order by name, code").fetchall()
    if code is None:
        return [_fixture(connection, row) for row in rows]
    needed = connection.execute(
        "select fixture, group_concat(act, '; ') from (select fixture, act from fixture_need "
        "where component = ? order by fixture, position) group by fixture",
        (need_key(connection, code),),
    )
    acts = dict(tuple(row) for row in needed)
    return [_fixture(connection, row, acts[row[0]]) for row in rows if row[0] in acts]


def fixture(connection: sqlite3.Connection, code: str) -> FixtureFigure:
    """One fixture.

    Raises
    ------
    UnknownNameError
        There is no such fixture.
    """
    return _fixture(connection, _one(connection, f"{_FIXTURE} where code = ?", "fixture", code))


def _fixture(connection: sqlite3.Connection, row: Sequence[Any], for_: str = "") -> FixtureFigure:
    key, texts = row[0], [value or "" for value in row[1:]]
    needs = connection.execute(
        "select c.code, c.name, n.act from fixture_need n join component c on c.id = n.component "
        "where n.fixture = ? order by n.position",
        (key,),
    )
    shops_with = connection.execute(
        "select s.name from shop_fixture f join shop s on s.id = f.shop where f.fixture = ? order by s.name",
        (key,),
    )
    instead = connection.execute(
        "select i.what, coalesce(i.rated, ''), coalesce(s.code, ''), coalesce(s.name, ''), "
        "coalesce(i.outcome, '') from fixture_instead i left join shop s on s.id = i.shop "
        "where i.fixture = ? order by i.position",
        (key,),
    )
    told: list[Any] = [
        *texts,
        tuple(Need(*need) for need in needs),
        tuple(name for (name,) in shops_with),
        tuple(Instead(*used) for used in instead),
        for_,
    ]
    return FixtureFigure(*told)


_SHOP = "select id, code, name, place, first_unit, hand_limit, who_to_call, rules, remark from shop"


def shops(connection: sqlite3.Connection) -> list[ShopFigure]:
    """All shops, by id."""
    return [_shop(connection, row) for row in connection.execute(f"{_SHOP} order by code").fetchall()]


def shop(connection: sqlite3.Connection, code: str) -> ShopFigure:
    """One shop.

    Raises
    ------
    UnknownNameError
        There is no such shop.
    """
    return _shop(connection, _one(connection, f"{_SHOP} where code = ?", "shop", code))


def _shop(connection: sqlite3.Connection, row: Sequence[Any]) -> ShopFigure:
    key, code, name, place, first_unit, hand_limit, who, rules, remark = row
    movers = connection.execute(
        "select m.code, m.name, m.kind, coalesce(m.rated, ''), coalesce(m.rated_note, ''), "
        "coalesce(m.inspection_due, ''), coalesce(m.remark, '') from shop_mover s "
        "join mover m on m.id = s.mover where s.shop = ? order by s.position",
        (key,),
    )
    fixtures = connection.execute(
        "select f.code, f.name from shop_fixture s join fixture f on f.id = s.fixture where s.shop = ? "
        "order by s.position",
        (key,),
    )
    scales = connection.execute(
        "select f.code, f.name from shop_scale s join source f on f.id = s.source where s.shop = ? "
        "order by s.position",
        (key,),
    )
    return ShopFigure(
        code,
        name,
        place or "",
        first_unit,
        hand_limit or "",
        who or "",
        tuple((rules or "").split("\n")) if rules else (),
        remark or "",
        tuple(ListedMover(*mover) for mover in movers),
        tuple(Named(*named) for named in fixtures),
        tuple(Named(*named) for named in scales),
    )


def sources(connection: sqlite3.Connection) -> list[SourceFigure]:
    """All sources, by name, each with the number of figures that rest on it."""
    return [_source(row) for row in connection.execute(f"{_SOURCE} order by s.name, s.code").fetchall()]


def source(connection: sqlite3.Connection, code: str) -> SourceFigure:
    """One source, with every figure in force that rests on it: if it was off, all of these become doubtful.

    Raises
    ------
    UnknownNameError
        There is no such source.
    """
    row = _one(connection, f"{_SOURCE} where s.code = ?", "source", code)
    rests = connection.execute(
        "select c.code, c.name, t.printed from statement t join component c on c.id = t.component "
        "where t.source = (select id from source where code = ?) order by c.name, c.code, t.position",
        (code,),
    )
    return _source(row, tuple(RestsOnSource(*rest) for rest in rests))


def _source(row: Sequence[Any], rests: tuple[RestsOnSource, ...] = ()) -> SourceFigure:
    texts: list[Any] = [*(value or "" for value in row[:-1]), row[-1], rests]
    return SourceFigure(*texts)
