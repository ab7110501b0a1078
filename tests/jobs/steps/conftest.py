"""The demo's planned job, worked out once for every test here."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

import handling_db as hd

ROOT = Path(__file__).parents[3]
DEMO = ROOT / "data" / "demo"
MISTAKES = Path(__file__).parent / "mistakes.yml"
DAY = datetime.date(2026, 11, 30)


@pytest.fixture(scope="session")
def rules():
    return hd.rules()


@pytest.fixture(scope="session")
def taken_apart(demo, rules):
    return hd.steps(demo, "transfer-box-apart", as_of=DAY, rules=rules)


@pytest.fixture(scope="session")
def with_mistakes(rules):
    return hd.steps(hd.read([DEMO, MISTAKES]), "transfer-box-mistakes", as_of=DAY, rules=rules)
