"""Leg lengths for hanging level, and the centre from a tilt seen: by hand, and there and back again."""

from __future__ import annotations

import math

import pytest

from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.levelling.lengths import level_answer
from handling_db.lifting.levelling.seen_tilt import seen_tilt_answer
from handling_db.lifting.levelling.words import level_text, seen_tilt_text
from handling_db.quantities.amount import StaticsError
from tests.from_text import collection
from tests.lifting.hanging.test_hang import LEFT_RIGHT, hung_records, hung_text

CHAIN = "- {gear: sling, name: chain, kind: chain sling, legs: 2, length: 1500 mm, pitch: 24 mm, own mass: 9 kg}\n"
OFF = ((1000.0, 0.001, (100.0, 0.0, 0.0)),)  # one mass, 100 mm towards +x


def test_lengths_that_fit_are_those_to_a_hook_plumb_over_the_centre() -> None:
    """The leg that reaches least decides: 1.5 m to a point 0.6 m aside; the other is sqrt(h^2 + 0.4^2)."""
    found = level_answer(hung_records([(500, 0, 300), (-500, 0, 300)], (1500, 1500), OFF), "up")

    height = math.sqrt(1.5**2 - 0.6**2)
    assert found.hook_over_centre_m == pytest.approx(height + 0.3)
    assert [leg.fits_m for leg in found.legs] == pytest.approx([math.hypot(height, 0.4), 1.5])
    assert found.tilt == pytest.approx(0.0, abs=1e-6)
    assert [leg.links for leg in found.legs] == [None, None]


def test_a_hook_that_is_asked_for_lower_makes_both_legs_shorter() -> None:
    records = hung_records([(500, 0, 300), (-500, 0, 300)], (1500, 1500), OFF)

    found = level_answer(records, "up", hook_over_centre=1.3)

    assert [leg.fits_m for leg in found.legs] == pytest.approx([math.hypot(1.0, 0.4), math.hypot(1.0, 0.6)])
    assert "at most 1675 mm over the centre" in level_answer(records, "up", hook_over_centre=2.0).no_figures


def test_whole_links_leave_the_least_tilt_that_any_number_of_them_leaves() -> None:
    text = hung_text([(500, 0, 300), (-500, 0, 300)], (None, None), OFF, sling=CHAIN)

    found = level_answer(collection(text), "up")

    def tilt(first: float, second: float) -> float:
        """Of two legs, by hand: where the circles of the hook meet, seen from the centre."""
        x = (second**2 - first**2) / 2.0
        return abs(math.atan2(x - 0.1, 0.3 + math.sqrt(first**2 - (x - 0.5) ** 2)))

    every = {(a, b): tilt(1.5 - 0.024 * a, 1.5 - 0.024 * b) for a in range(12) for b in range(12)}
    first, second = (leg.links for leg in found.legs)
    assert found.tilt is not None
    assert first is not None
    assert second is not None
    assert math.radians(found.tilt) == pytest.approx(every[(first, second)], rel=1e-6)
    # Never worse than the best with the longer leg left alone, nor than one link more or less in one leg.
    near = [(first - 1, second), (first + 1, second), (first, second - 1), (first, second + 1)]
    others = [every[pair] for pair in near if pair in every] + [every[(a, 0)] for a in range(12)]
    assert math.radians(found.tilt) <= min(others) + 1e-9
    assert f"{first} links shorter" in level_text(found, "kg")
    assert "tilt that remains in whole links" in level_text(found, "kg")


def test_a_centre_outside_the_points_cannot_hang_level_and_says_so() -> None:
    outside = ((1000.0, 0.001, (0.0, -300.0, 0.0)),)
    picks = [(500.0, 0.0, 300.0), (-500.0, 0.0, 300.0), (0.0, 500.0, 300.0)]

    found = level_answer(hung_records(picks, (1500, 1500, 1500), outside), "up")

    assert found.tilt is not None
    assert found.tilt > 10.0
    assert "it cannot hang level from these points" in level_text(found, "kg")


@pytest.mark.slow
@pytest.mark.parametrize(("x", "y"), [(60.0, 0.0), (-35.0, 20.0), (10.0, -80.0)])
def test_the_centre_comes_back_from_the_tilt_that_it_makes(x: float, y: float) -> None:
    picks = [(500.0, 0.0, 300.0), (-300.0, 400.0, 300.0), (-300.0, -400.0, 320.0)]
    true = lift_answer(
        hung_records(picks, (1500, 1480, 1500), ((1000.0, 0.001, (x, y, 0.0)),)), "up", LiftQuestion()
    )
    assert true.legs is not None
    assert true.legs.rest is not None
    side = true.legs.rest.low_side
    assert side is not None

    # The records believe the centre in the middle; the side it hung low is told by the nearest axis only.
    axis = max((0, 1), key=lambda i: abs(side[i]))
    records = hung_records(picks, (1500, 1480, 1500))
    found = seen_tilt_answer(
        records, "up", f"{'+' if side[axis] > 0 else '-'}{'xy'[axis]}", tilt=math.radians(true.legs.rest.tilt)
    )

    assert found.at is not None
    assert found.at_low is not None
    assert found.at_high is not None
    # Along the named axis the error of the heading only counts by its cosine; the true centre is inside.
    turned = math.atan2(abs(side[1 - axis]), abs(side[axis]))
    if turned < math.radians(1.0):
        assert found.at[:2] == pytest.approx((x / 1000, y / 1000), abs=2e-3)
        assert found.at_low[0] <= x / 1000 <= found.at_high[0]


def test_a_tilt_that_the_records_cannot_make_names_what_would_explain_it() -> None:
    """Left 100, right 100, frame 50 kg: seen 6 degrees low on the right; the right piece is heavier."""
    text = hung_text([(-500, 0, 500), (500, 0, 500)], (1000, 1000), LEFT_RIGHT).replace(
        "plus or minus: 60 kg", "plus or minus: 1 kg"
    )
    records = collection(text)

    found = seen_tilt_answer(records, "up", "+x", tilt=math.radians(6.0))

    height = math.sqrt(1.0 - 0.25) + 0.5
    assert found.at is not None
    assert found.at[0] == pytest.approx(height * math.tan(math.radians(6.0)), abs=1e-6)
    assert found.fits is False
    right = next(one for one in found.explanations if one.name == "piece 1")
    # (100 + m) 400 - 100 x 400 over 250 + m is where the line is.
    at = found.at[0] * 1000
    assert right.mass_off_kg == pytest.approx(250 * at / (400 - at), rel=1e-6)
    assert not right.within_doubt
    words = seen_tilt_text(found, "kg")
    assert "one of these alone would explain it" in words
    assert "shorten the leg at pick 1 (pick-1)" in words


def test_a_tilt_inside_the_doubt_contradicts_nothing() -> None:
    records = hung_records([(-500, 0, 500), (500, 0, 500)], (1000, 1000), LEFT_RIGHT)

    found = seen_tilt_answer(records, "up", "pick-1", drop=0.04)

    assert found.seen == pytest.approx(math.degrees(math.asin(0.04)))
    assert found.fits is True
    assert "inside the doubt of both" in seen_tilt_text(found, "kg")


def test_a_side_that_is_none_is_refused_with_those_there_are() -> None:
    records = hung_records([(-500, 0, 500), (500, 0, 500)], (1000, 1000), LEFT_RIGHT)

    assert (
        "there are: +x, -x, +y, -y, pick-0, pick-1"
        in seen_tilt_answer(records, "up", "port", tilt=0.1).no_figures
    )
    with pytest.raises(StaticsError, match="say how far it tilted"):
        seen_tilt_answer(records, "up", "+x")


def test_of_four_legs_none_is_left_idle_for_a_tenth_of_a_degree() -> None:
    """Two legs alike on each side of the centre: brute force over all links finds none more even and as level."""
    picks = [(-600.0, -300.0, 50.0), (-600.0, 300.0, 50.0), (600.0, 300.0, 50.0), (600.0, -300.0, 50.0)]
    load = ((860.0, 0.001, (-20.0, 0.0, -225.0)),)

    found = level_answer(collection(hung_text(picks, (None,) * 4, load, sling=CHAIN)), "up")

    links = [leg.links for leg in found.legs]
    assert links[0] == links[1]
    assert links[2] == links[3]
    # Legs of two alike pairs hang in the plane between them: the tilt of two legs, by hand.
    low, high = (leg.length_m for leg in (found.legs[0], found.legs[2]))
    x = (low**2 - high**2) / (4 * 0.6)
    rise = math.sqrt(low**2 - 0.3**2 - (x + 0.6) ** 2)
    assert found.tilt is not None
    assert math.radians(found.tilt) == pytest.approx(abs(math.atan2(x + 0.02, rise + 0.05 + 0.225)), abs=1e-6)
    assert found.tilt < 1.0
    assert [leg.tension_kg for leg in found.legs] == [None] * 4
    assert "millimetres decide" in level_text(found, "kg")


def test_what_would_lie_outside_of_the_whole_explains_nothing() -> None:
    """A gram of grease would have to lie a kilometre away: only the two heavy pieces are named."""
    heavy = [(500.0, 1.0, (x, 0.0, -200.0)) for x in (-300.0, 300.0)]
    records = hung_records(
        [(500.0, 0.0, 300.0), (-300.0, 400.0, 300.0), (-300.0, -400.0, 320.0)],
        (1500, 1480, 1500),
        (*heavy, (0.1, 0.001, (0.0, 0.0, 0.0))),
    )

    found = seen_tilt_answer(records, "up", "+y", tilt=math.radians(6.0))

    assert found.fits is False
    assert found.explanations
    assert all(math.hypot(*one.place_off_m) < 0.7 for one in found.explanations if one.mass_off_kg is None)
