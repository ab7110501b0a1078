"""The short form of the attacks by table."""

from __future__ import annotations

import random

import pytest

from tests.attacks import bad
from tests.attacks.tables import run


@pytest.mark.slow
def test_nothing_falls_over_and_no_mass_comes_out_that_nobody_wrote() -> None:
    counts = run(random.Random(3), 300)

    assert bad(counts) == {}
    assert counts["taken"] > 100
