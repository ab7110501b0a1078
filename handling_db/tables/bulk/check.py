"""Records and tables of any size under the checker's eyes."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from handling_db.checker import check, closing_words
from handling_db.findings import Finding
from handling_db.tables.records import MAX_RECORDED_ROWS
from handling_db.tables.sources import read_by_size, split_paths

if TYPE_CHECKING:
    from handling_db.tables.read import HowRead


def check_paths(
    paths: Sequence[Path],
    *,
    how: HowRead | None = None,
    as_of: datetime.date | None = None,
    most: int = MAX_RECORDED_ROWS,
) -> tuple[list[Finding], str]:
    """Every finding about records and tables, and what was compared and what was not.

    A table of more than `most` rows is added up by whole columns: its circles, its parts without a mass, its
    contradictions and its sums against stated wholes are looked at, as when a file is built from it.

    Parameters
    ----------
    paths : sequence of Path
    how : HowRead, optional
    as_of : date, optional
        The day to judge by.
    most : int

    Returns
    -------
    (list of Finding, str)

    Raises
    ------
    HandlingError
        A path does not exist or is of no kind that can be read.
    """
    records, tables = split_paths(paths)
    found = read_by_size(records, tables, how=how, most=most)
    if not found.large:
        findings = [*found.findings, *check(found.collection, as_of=as_of, unread=found.unread)]
        return findings, closing_words(found.collection, findings)
    from handling_db.tables.bulk.totals import add_up_large, check_around

    large = add_up_large(found.large, found.collection, _silent)
    if isinstance(large, list):
        told = "Nothing was compared in the large tables: correct what stands above first."
        around = check(found.collection, as_of=as_of, unread=found.unread)
        return [*found.findings, *large, *around], told
    around_it, closing = check_around(large, found.collection, as_of=as_of)
    return [*found.findings, *large.findings, *around_it], f"{large.closing} {closing}".strip()


def _silent(_what: str, _done: int, _of: int) -> None:
    pass
