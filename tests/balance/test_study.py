"""The study of planted faults runs, is the same for the same seed, and stands in docs as it is run."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.benchmarks import study

PAGE = Path(__file__).parents[2] / "docs" / "study.md"


@pytest.mark.slow
def test_the_same_seed_gives_the_same_table():
    assert study.study(1, 5) == study.study(1, 5)
    assert study.study(1, 5) != study.study(1, 6)


def test_the_page_shows_every_kind_of_fault_with_seed_and_significance():
    page = PAGE.read_text(encoding="utf-8")

    assert study.HEAD in page
    assert f"Seed {study.SEED}, {study.TREES} assemblies a fault, significance 0.05." in page
    for name in study.FAULTS:
        assert f"| {name} | {study.TREES} |" in page


def test_a_large_fault_is_listed():
    """The whole in pounds is seen in every assembly, and listed unless an ordinary error hides it."""
    rnd = random.Random(3)
    row = study.Row()
    for _ in range(10):
        unit = study.sound(rnd)
        study.look(row, unit, study.whole_in_pounds(rnd, unit))

    assert row.apart == row.flagged == row.named == 10
    assert row.listed >= 8
