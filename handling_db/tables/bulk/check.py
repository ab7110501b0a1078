"""Records and tables of any size under the checker's eyes."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from handling_db.checker import check, closing_words
from handling_db.findings import Finding
from handling_db.tables.bulk.looked_at import before_the_work, surely_large
from handling_db.tables.records import MAX_RECORDED_ROWS
from handling_db.tables.sources import BySize, read_by_size, split_paths, too_much_for_columns

if TYPE_CHECKING:
    from handling_db.tables.read import HowRead


def check_paths(
    paths: Sequence[Path],
    *,
    how: HowRead | None = None,
    as_of: datetime.date | None = None,
    most: int = MAX_RECORDED_ROWS,
    tell: Callable[[str], None] = lambda _: None,
) -> tuple[list[Finding], str]:
    """Every finding about records and tables, and what was compared and what was not.

    A table of more than `most` rows is added up by whole columns: its circles, its parts without a mass, its
    contradictions and its sums against stated wholes are looked at, as when a file is built from it. One of
    fewer rows that a build takes by whole columns all the same has every rule, and what the build refuses.

    Parameters
    ----------
    paths : sequence of Path
    how : HowRead, optional
    as_of : date, optional
        The day to judge by.
    most : int
    tell : function of a sentence
        Told before the work what will not be looked at.

    Returns
    -------
    (list of Finding, str)

    Raises
    ------
    HandlingError
        A path does not exist or is of no kind that can be read.
    """
    records, tables = split_paths(paths)
    told = {str(table) for table in tables if surely_large(table, most)}
    for name in sorted(told):
        tell(before_the_work(name, most))
    found = read_by_size(records, tables, how=how, most=most)
    for table in found.large:  # a sheet, or a table whose lines did not tell
        if not any(table.file.startswith(name) for name in told):
            tell(before_the_work(table.file, most))
    refused = _refused_by_a_build(found)
    if not found.large:
        findings = [*found.findings, *refused, *check(found.collection, as_of=as_of, unread=found.unread)]
        return findings, closing_words(found.collection, findings)
    from handling_db.tables.bulk.totals import add_up_large, check_around

    large = add_up_large(found.large, found.collection, _silent)
    if isinstance(large, list):
        words = "Nothing was compared in the large tables: correct what stands above first."
        around = check(found.collection, as_of=as_of, unread=found.unread)
        return [*found.findings, *refused, *large, *around], words
    around_it, closing = check_around(large, found.collection, as_of=as_of)
    return [*found.findings, *refused, *large.findings, *around_it], f"{large.closing} {closing}".strip()


def _refused_by_a_build(found: BySize) -> list[Finding]:
    """What a build refuses of tables that became records here and are columns to a build."""
    from handling_db.tables.bulk.totals import clashes

    refused = [finding for table in found.by_columns for finding in too_much_for_columns(table)]
    if found.by_columns:
        refused += clashes(found.by_columns, found.beside)
    return refused


def _silent(_what: str, _done: int, _of: int) -> None:
    pass
