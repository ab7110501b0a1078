"""Estimates of an unknown member: what is given, what is widened, what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.balance.fitting import REACH, FittingError, fit

DISCS = [(6, 38.6), (8, 41.7), (10, 44.7), (12, 47.8)]
# Gear cases of one family by centre distance in mm, invented, near a power of 2.5.
CASES = [(160, 24.0), (200, 43.0), (250, 73.0), (315, 133.0), (400, 236.0)]


def test_straight_line_by_hand():
    """Slope and intercept by the sums: Sxx = 20, Sxy = 30.6, mean 43.2 at 9."""
    line = fit(DISCS, "straight line")

    assert line.b == pytest.approx(30.6 / 20)
    assert line.a == pytest.approx(43.2 - 9 * 1.53)
    residuals = [mass - line.a - line.b * x for x, mass in DISCS]
    assert line.scatter == pytest.approx(math.sqrt(sum(r * r for r in residuals) / 2))


def test_range_by_hand():
    """t for 95 % and 2 degrees of freedom is 4.30265; in the middle the range is t s sqrt(1 + 1/4)."""
    line = fit(DISCS, "straight line")
    middle = line.estimate(9)

    assert middle.best == pytest.approx(43.2)
    assert middle.high - middle.best == pytest.approx(4.302653 * line.scatter * math.sqrt(1.25), rel=1e-6)
    assert not middle.widened
    assert middle.remarks == ("straight line through 4 known members; their own doubt is not in it",)


def test_power_law_range_encloses_a_left_out_member():
    for i, (x, mass) in enumerate(CASES):
        if 0 < i < len(CASES) - 1:
            others = CASES[:i] + CASES[i + 1 :]
            guess = fit(others).estimate(x)
            assert guess.low < mass < guess.high


def test_outside_the_known_members_the_range_is_doubled_and_said():
    law = fit(CASES)
    inside, outside = law.estimate(400), law.estimate(440)

    assert outside.widened
    assert "440 lies outside the known members, 160 to 400: range doubled" in outside.remarks
    assert math.log(outside.high / outside.best) > 2 * math.log(inside.high / inside.best)


@pytest.mark.parametrize("x", [520, 120])
def test_far_outside_is_refused(x):
    with pytest.raises(
        FittingError, match=f"{x} is too far outside the known members, 160 to 400; weigh one"
    ):
        fit(CASES).estimate(x)


def test_reach_is_a_quarter_of_the_known_range():
    line = fit(DISCS, "straight line")

    assert line.estimate(12 + REACH * 6).widened
    with pytest.raises(FittingError, match="too far outside"):
        line.estimate(12 + REACH * 6 + 0.01)


@pytest.mark.parametrize(
    ("known", "law", "words"),
    [
        (DISCS[:3], "straight line", "3 known members are too few; an estimate needs at least 4"),
        ([], "power law", "0 known members are too few"),
        ([(8, 40.0), (8, 41.0), (10, 44.0), (10, 44.5)], "straight line", "fewer than three different sizes"),
        ([*DISCS, (14, 0.0)], "straight line", "a known member at 14 weighs 0 kg; masses must be above zero"),
        ([*DISCS, (14, math.nan)], "straight line", "masses must be above zero"),
        ([*DISCS, (0, 30.0)], "power law", "one known member is at 0"),
        (DISCS, "parabola", "'parabola' is not a law here; write 'power law' or 'straight line'"),
        ([(1, 1), (1 + 1e-15, 2), (1 + 2e-15, 3), (1, 4)], "straight line", "all but of one size"),
    ],
)
def test_refused(known, law, words):
    with pytest.raises(FittingError) as caught:
        fit(known, law)

    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("x", "words"), [(math.nan, "nan is not a figure"), (0, "a figure above zero, not 0")]
)
def test_refused_places(x, words):
    with pytest.raises(FittingError, match=words):
        fit(CASES).estimate(x)


def test_a_line_that_falls_through_zero_is_refused():
    falling = fit([(1, 30.0), (2, 20.2), (3, 9.9), (3.2, 8.0)], "straight line")

    assert falling.estimate(3.3).best > 0
    steep = fit([(1, 30.0), (2, 20.2), (3, 9.9), (3.9, 1.0)], "straight line")
    with pytest.raises(FittingError, match=r"the line gives -?[\d.]+ kg at 4.5, which no part weighs"):
        steep.estimate(4.5)


def test_a_range_is_never_below_nothing():
    wild = fit([(1, 30.0), (2, 5.0), (3, 40.0), (4, 12.0)], "straight line").estimate(2.5)

    assert wild.low == 0
    assert "the range reaches down to nothing" in wild.remarks[-1]


def test_exact_members_are_remarked():
    exact = fit([(1, 2.0), (2, 4.0), (3, 6.0), (4, 8.0)], "straight line").estimate(2.5)

    assert exact.low == exact.best == exact.high == 5.0
    assert "which real weighings never do" in exact.remarks[-1]


def test_hopeless_scatter_is_refused():
    with pytest.raises(FittingError, match="scatter so much that they say nothing"):
        fit([(1, 1e-9), (2, 1e9), (3, 1e-9), (4, 1e9)]).estimate(2.5)


@given(
    st.floats(-2, 4),
    st.floats(-3, 4),
    st.lists(st.floats(0.1, 1000), min_size=4, max_size=12, unique=True).filter(
        lambda xs: max(xs) / min(xs) > 1.01 and len({round(math.log(x), 6) for x in xs}) > 2
    ),
)
def test_a_true_power_law_is_found_again(a, b, xs):
    law = fit([(x, math.exp(a) * x**b) for x in xs])
    middle = math.sqrt(min(xs) * max(xs))

    assert law.b == pytest.approx(b, abs=1e-5)
    assert law.estimate(middle).best == pytest.approx(math.exp(a) * middle**b, rel=1e-6)
