"""The short form of the attacks by sheet: eighty of all kinds of file."""

from __future__ import annotations

import importlib
import random

import pytest

from tests.attacks import bad
from tests.attacks.sheets import run

importlib.import_module("openpyxl")
importlib.import_module("python_calamine")


@pytest.mark.slow
def test_no_mass_is_taken_wrong_in_silence() -> None:
    """Of random sheets every mass that is taken is the true one, and of honest rows 95 in a hundred are taken."""
    counts = run(random.Random(14), 80)

    assert bad(counts) == {}
    assert counts["rows taken"] >= 0.95 * counts["rows"]
    assert counts["decimal sign asked for"] > 10
    assert counts["line masses under a bare heading"] > 1
