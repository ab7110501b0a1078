"""Two ways to tip by closed forms: a 100 kg piece, 1 m wide, its centre 0.5 m up, on a stand 1 m high."""

from __future__ import annotations

import math

import pytest

from handling_db.lifting.said.notices import notice_words
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.on_stand import StandBody, common, lesser, moved, ways_to_tip
from handling_db.mechanics.vectors import rotation
from handling_db.quantities.amount import Amount, StaticsError

FACE = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)]
FEET = tuple((2 * x, 2 * y) for x, y in FACE)
PIECE = [Weighted("piece", Amount.exact(100), (0.0, 0.0, 0.5))]
STEEL = Weighted("stand", Amount.exact(100), (0.0, 0.0, 0.5))


def stand(**changed):
    given = {"outline": FEET, "deck_m": 1.0, "own": STEEL, "bears": (), "at": (0.0, 0.0), **changed}
    return StandBody("stand", *(given[name] for name in ("outline", "deck_m", "own", "bears", "at")))


def degrees(way):
    return math.degrees(way.standing.weakest.tips_at)


def test_the_piece_and_both_together():
    piece, both = ways_to_tip(PIECE, FACE, stand())

    assert degrees(piece) == pytest.approx(45)
    # 100 kg at 1.5 m and 100 kg at 0.5 m: 1.0 m up over feet that reach 1.0 m.
    assert both.height_m == pytest.approx(1.0)
    assert degrees(both) == pytest.approx(45)


def test_what_the_stand_bears_on_makes_the_base_smaller():
    ring = tuple((0.3 * math.cos(a), 0.3 * math.sin(a)) for a in (i * math.pi / 180 for i in range(360)))
    ways = ways_to_tip(PIECE, FACE, stand(bears=ring))

    assert degrees(ways[0]) == pytest.approx(math.degrees(math.atan2(0.3, 0.5)), abs=0.01)
    assert lesser(ways) is ways[0]


def test_off_the_middle_the_stand_goes_over_first():
    """The piece 0.9 m to one side: the common centre 0.45 m off, 0.55 m from the edge, 1.0 m up."""
    ways = ways_to_tip(PIECE, FACE, stand(at=(0.9, 0.0)))

    assert degrees(ways[1]) == pytest.approx(math.degrees(math.atan(0.55)))
    assert lesser(ways) is ways[1]


def test_a_stand_with_its_centre_nobody_recorded_counts_anywhere_over_its_feet():
    box = Weighted("stand", Amount.exact(100), None, ((-1.0, -1.0, 0.0), (1.0, 1.0, 1.0)))
    way = ways_to_tip(PIECE, FACE, stand(own=box))[1]

    # At its worst the stand pulls the common centre 0.5 m to one side, and up to 1.25 m high.
    assert degrees(way) <= math.degrees(math.atan(0.5 / 1.25)) + 1e-9


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"own": None}, "of stand is not recorded: its own mass."),
        ({"outline": ()}, "of stand is not recorded: what touches the floor."),
        ({"deck_m": None, "own": None}, "its own mass, the height of what it carries"),
    ],
)
def test_what_the_record_of_the_stand_lacks_is_said_and_the_piece_still_told(changed, says):
    piece, both = ways_to_tip(PIECE, FACE, stand(**changed))

    assert says in notice_words(both.why_not)
    assert both.standing is None
    assert piece.standing is not None


def test_a_face_beside_the_stand_is_refused():
    way = ways_to_tip(PIECE, FACE, stand(bears=((3.0, 3.0), (4.0, 3.0), (4.0, 4.0))))[0]

    assert notice_words(way.why_not) == "the face of the piece does not lie on what the stand bears on."
    assert lesser([way]) is None


def test_common_area_of_two_squares():
    assert sorted(common(FACE, [(0, 0), (2, 0), (2, 2), (0, 2)])) == [(0, 0), (0, 0.5), (0.5, 0), (0.5, 0.5)]
    with pytest.raises(StaticsError, match="does not lie on what the stand bears on"):
        common(FACE, [(2, 2), (3, 2), (3, 3)])


def test_moved_boxes_hold_what_they_held():
    (found,) = moved(
        [Weighted("a", None, None, ((0, 0, 0), (1, 2, 3)))], rotation(0, 0, math.pi / 2), (5, 0, 0)
    )
    assert found.within == (pytest.approx((3, 0, 0)), pytest.approx((5, 1, 3)))
