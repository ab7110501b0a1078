"""ISO 22915-10 and ISO 22915-20 (offset loads), ISO 5053 / 1074 / 22915 (standard load centre distances).

Marks: the offset scopes were read [verified: scope texts]; of the distances the number of standard and
optional entries per row was read, their columns are our reading [verified in part: term entry].
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from handling_db.carrying.fork_entry import (
    OFFSET_LIMITS,
    STANDARD_LOAD_CENTRES,
    offset_limit,
)

DATA = Path(__file__).parents[2] / "data" / "reference" / "forklift.yml"

# rated capacity kg, offset above which it is substantial, mm
OFFSETS = [
    (1500, 100),
    (4999, 100),
    (5000, 150),
    (10000, 150),
    (10001, 250),
    (19999, 250),
    (20000, 350),
    (40000, 350),
]

# rated capacity kg, how many standard, how many optional (as read), and our reading of the columns in mm
DISTANCES = [
    (999, 1, 2, [400], [500, 600]),
    (1000, 1, 1, [500], [600]),
    (4999, 1, 1, [500], [600]),
    (5000, 1, 0, [600], []),
    (10000, 1, 0, [600], []),
    (10001, 3, 0, [600, 900, 1200], []),
    (20000, 2, 0, [900, 1200], []),
    (25000, 2, 0, [1200, 1500], []),
]


@pytest.mark.parametrize(("rated", "limit"), OFFSETS)
def test_substantial_offset(rated, limit):
    """Offset limits with their boundaries. [verified: scope texts]"""
    assert limit == pytest.approx(offset_limit(rated) * 1000)


def _rows(name):
    return yaml.safe_load(DATA.read_text())[name]["rows"]


def _end(row):
    if "below kg" in row:
        return row["below kg"], False
    return (row["to kg"], True) if "to kg" in row else (float("inf"), True)


def test_the_data_file_has_the_same_offsets():
    """What people read and what is calculated with are the same figures."""
    assert [(*_end(row), row["above"] / 1000) for row in _rows("substantial offset")] == list(OFFSET_LIMITS)


def test_the_data_file_has_the_same_distances():
    """What people read and what is calculated with are the same figures."""
    rows = [
        (*_end(row), *(tuple(mm / 1000 for mm in row[key]) for key in ("standard", "optional")))
        for row in _rows("standard load centres")
    ]

    assert rows == list(STANDARD_LOAD_CENTRES)


def test_fork_carriage_classes_as_read():
    """ISO 2328: pounds at 24 in and carriage height in inches. [verified: secondary]"""
    rows = [
        (row["class"], row.get("from lb"), row["to lb"], row["carriage height"])
        for row in _rows("fork carriage classes")
    ]

    assert rows == [
        ("I", None, 1999, 13),
        ("II", 2000, 5500, 16),
        ("III", 6000, 10000, 20),
        ("IV", 10000, 17500, 25),
        ("V", 17500, 24000, 28.67),
    ]
