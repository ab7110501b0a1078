"""A lift whose leg lengths nobody recorded has a largest pull all the same: no leg flatter than 30 degrees.

Closed forms: two plumb planes, sines of the angles; equal legs put the hook on the bisector of the points.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LegsFigure
from handling_db.lifting.levelling.lengths import level_answer
from handling_db.quantities.notice import Notice
from tests.from_text import collection
from tests.lifting.hanging.test_hang import hung_text
from tests.telling import told


def legs_of(picks, lengths, pieces=((1000.0, 0.001, (0.0, 0.0, 0.0)),)) -> LegsFigure:
    answer = lift_answer(collection(hung_text(picks, lengths, pieces)), "up", LiftQuestion())
    assert answer.legs is not None, answer.no_legs
    return answer.legs


def pulls_over(picks, hook):
    """Pulls over weight of two legs in the plane y = 0 with the hook plumb over the centre at the origin."""
    ways = np.array([[hook[0] - x, hook[1] - z] for x, _, z in picks])
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    return np.linalg.solve(ways.T, [0.0, 1.0])


def test_two_even_legs_carry_all_of_it_each_at_thirty_degrees() -> None:
    legs = legs_of([(400, 0, 300), (-400, 0, 300)], [None, None])
    flattest = 400 / math.cos(math.radians(30))
    for leg in legs.legs:
        assert leg.taken
        assert leg.length_m * 1000 == pytest.approx(flattest, rel=1e-3)
        # 500 / sin 30, and what 5 mm of doubt in a length of 462 mm add.
        assert 1000 <= leg.tension_high_kg <= 1000 * 1.06
    assert not legs.lengths_known
    assert "equal legs" in [one.kind for one in legs.notices]
    assert "flat leg" not in [one.kind for one in legs.notices]


@pytest.mark.parametrize(
    "picks",
    [
        [(500, 0, 300), (-200, 0, 300)],
        [(500, 0, 200), (-300, 0, 500)],
        [(150, 0, 500), (-450, 0, 400)],
    ],
)
def test_no_level_pose_with_steeper_legs_pulls_harder(picks) -> None:
    legs = legs_of(picks, [None, None])
    most = np.array([leg.tension_high_kg for leg in legs.legs])
    tried = 0
    for height in np.geomspace(1.0, 50_000.0, 4000):
        slopes = [(height - z) / max(abs(x), 1e-9) for x, _, z in picks]
        if min(slopes) < math.tan(math.radians(30)) or height <= max(z for *_, z in picks):
            continue
        tried += 1
        assert (1000 * pulls_over(picks, (0.0, height)) <= most * (1 + 1e-3)).all()
    assert tried > 100


def test_with_one_length_recorded_the_other_fits_or_is_as_long() -> None:
    """The recorded leg of 1500 mm; level asks 1537.8 mm of the other, and equal ones share otherwise."""
    picks = [(100, 0, 600), (-350, 0, 600)]
    legs = legs_of(picks, [1500, None])
    alike = legs_of(picks, [1500, 1500])
    height = 600 + math.sqrt(1500**2 - 100**2)
    level = pulls_over(picks, (0.0, height)) * 1000
    for leg, one, two in zip(legs.legs, alike.legs, level, strict=True):
        assert leg.tension_high_kg >= max(one.tension_high_kg, two) * (1 - 1e-6)
    assert legs.legs[1].taken
    assert not legs.legs[0].taken
    assert "leg lengths fitted" in [one.kind for one in legs.notices]


def test_one_leg_carries_everything_however_long() -> None:
    legs = legs_of([(0, 0, 300)], [None])
    assert legs.legs[0].tension_high_kg == pytest.approx(1000, abs=0.1)
    assert [one.kind for one in legs.notices] == []


def test_headroom_and_breaking_loose_are_not_known_without_the_lengths() -> None:
    text = hung_text([(400, 0, 300), (-400, 0, 300)], [None, None])
    answer = lift_answer(collection(text), "up", LiftQuestion())
    assert answer.headroom.left_m is None
    assert answer.breaking.no_figures == Notice("hook without leg lengths")
    assert any(text.startswith("No leg length is recorded") for text in told(answer))


def test_level_asks_for_lengths_where_none_is_recorded_and_a_hook_height_is_wanted() -> None:
    found = level_answer(
        collection(hung_text([(400, 0, 300), (-200, 0, 300)], [None, None])), "up", LiftQuestion(), 1.3
    )
    assert [leg.length_m for leg in found.legs] == pytest.approx([math.hypot(0.4, 1.0), math.hypot(0.2, 1.0)])
    assert found.tilt == pytest.approx(0.0, abs=1e-6)
