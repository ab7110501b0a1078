"""Units in hand are named by the pieces that are asked about, many at once as one by one, as the records have it."""

from __future__ import annotations

from pathlib import Path

from handling_db.database import queries
from handling_db.database.queries.jobs import jobs_among
from handling_db.records.collection import Collection
from handling_db.records.in_hand import open_jobs


def test_many_pieces_at_once_have_the_jobs_that_their_records_have(demo_db: Path, demo: Collection) -> None:
    connection = queries.open_database(demo_db)
    codes = tuple(demo.components)

    found = jobs_among(connection, codes)

    assert found
    for job, about in found:
        assert about == tuple(code for code in codes if job.id in {one.id for one in open_jobs(demo, code)})
    assert {job.id for job, _ in found} == {one.id for code in codes for one in open_jobs(demo, code)}
    assert jobs_among(connection, ()) == []
