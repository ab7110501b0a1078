"""The record of a choice: settled with a statement, or open with an owner and a date."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from handling_db.records.kinds.choice import Choice

SETTLED = {
    "choice": "brake-counts",
    "component": "differential-section",
    "statement": "weighed-2026",
    "state": "dry",
    "by": "foreman",
    "on": "2026-10-01",
    "reason": "The handbook leaves the brake out; the foreman looked.",
}
OPEN = {
    "choice": "brake-open",
    "component": "differential-section",
    "by": "data keeper",
    "on": "2026-09-20",
    "owner": "foreman",
    "settle by": "2026-10-20",
    "reason": "Nobody knows what the handbook counts.",
}


def test_settled_and_open():
    assert Choice.model_validate(SETTLED).settled
    assert not Choice.model_validate(OPEN).settled
    assert Choice.model_validate(OPEN).id == "brake-open"


@pytest.mark.parametrize("given", [SETTLED, OPEN], ids=["settled", "open"])
def test_it_is_written_as_it_was_read(given):
    record = Choice.model_validate(given)

    assert Choice.model_validate(record.as_written()) == record


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"owner": None}, "leave it open with 'owner' (whose role) and 'settle by' (a date)"),
        ({"settle by": None}, "leave it open with 'owner'"),
        ({"settle by": "2026-09-01"}, "'settle by' 2026-09-01 is before 'on' 2026-09-20"),
        ({"statement": "x"}, "'owner' and 'settle by' go with an open conflict"),
        ({"reason": None}, "Input should be a valid string"),
        ({"because": "x"}, "Extra inputs are not permitted"),
    ],
)
def test_refusals(change, message):
    with pytest.raises(ValidationError) as caught:
        Choice.model_validate({**OPEN, **change})
    assert message in str(caught.value)
