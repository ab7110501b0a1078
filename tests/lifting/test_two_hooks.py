"""Two hooks on a lift group of the demo: moments about the head pick, by hand."""

from __future__ import annotations

import math

import pytest

from handling_db.lifting.two_hooks import two_hook_answer
from handling_db.quantities.amount import StaticsError
from handling_db.records.collection import Collection
from tests.from_text import with_nothing_around
from tests.telling import words


@pytest.mark.slow
def test_shares_follow_the_moments_until_the_tail_is_slack(demo: Collection) -> None:
    """Along the line of the two picks the centre lies midway: tail = W (1/2 - (q/s) tan turned)."""
    found = two_hook_answer(demo, "upper-half-lift", "cover-ear-90", "cover-ear-210")
    assert found.lift.centre is not None
    assert found.turning is not None
    assert found.turning.high is not None
    places = dict(found.lift.picks_room)
    apart = math.dist(places["cover-ear-90"], places["cover-ear-210"])
    below = places["cover-ear-90"][2] - found.lift.centre.room[2]
    assert apart == pytest.approx(0.250 * math.sqrt(3), abs=1e-3)
    heaviest = found.turning.high
    for step in found.steps[:-1]:
        tail = heaviest * (0.5 - below / apart * math.tan(math.radians(step.turned)))
        # Never less than the heaviest load at its best centre; a little more at its worst.
        assert tail - 1e-3 <= step.tail_kg <= max(0.0, tail) + 1.0
        # Each hook by its own worst masses: together they may be a little over the heaviest load.
        assert heaviest <= step.head_kg + step.tail_kg + 1e-9 <= heaviest + 0.5
    assert found.tail_slack_at == pytest.approx(math.degrees(math.atan(0.5 * apart / below)), abs=0.2)
    assert found.steps[-1].head_kg == pytest.approx(heaviest)
    assert all(step.tail_kg >= 0 for step in found.steps)


def test_a_centre_beside_the_line_is_said(demo: Collection) -> None:
    found = two_hook_answer(demo, "upper-half-lift", "cover-ear-90", "cover-ear-210")
    assert any("125 mm beside the line of the two picks" in told for told in words(found.says))


def test_an_unknown_mass_refuses(demo: Collection) -> None:
    bare = with_nothing_around(demo, "auxiliary-drive")
    found = two_hook_answer(bare, "whole-unit-lift", "cover-ear-90", "cover-ear-210")
    assert found.steps == ()
    assert "Auxiliary drive" in found.no_figures


def test_a_pick_point_that_is_not_there(demo: Collection) -> None:
    with pytest.raises(
        StaticsError, match="no piece in this group has a pick point 'nope'; there are: cover-ear-90"
    ):
        two_hook_answer(demo, "upper-half-lift", "nope", "cover-ear-210")
