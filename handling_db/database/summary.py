"""What a file says of the whole of its records: how much there is, of which day."""

from __future__ import annotations

from collections.abc import Mapping

from handling_db import __version__
from handling_db.database.rows import RowsByTable
from handling_db.records.collection import Collection


def built_row(
    rows: RowsByTable,
    stamp: str,
    day: str | None,
    first_unit: str,
    counts: Mapping[str, int],
    closing: str,
    *,
    demo: bool,
) -> None:
    """Gather the one row that says what the file was built from."""
    words = "; ".join(f"{number:,} {noun}" for noun, number in counts.items() if number)
    rows.add("built", 1, stamp, __version__, day, first_unit, demo, words, closing)


def first_unit(collection: Collection) -> str:
    """kg or lb: what the first shop reads first."""
    return next((shop.first_unit for _, shop in sorted(collection.shops.items())), "kg")


def data_date(collection: Collection) -> str | None:
    """The latest date that anything was said, seen or weighed on; None where no record has one."""
    days = [getattr(record, "on", None) for _, record in collection.records()]
    for component in collection.components.values():
        days += [statement.on for statement in component.masses]
    return max((day.isoformat() for day in days if day is not None), default=None)


def count_records(collection: Collection) -> dict[str, int]:
    """How much there is of everything, by noun."""
    components = collection.components.values()
    return {
        "components": len(collection.components),
        "part lines": sum(len(component.parts) for component in components),
        "mass statements": sum(len(component.masses) for component in components),
        "weighings": len(collection.weighings),
        "sources": len(collection.sources),
        "notes": len(collection.notes),
        "fixtures": len(collection.fixtures),
        "shops": len(collection.shops),
    }
