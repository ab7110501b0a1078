"""The demo as records of a shop."""

from __future__ import annotations

import pytest

import handling_db as hd


@pytest.fixture(scope="session")
def demo(demo_records: hd.Records) -> hd.Records:
    return demo_records
