"""The short run of every oracle; the long one is `python -m tests.oracles --hours 1`."""

from __future__ import annotations

import numpy as np
import pytest

from tests.oracles.__main__ import oracles


@pytest.mark.slow
@pytest.mark.parametrize("name", list(oracles()))
def test_nothing_dangerous_and_no_crash_in_a_short_run(name: str) -> None:
    found = oracles()[name](np.random.default_rng(20260310), 0.3)
    assert found.cases > 0
    assert found.clean, "\n".join(found.examples)


def test_a_count_with_a_dangerous_case_is_not_clean() -> None:
    from tests.oracles.count import Count

    found = Count(cases=3)
    assert found.clean
    found.note("dangerous", "said 1, true 2")
    assert not found.clean
    assert found.examples == ["dangerous: said 1, true 2"]


def test_a_collection_without_evidence_still_refuses() -> None:
    """Nobody weighed a part and nothing around it: no upper figure for it, nor for what holds it."""
    from handling_db.lookup.weight import answer
    from tests.from_text import SCALE, collection

    text = SCALE + (
        "- {component: one, name: one, kind: part, masses: [{printed: 10 kg, step: 1 kg, source: book}]}\n"
        "- {component: two, name: two, kind: part}\n"
        "- {component: box, name: box, kind: assembly, parts listed: all, "
        "parts: [{component: one, quantity: 1}, {component: two, quantity: 1}]}\n"
    )
    for name in ("two", "box"):
        told = answer(collection(text), name).headline
        assert told.planning is None
        assert told.why_none
        assert not told.complete


def test_a_miss_inside_stated_limits_is_counted() -> None:
    """The counting itself: a figure whose error lies outside of its limits is found."""
    from tests.oracles.doubt_coverage import Drawn, Shares, units

    def wrong(_: np.random.Generator, kg: float, __: float) -> Drawn:
        return Drawn(f"printed: {kg + 1:.3f} kg, plus or minus: 0.5 kg, source: book", kg)

    found = Shares()
    assert units(np.random.default_rng(1), wrong, found)
    assert not any(found.single)
