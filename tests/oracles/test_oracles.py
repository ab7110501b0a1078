"""The short run of every oracle; the long one is `python -m tests.oracles --hours 1`."""

from __future__ import annotations

import numpy as np
import pytest

from tests.oracles.__main__ import oracles


@pytest.mark.parametrize("name", list(oracles()))
def test_nothing_dangerous_and_no_crash_in_a_short_run(name: str) -> None:
    found = oracles()[name](np.random.default_rng(20260310), 1.0)
    assert found.cases > 0
    assert found.clean, "\n".join(found.examples)


def test_a_count_with_a_dangerous_case_is_not_clean() -> None:
    from tests.oracles.count import Count

    found = Count(cases=3)
    assert found.clean
    found.note("dangerous", "said 1, true 2")
    assert not found.clean
    assert found.examples == ["dangerous: said 1, true 2"]
