"""What if, on the phone: off and put back beside each part, what it changes, and two what-ifs side by side."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest

from handling_db.lookup.taking_off import off_words
from handling_db.web.pages.piece.question import PieceQuestion
from tests.lifting.hanging.test_hang import collection
from tests.web.test_lift_page import unfolded

pytestmark = pytest.mark.anyio

SECTION = "/component/differential-section"


def buttons(page: str, words: str) -> dict[str, str]:
    """Names of parts and the address of their button."""
    found = re.findall(rf'<a class="button[^"]*" href="([^"]*)" aria-label="{words}: ([^"]*)"', page)
    return {name: unescape(path) for path, name in found}


async def test_taken_off_and_put_back(served: Any) -> None:
    page = (await served.client.get(SECTION)).text
    off = buttons(page, "Take off")
    assert off["Parking brake"] == f"{SECTION}?without=parking-brake"

    without = (await served.client.get(off["Parking brake"])).text
    assert "Plan with 420 kg (926 lb) dry" in without
    assert "31.3 kg (69.0 lb) less than as recorded" in without  # 452 - 420.x, by what was off
    back = buttons(without, "Put back")
    assert back == {"Parking brake": SECTION}

    both = (await served.client.get(buttons(without, "Take off")["Rear cover"])).text
    assert sorted(buttons(both, "Put back")) == ["Parking brake", "Rear cover"]


async def test_what_carries_the_picks_is_said_beside_the_button_and_at_the_top(served: Any) -> None:
    page = (await served.client.get(SECTION)).text
    row = re.search(r'<div class="row part">(?:(?!</div>).)*Rear cover.*?</div>', page, re.DOTALL)
    assert row
    assert "Has pick points" in row[0]

    off = (await served.client.get(f"{SECTION}?without=rear-cover")).text
    assert "Off: Rear cover, which has pick points" in off
    bolts = (await served.client.get(f"{SECTION}?without=differential-section-bolts")).text
    assert "carries the pick points" in bolts


async def test_two_side_by_side_by_address_alone(served: Any) -> None:
    first = (await served.client.get(f"{SECTION}?without=parking-brake")).text
    keep = unescape(re.findall(r'href="([^"]*beside=[^"]*)"', first)[0])
    assert keep == f"{SECTION}?beside=without%3Dparking-brake"

    page = (await served.client.get(keep)).text
    assert "Plan with 452 kg" in page
    assert "Plan with 420 kg" in page
    assert "Without Parking brake" in page
    # every further tap keeps the other one beside it
    assert all("beside=" in path for path in buttons(page, "Take off").values())
    second = (await served.client.get(buttons(page, "Take off")["Rear cover"])).text
    assert "Without Parking brake" in second
    assert "Without Rear cover" in second
    bad = await served.client.get(f"{SECTION}?beside=state%3Dwet")
    assert bad.status_code == 400


async def test_a_fluid_is_no_piece_to_take_off(served: Any) -> None:
    page = (await served.client.get("/component/transfer-box")).text
    assert "Oil charge" not in buttons(page, "Take off")
    assert "Joint set" in buttons(page, "Take off")


async def test_what_nobody_weighed_is_never_folded(served: Any) -> None:
    page = unfolded((await served.client.get("/component/gear-section")).text)
    assert "Inferred: nobody weighed Auxiliary drive" in page
    assert "PT-34 handbook is 23.9 to 36.0 kg" in unfolded((await served.client.get(SECTION)).text)


def test_the_other_question_is_read_from_its_text() -> None:
    asked = PieceQuestion.from_text("state=dry&without=a&without=b&set=discs%3D12&unit=lb&beside=x")
    assert asked == PieceQuestion(state="dry", without=("a", "b"), settings=(("discs", "12"),))


RECORDS = """
- component: unit
  name: Unit
  kind: assembly
  parts: [{component: cover, quantity: 1}, {component: bolts, quantity: 1}, {component: plug, quantity: 1}]
- component: cover
  name: Cover
  kind: part
  pick points: [{id: ear, name: ear, at: [0 mm, 0 mm, 0 mm], through: [{what: bolts, part: bolts}]}]
- {component: bolts, name: Bolts, kind: set}
- {component: plug, name: Plug, kind: part}
"""


def test_words_come_from_the_records_and_from_nowhere_else() -> None:
    found = off_words(collection(RECORDS), "unit", ["cover", "bolts", "plug"])
    assert found == {"cover": ("has pick points",), "bolts": ("carries the pick points",)}
