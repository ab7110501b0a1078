"""The sketch of a lift shows it as it comes to rest: the centre plumb under the hook."""

from __future__ import annotations

import re

import pytest

from handling_db.web.drawings.lift import attitude_sketch
from tests.lifting.hanging.test_hang import Spot, hung


@pytest.mark.parametrize(
    ("picks", "lengths", "words"),
    [
        ([(150, 0, 500), (-150, 0, 500)], (1500, 1550), "as it comes to rest, tilted by 7.3°"),
        ([(300, 0, -10), (-300, 0, -10)], (1200, 1200), "as it comes to rest, tilted by 180.0°"),
        ([(300, 0, 400), (-300, 0, 400)], (1200, 1200), "z up"),
    ],
)
def test_the_centre_is_plumb_under_the_hook(picks: list[Spot], lengths: list[float], words: str) -> None:
    drawn = str(attitude_sketch(hung(picks, lengths)))

    side = drawn.split("</svg>")[0]
    assert words in side
    hook = re.search(r'class="hook" d="M([\d.]+) ([\d.]+)', side)
    centre = re.search(r'<circle class="centre" cx="([\d.]+)" cy="([\d.]+)"', side)
    assert hook is not None
    assert centre is not None
    assert float(centre[1]) == pytest.approx(float(hook[1]) + 7, abs=0.2)
    assert float(centre[2]) > float(hook[2])
