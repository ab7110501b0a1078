"""Records and tables as one collection: what several say is joined or refused, never lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handling_db.findings import Finding, fault
from handling_db.records.collection import Collection, Lines, collect
from handling_db.records.kinds.component import Component


def join_tables(records: Collection, tables: Sequence[Collection]) -> tuple[Collection, tuple[Finding, ...]]:
    """Put the components of tables beside those of records.

    A table that only mentions a component, such as a part that another table weighs, adds nothing to it. Two
    tables that weigh the same part both have their say. Two lists of parts for one assembly, or rows in a
    table for a component that stands in a record, are faults: one of them would be lost.

    Parameters
    ----------
    records : Collection
    tables : sequence of Collection
        What each table gave.

    Returns
    -------
    (Collection, tuple of Finding)
    """
    components = dict(records.components)
    lines = dict(records.lines)
    faults: list[Finding] = []
    for table in tables:
        for code, more in table.components.items():
            key = ("component", code)
            one = components.get(code)
            if one is None or (_bare(one) and code not in records.components):
                components[code] = more if one is None else _named(more, one)
                lines[key] = table.lines[key]
            elif not _bare(more):
                if code in records.components or (one.parts and more.parts):
                    faults.append(_twice(code, more, table, lines.get(key)))
                else:
                    components[code], lines[key] = _both(one, more, lines[key], table.lines[key])
    others = [
        (kind, record)
        for collection in (records, *tables)
        for kind, record in collection.records()
        if kind != "component"
    ]
    for table in tables:
        lines |= {key: at for key, at in table.lines.items() if key not in lines}
    return collect([*(("component", c) for c in components.values()), *others], lines), tuple(faults)


def _bare(component: Component) -> bool:
    """Whether a table only mentions it."""
    return not (component.parts or component.masses or component.centre)


def _named(component: Component, other: Component) -> Component:
    """A component with a name of its own, from whichever table gives one."""
    if component.name == component.id and other.name != other.id:
        return component.model_copy(update={"name": other.name})
    return component


def _both(one: Component, more: Component, at: Lines, more_at: Lines) -> tuple[Component, Lines]:
    """The figures of both, and the parts and the centre of whichever has them."""
    known = {statement.key(one.id) for statement in one.masses}
    new = [(i, statement) for i, statement in enumerate(more.masses) if statement.key(more.id) not in known]
    first, second = (one, more) if one.parts or not more.parts else (more, one)
    joined = first.model_copy(
        update={
            "masses": (*one.masses, *(statement for _, statement in new)),
            "centre": one.centre if one.centre is not None else more.centre,
        }
    )
    # A record stands in one file: the lines of the table with the parts, or of the first, are kept.
    return _named(joined, second), at if first is one else replace(more_at)


def _twice(code: str, more: Component, table: Collection, first: Lines | None) -> Finding:
    where = f" ({first.place()})" if first else ""
    what = "its parts" if more.parts else "what it weighs" if more.masses else "its centre"
    return fault(
        table.place("component", code),
        "child" if not more.parts else "parent",
        f"{code!r} stands elsewhere already{where}, and this table says {what} as well;",
        "write it in one place, or give one of the two another id.",
        rule="duplicate-id",
        about=code,
    )
