"""Words of a lift: a figure that says "up to" is never under what was worked out, in neither unit."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from handling_db.lifting.figures import LegFigure
from handling_db.lifting.said.words import tension_words

LB = 0.45359237


@given(st.floats(0.0, 20_000.0), st.sampled_from(["kg", "lb"]))
def test_a_pull_is_rounded_up_in_both_units(most: float, first: str) -> None:
    leg = LegFigure("eye", "eye", 1.0, 0.5, 0.4, 0.6, 60.0, most, most, slack=False, blocked="", links=())

    told = {
        unit: float(figure)
        for figure, unit in re.findall(r"([\d.]+) (kg|lb)", tension_words(leg, first=first))
    }

    assert set(told) == {"kg", "lb"}
    assert most - 1e-6 <= told["kg"] < most + 1.0
    assert most / LB - 1e-6 <= told["lb"] < most / LB + 1.0
