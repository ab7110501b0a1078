"""Pages that hang a lift level, read a tilt seen, and say how the cell was zeroed."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

pytestmark = pytest.mark.anyio


async def test_level_asks_for_a_height_and_gives_lengths(served: Any) -> None:
    page = await served.client.get("/level/upper-half-lift", params={"hook": "800 mm"})
    assert page.status_code == 200
    assert "hook 800 mm over the centre of gravity" in page.text.lower()
    assert "Figures, not permission" in page.text
    found = (await served.client.get("/level/upper-half-lift.json", params={"hook": "800 mm"})).json()
    # Plumb over the centre each leg is as long as the way to it.
    room = dict(found["lift"]["picks_room"])
    x, y, z = found["lift"]["centre"]["room"]
    for leg in found["legs"]:
        assert leg["fits_m"] == pytest.approx(math.dist(room[leg["point"]], (x, y, z + 0.8)), abs=1e-6)


async def test_a_height_that_no_leg_reaches_is_said(served: Any) -> None:
    page = await served.client.get("/level/upper-half-lift", params={"hook": "90 m"})
    assert page.status_code == 200
    assert "No figures" in page.text
    assert (await served.client.get("/level/upper-half-lift?hook=high")).status_code == 400


async def test_tilt_offers_sides_and_points_then_answers(served: Any) -> None:
    asked = await served.client.get("/tilt/upper-half-with-brake")
    assert asked.status_code == 200
    form = re.search(r'<select name="low">(.*?)</select>', asked.text)
    assert form
    assert "cover-ear-90" in form[1]
    page = await served.client.get("/tilt/upper-half-with-brake?seen=3.5+deg&low=left")
    assert page.status_code == 200
    assert "plumb under the hook" in page.text
    bad = await served.client.get("/tilt/upper-half-with-brake?seen=3.5+deg&low=nowhere")
    assert "No figures" in bad.text or bad.status_code == 400


async def test_how_the_cell_was_zeroed_is_a_choice_on_the_page(served: Any) -> None:
    empty = (await served.client.get("/lift/upper-half-lift.json")).json()
    geared = (await served.client.get("/lift/upper-half-lift.json?zeroed=with+gear")).json()
    gear = empty["reading"]["gear_below"]["best"]
    assert gear > 0
    assert geared["reading"]["expected"]["best"] == pytest.approx(
        empty["reading"]["expected"]["best"] - gear, abs=1e-6
    )
    page = (await served.client.get("/lift/upper-half-lift?zeroed=with+gear")).text
    assert "The cell was zeroed:" in page
    assert (await served.client.get("/lift/upper-half-lift?zeroed=maybe")).status_code == 400


async def test_the_lift_page_leads_to_both(served: Any) -> None:
    page = (await served.client.get("/lift/upper-half-lift?job=qsn-1187")).text
    assert "/level/upper-half-lift?job=qsn-1187" in page
    assert "/tilt/upper-half-lift?job=qsn-1187" in page


async def test_the_sheet_of_a_lift_says_that_a_serial_is_outside(served: Any) -> None:
    page = (await served.client.get("/lift/upper-half-lift/sheet?serial=9999")).text
    assert "9999" in page
    assert "outside" in page.lower()
    inside = (await served.client.get("/lift/upper-half-lift/sheet?serial=1187")).text
    assert "another machine" not in inside
