"""The page of a turn, and the first lines of moves, hands and shops: the worst first."""

from __future__ import annotations

import re
from typing import Any

import pytest

from handling_db.lifting.case import work
from handling_db.lifting.pictured.turned import on_edge
from handling_db.lifting.turn.answer import turn_of
from handling_db.moving.figures import RatingBeside
from handling_db.moving.worst import grief
from handling_db.records.collection import Collection
from handling_db.web.drawings.turn import four_angles, turn_curve
from tests.web.drawings.svg import outside, overlapping
from tests.web.test_lift_page import unfolded

pytestmark = pytest.mark.anyio

TURN = "/turn/turn-onto-front-face"


async def test_the_angle_is_the_headline(served: Any) -> None:
    page = unfolded((await served.client.get(TURN)).text)
    assert page.index("Goes over by itself at 51°") < page.index("Hook at the start: 373 kg")
    assert "NOTHING IS RECORDED TO HOLD IT BACK" in page


@pytest.mark.slow
async def test_two_number_boxes_give_a_range(served: Any) -> None:
    page = (await served.client.get(TURN)).text
    part = re.search(r'name="low.([^"]+)"', page)
    assert part
    assert part[1] == "auxiliary-drive"
    asked = {f"low.{part[1]}": "19", f"high.{part[1]}": "25"}
    told = (await served.client.get(TURN, params=asked)).text
    assert "19 to 25 kg" in told
    pounds = (await served.client.get(TURN, params={**asked, "boxes": "lb", "unit": "lb"})).text
    assert "With " in pounds
    assert 'value="19"' in pounds
    half = await served.client.get(TURN, params={**asked, f"high.{part[1]}": ""})
    assert half.status_code == 400


@pytest.fixture(scope="module")
def turned(demo: Collection) -> Any:
    from handling_db.web.pages.listed import question

    case = work(demo, "turn-onto-front-face", question())
    return turn_of(case), on_edge(case)


@pytest.mark.parametrize("first", ["kg", "lb"])
def test_pictures_of_a_turn(turned: Any, first: str) -> None:
    answer, load = turned
    for drawing in (str(turn_curve(answer, first=first)), str(four_angles(answer, load, first=first))):
        assert overlapping(drawing) == []
        assert outside(drawing) == []
    assert "goes over by itself at 51°" in str(turn_curve(answer, first=first)).replace("</text><text", " ")


def test_on_the_edge_the_balance_has_the_centre_over_the_edge(turned: Any) -> None:
    """Known truth: at the angle where it goes over, its centre stands plumb over the edge."""
    import math

    answer, load = turned
    x, _, z = load.centre
    over = math.degrees(math.atan2(x, z))  # the side of positive x rises until x cos - z sin is nothing
    assert over == pytest.approx(answer.goes_over, abs=0.6)


def beside(word: str, percent: float | None) -> RatingBeside:
    return RatingBeside("x", 1.0, 2.0, None, word, percent, percent_at_least=False, left_kg=None)


def test_the_worst_first() -> None:
    lines = [beside("below", 18.0), beside("not known", None), beside("above", 102.0), beside("below", 63.0)]
    assert [one.percent for one in sorted(lines, key=grief)] == [102.0, None, 63.0, 18.0]


async def test_first_lines_of_moves_hands_and_shops(served: Any) -> None:
    move = unfolded((await served.client.get("/move/upper-half-lift")).text)
    assert (
        move.index("still in 4 x through-bolts")
        < move.index("with fork jib: not known")
        < move.index("Gross: plan")
    )
    assert (
        "from low x (its left side as installed)" in (await served.client.get("/move/upper-half-lift")).text
    )

    hands = unfolded((await served.client.get("/hands/transfer-box")).text)
    assert "perhaps above" not in hands.lower()
    assert (
        hands.index("Gear case 158.0")
        < hands.index("Differential case 134.0")
        < hands.index("Gear case cover")
    )

    shop = unfolded((await served.client.get("/shop/low-tarrowby/section-off-the-truck")).text)
    assert shop.index("above, short by 9.1 kg") < shop.index("Not recorded here (6)")
