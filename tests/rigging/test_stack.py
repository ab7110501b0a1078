from __future__ import annotations

import pytest

from handling_db.quantities.amount import Amount, StaticsError
from handling_db.rigging.stack import HOOK, Below, Hung, Stack


def hung(key: str, mass: float | None, on: str | None, **more: bool) -> Hung:
    return Hung(key=key, mass=None if mass is None else Amount.exact(mass), on=on, **more)


BEAM_OVER_CHAIN = Stack([hung("beam", 300, HOOK), hung("chain", 40, "beam", at_point=True)])
CHAIN_OVER_BEAM = Stack([hung("chain", 40, HOOK, at_point=True), hung("beam", 300, "chain")])


def test_a_chain_sees_the_beam_only_where_the_beam_hangs_from_it() -> None:
    # 700 kg on a chain with a tag of 1200 kg and a beam of 300 kg: the closed form is the sum itself.
    below, above = BEAM_OVER_CHAIN.below("chain"), CHAIN_OVER_BEAM.below("chain")

    assert below == Below(frozenset(), frozenset())
    assert above == Below(frozenset({"beam"}), frozenset())
    assert BEAM_OVER_CHAIN.reading_at(1200, 1.0, below) == pytest.approx(1200 + 300 + 40)
    assert CHAIN_OVER_BEAM.reading_at(1200, 1.0, above) == pytest.approx(1200 + 40)


def test_gear_whose_place_is_not_recorded_may_hang_below() -> None:
    stack = Stack([hung("beam", 300, None), hung("chain", 40, None, at_point=True)])

    carried = stack.below("chain")

    assert carried == Below(frozenset(), frozenset({"beam"}))
    assert stack.load_of(carried) == Amount(0.0, 0.0, 300.0)
    assert stack.reading_at(1200, 1.0, carried) == pytest.approx(1240)  # the lower of the two orders


def test_two_slings_to_two_points_hang_side_by_side() -> None:
    stack = Stack([hung("left", 30, None, at_point=True), hung("right", 30, None, at_point=True)])

    assert stack.below("left") == Below(frozenset(), frozenset())
    assert stack.load_of(Below(stack.in_reading(), frozenset())).best == 60


def test_what_hangs_above_the_cell_is_in_no_reading_and_carries_all_below_it() -> None:
    stack = Stack(
        [
            hung("sling", 10, None, at_point=True),
            hung("shackle", 2, None, above_cell=True),
            hung("ring", 1, "sling", at_point=True),
        ]
    )

    assert stack.in_reading() == {"sling", "ring"}
    assert stack.below("shackle") == Below(frozenset({"sling", "ring"}), frozenset())
    assert stack.below("sling") == Below(frozenset({"ring"}), frozenset())
    assert stack.order() == (("shackle", 0), ("sling", 0), ("ring", 1))
    # Its own 2 kg are not in the reading, and what it may carry is all the cell shows.
    assert stack.reading_at(500, 1.0, stack.below("shackle")) == pytest.approx(500)


def test_the_reading_of_a_leg_counts_its_share_and_its_own_ring() -> None:
    stack = Stack([hung("sling", 8, None, at_point=True), hung("ring", 1, "sling", at_point=True)])

    at = stack.reading_at(200, 0.4, stack.below("sling"), weights={"ring": 1.1})

    # 0.4 L + 1.1 x 1 = 200, and the cell shows L + 9.
    assert at == pytest.approx((200 - 1.1) / 0.4 + 9)


def test_a_cell_zeroed_with_the_gear_on_shows_the_piece_alone() -> None:
    assert BEAM_OVER_CHAIN.reading_at(1200, 1.0, BEAM_OVER_CHAIN.below("chain"), zeroed=True) == 1200


def test_gear_without_a_mass_leaves_a_limit_open_only_where_it_lowers_it() -> None:
    stack = Stack([hung("beam", None, HOOK), hung("chain", 40, "beam", at_point=True)])
    chain, beam = stack.below("chain"), stack.below("beam")

    # A heavier beam above the chain only raises the reading: nothing is the cautious mass for it.
    assert stack.reading_at(1200, 1.0, chain) == pytest.approx(1240)
    assert stack.reading_at(2000, 1.0, beam) == pytest.approx(2000)  # the chain is carried and shown
    other = Stack([hung("chain", 40, HOOK), hung("beam", None, "chain")])
    assert other.reading_at(1200, 1.0, other.below("chain")) == pytest.approx(1240)
    # A leg that takes more than its share of what hangs from it: open.
    assert other.reading_at(1200, 0.6, other.below("chain")) is None
    assert other.load_of(other.below("chain")) == Amount(0.0, 0.0, None)


@pytest.mark.parametrize(
    ("pieces", "said"),
    [
        ([hung("a", 1, HOOK), hung("a", 1, HOOK)], "a name of its own"),
        ([hung("a", 1, "b")], "a hangs from 'b', which is not among the gear of this lift"),
        ([hung("a", 1, "b"), hung("b", 1, "a")], "a hangs from itself: a from b from a"),
        (
            [hung("a", 1, "b", above_cell=True), hung("b", 1, HOOK)],
            "a is above the cell and hangs from b, which is below it",
        ),
    ],
)
def test_a_stack_that_cannot_be(pieces: list[Hung], said: str) -> None:
    with pytest.raises(StaticsError, match=said):
        Stack(pieces)


def test_ratings_and_pulls_that_cannot_be() -> None:
    with pytest.raises(StaticsError, match="must be more than 0"):
        BEAM_OVER_CHAIN.reading_at(0.0, 1.0, BEAM_OVER_CHAIN.below("chain"))
    with pytest.raises(StaticsError, match="must be more than 0"):
        BEAM_OVER_CHAIN.reading_at(100.0, 0.0, BEAM_OVER_CHAIN.below("chain"))
