"""The worst over a body of doubt: no choice inside it is worse, and small bodies are worst where hands say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.mechanics.body import Body
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.hang.hang_doubt import Hang, _Search, hang_doubt
from handling_db.mechanics.hang.hanging import settle
from handling_db.quantities.amount import Amount, UnknownMassError

UP = np.array([0.0, 0.0, 1.0])
TRIANGLE = np.array([(-0.3, -0.3, 0.4), (0.3, -0.3, 0.4), (0.0, 0.4, 0.4)])
LENGTHS = np.array([1.0, 1.0, 1.01])
SPREAD = np.array([0.005, 0.005, 0.01])
BODY = Body.of(
    [(90, 100, 110), (40, 50, 70), (19, 20, 21)],
    [(-0.2, 0.0, 0.0), (0.2, 0.1, 0.1), (0.0, -0.1, 0.0)],
    [(0.01, 0.0, 0.0), (0.0, 0.02, 0.01), (0.0, 0.0, 0.0)],
)
WORST = hang_doubt(Hang(TRIANGLE, LENGTHS, SPREAD, BODY, UP))

part = st.floats(0, 1)
side = st.floats(-1, 1)


@pytest.mark.slow
@settings(max_examples=60)
@given(st.tuples(part, part, part), st.tuples(side, side, side), st.tuples(side, side, side))
def test_no_choice_inside_the_body_is_worse(masses, push, stretch):
    total, centre = BODY.load(np.array([masses]), np.array([push]))
    reach = LENGTHS + np.array(stretch) * SPREAD
    names = ("a", "b", "c")

    rest = settle(
        dict(zip(names, map(tuple, TRIANGLE.tolist()), strict=True)),
        dict(zip(names, reach.tolist(), strict=True)),
        tuple(centre[0].tolist()),
    )

    for i, leg in enumerate(rest.legs):
        assert leg.pull_high * total[0] <= WORST.tension_kg[i] * (1 + 1e-6)
        assert leg.share_high <= WORST.share_high[i] + 1e-6
        assert leg.share_low >= WORST.share_low[i] - 1e-6
    assert rest.tilt <= WORST.tilt + 1e-9


def test_one_leg_takes_the_heaviest_load_whatever_its_centre():
    body = Body.of([(90, 100, 110), (5, 10, 30)], [(0.0, 0.0, 0.0), (0.3, 0.0, -0.2)])

    worst = hang_doubt(Hang(np.array([(0.0, 0.0, 0.5)]), np.array([1.0]), np.array([0.01]), body, UP))

    assert worst.tension_kg == pytest.approx([140.0])
    # Farthest aside: 30 of 120 kg, 75 mm over and 50 mm down of the first piece.
    assert worst.tilt == pytest.approx(math.atan2(0.075, 0.55))


def test_legs_that_meet_in_no_choice_are_refused_and_in_some_are_said():
    body = Body.of([(100, 100, 100)], [(0.0, 0.0, 0.0)])
    points = np.array([(-0.5, 0.0, 0.3), (0.5, 0.0, 0.3)])

    with pytest.raises(ValueError, match="in no choice can the legs meet"):
        hang_doubt(Hang(points, np.array([0.4, 0.4]), np.array([0.01, 0.01]), body, UP))
    just = hang_doubt(Hang(points, np.array([0.502, 0.502]), np.array([0.01, 0.01]), body, UP))
    assert just.may_not_meet


def test_many_pieces_are_as_bad_as_the_corner_that_hands_find():
    """Thirty pieces along a line between two points: all on the right half heavy, all on the left light."""
    x = np.linspace(-0.4, 0.4, 30)
    body = Body.of([(8, 10, 12)] * 30, [(float(at), 0.0, 0.0) for at in x])
    points = np.array([(-0.5, 0.0, 20.0), (0.5, 0.0, 20.0)])
    hang = Hang(points, np.array([1.0, 1.0]), np.zeros(2), body, UP)

    worst = hang_doubt(hang)

    # So far under its points it hangs as it lies: shares go by moments, pulls by the sine of 60 degrees.
    heavy = np.where(x + 0.5 > 0.0, 12.0, 8.0) @ (x + 0.5)
    assert worst.tension_kg[1] == pytest.approx(heavy / math.sin(math.radians(60)), rel=5e-3)


def test_a_body_of_pieces_takes_a_box_as_the_doubt_of_a_place():
    turned = ((0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    pieces = [
        Weighted("a", Amount(9.0, 10.0, 11.0), (1.0, 2.0, 3.0)),
        Weighted("b", Amount.exact(1.0), None, ((0.0, 0.0, 0.0), (2.0, 4.0, 6.0))),
    ]

    body = Body.of_pieces(pieces, turned)

    assert body.at.tolist() == [[-2.0, 1.0, 3.0], [-2.0, 1.0, 3.0]]
    assert body.half.tolist() == [[0.0, 0.0, 0.0], [2.0, 1.0, 3.0]]
    assert body.moment(np.array([1.0, 0.0, 0.0])) == pytest.approx((-22.0 - 4.0, -18.0 - 0.0))
    with pytest.raises(UnknownMassError, match="no mass for c"):
        Body.of_pieces([Weighted("c", None, (0.0, 0.0, 0.0))])


def test_the_worst_of_masses_places_and_lengths_changed_together_is_found() -> None:
    """Seen by the oracle: from the best corner at the recorded lengths no single change is worse."""
    points = np.array(
        [
            [0.34877391531666724, 0.09254400237640828, 0.3301874679836919],
            [0.11992130338885407, 0.34033295076245684, 0.4110824323780623],
            [-0.35997422552497815, 0.025023855395494347, 0.5735709014605088],
            [0.04662188662697248, -0.35781844009008834, 0.38067407331500563],
        ]
    )
    mass = np.array([189.06497210917234, 125.26864372227163, 281.2073849008161])
    off = np.array([94.53248605458617, 12.526864372227164, 0.0])
    at = np.array(
        [
            [0.024564573554406752, 0.016970100026951974, -0.1396460339000056],
            [-0.17460807109429774, 0.003955160172455932, 0.14064990975749533],
            [-0.051062562998359956, 0.12346099174173661, 0.17018006260792104],
        ]
    )
    half = np.array([[0.005, 0.02, 0.02], [0.0, 0.005, 0.005], [0.005, 0.005, 0.02]])
    reach = np.array([1.1685555825017242, 1.0768405876117875, 0.9092769289506402, 1.133734478108848])
    body = Body(mass - off, mass, mass + off, at, half)

    found = hang_doubt(Hang(points, reach, np.full(4, 0.003), body, np.array([0.0, 0.0, 1.0])))

    # By sinking the load (scipy) and non-negative least squares at every corner.
    assert found.tension_kg[2] == pytest.approx(375.4535, abs=1e-3)


def _drawn(rng: np.random.Generator, legs: int) -> Hang:
    turn = np.arange(legs) * 2.0 * np.pi / legs + rng.normal(size=legs) * 0.2
    points = np.column_stack([0.5 * np.cos(turn), 0.5 * np.sin(turn), 0.4 + 0.05 * rng.normal(size=legs)])
    mass = rng.uniform(10.0, 300.0, 4)
    off = mass * rng.choice([0.0, 0.02, 0.1, 0.5], 4)
    at = rng.uniform(-0.3, 0.3, (4, 3)) * [1.0, 1.0, 0.4]
    half = rng.choice([0.0, 0.005, 0.02], (4, 3))
    lengths = np.linalg.norm(np.array([0.0, 0.0, 1.4]) - points, axis=1) + rng.random(legs) * 0.03
    spread = np.full(legs, rng.choice([0.0, 0.003, 0.01]))
    return Hang(points, lengths, spread, Body(mass - off, mass, mass + off, at, half), UP)


@pytest.mark.slow
@pytest.mark.parametrize("legs", [2, 3, 4])
def test_asking_no_choice_twice_loses_none(legs, monkeypatch):
    """The same worst of every figure where every move is tried again from every choice, changed or not."""
    rng = np.random.default_rng(legs)
    questions = [_drawn(rng, legs) for _ in range(3)]
    found = [hang_doubt(question) for question in questions]
    monkeypatch.setattr(_Search, "due", lambda _self, states, _move: np.arange(len(states.value)))

    for question, quick in zip(questions, found, strict=True):
        slow = hang_doubt(question)

        for name in ("tension_kg", "share_low", "share_high", "lean", "tilt", "hook_over", "margin"):
            assert getattr(quick, name) == pytest.approx(getattr(slow, name), rel=1e-9, abs=1e-12), name
        assert quick.may_not_meet == slow.may_not_meet
