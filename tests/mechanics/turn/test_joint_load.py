from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.turn.joint_turn import bolt_shares
from handling_db.quantities.amount import StaticsError


@given(st.lists(st.floats(0.01, 0.6), min_size=1, max_size=8), st.floats(0, 5000), st.floats(0, 9000))
def test_bolt_pulls_make_up_the_moment_and_shears_the_shear(levers, moment, shear):
    shares = bolt_shares({str(i): d for i, d in enumerate(levers)}, moment, shear)

    made = math.fsum(share.pull_n * d for share, d in zip(shares, levers, strict=True))
    assert made == pytest.approx(moment, abs=1e-6)
    assert math.fsum(share.shear_n for share in shares) == pytest.approx(shear, abs=1e-6)


def test_an_axial_pull_is_spread_and_a_push_is_no_help():
    pulled = bolt_shares({"a": 0.1, "b": 0.1}, 0.0, 0.0, axial_n=100.0)
    pushed = bolt_shares({"a": 0.1, "b": 0.1}, 0.0, 0.0, axial_n=-100.0)

    assert [share.pull_n for share in pulled] == [50.0, 50.0]
    assert [share.pull_n for share in pushed] == [0.0, 0.0]


@pytest.mark.parametrize(
    ("bolts", "moment", "says"),
    [
        ({}, 1.0, "no bolts are listed at the joint: what holds it is not known"),
        ({"a": -0.1}, 1.0, "every bolt must lie on the opening side of the edge"),
        ({"a": 0.1}, -1.0, "this moment closes the joint at that side: take the opposite edge"),
    ],
)
def test_bolts_that_cannot_be(bolts, moment, says):
    with pytest.raises(StaticsError, match=says):
        bolt_shares(bolts, moment, 0.0)
