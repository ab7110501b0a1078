"""Pages of lifts, joints and turns: what is not known first, figures of the worked example, refusals."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.web.looks import json_beside, page_of

pytestmark = pytest.mark.anyio

PAGES = [
    "/lifts",
    "/lift/upper-half-lift",
    "/lift/upper-half-with-brake",
    "/lift/whole-unit-lift",
    "/lift/upper-half-lift/sheet",
    "/joint/section-joint",
    "/turn/turn-onto-front-face",
    "/turn/turn-onto-front-face?assume=auxiliary-drive%3D19+kg+to+25+kg",
    "/lift/upper-half-lift?job=qsn-1187",
]


@pytest.mark.parametrize("path", PAGES)
async def test_page_answers_with_cautions_and_json(served: Any, path: str) -> None:
    assert await json_beside(served, await page_of(served, path))


async def test_title_of_the_sheet_comes_first_and_then_the_open_job(served: Any) -> None:
    text = (await served.client.get("/lift/upper-half-lift/sheet")).text
    assert "<h1>Upper half off the gear section</h1>" in text
    first = re.search(r'<div class="first"><p>([^<]+)</p>', text)
    assert first
    assert first[1].startswith("Job qsn-1187: still in 4 x through-bolts M10; not said to be this unit;")
    assert text.index("<h1>") < text.index(first[1]) < text.index("Hook should read</h2>")


async def test_sheet_has_the_figures_of_the_worked_example(served: Any) -> None:
    text = (await served.client.get("/lift/upper-half-lift/sheet")).text
    assert "372.1 ± 2.7 kg" in text
    assert "Look again above 392 kg" in text
    assert "Stop at 422 kg" in text
    assert text.count("33.3%") == 3
    for box in ("Reading seen", "Date", "By", "What was changed"):
        assert f"<th>{box}</th>" in text


async def test_slack_leg_is_said(served: Any) -> None:
    text = (await served.client.get("/lift/upper-half-with-brake")).text
    assert "slack (held level it would have to push, -3.7%)" in text
    assert "tilted by 3.3°" in text


async def test_a_mass_that_is_only_inferred_is_said_to_be(served: Any) -> None:
    text = (await served.client.get("/turn/turn-onto-front-face")).text
    assert "Auxiliary drive: 13 kg (28 lb) to 32 kg (70 lb), inferred" in text
    assert "one weighing, nothing checks it" in text


async def test_turn_with_a_range_given_goes_over_where_it_does(served: Any) -> None:
    path = "/turn/turn-onto-front-face?assume=auxiliary-drive%3D19+kg+to+25+kg"
    text = (await served.client.get(path)).text
    assert "Auxiliary drive taken as 19 kg (42 lb) to 25 kg (55 lb) for this question" in text
    assert "Goes over by itself at 51°" in text


@pytest.mark.parametrize(
    ("path", "named"),
    [
        ("/lift/whole-unit-lift", ("auxiliary-drive", "fluid", "packing", "gear")),
        ("/turn/turn-onto-front-face", ("auxiliary-drive", "gear")),
        ("/move/gear-section?state=drained", ("auxiliary-drive", "fluid")),
    ],
)
async def test_two_boxes_stand_for_each_thing_nobody_weighed_or_stated(
    served: Any, path: str, named: tuple[str, ...]
) -> None:
    page = (await served.client.get(path)).text
    for name in named:
        assert f'name="low.{name}"' in page
        assert f'name="high.{name}"' in page
    assert page.count('type="number"') == 2 * len(named)
    if "state=" in path:
        assert '<input type="hidden" name="state" value="drained">' in page


async def test_what_the_boxes_hold_counts_in_the_unit_they_show(served: Any) -> None:
    asked = "/lift/whole-unit-lift?boxes=lb&low.fluid=0&high.fluid=10&low.gear=20&high.gear=40&low.packing=&high.packing="
    page = (await served.client.get(asked)).text
    assert "Fluid taken as 0 kg (0 lb) to 5 kg (10 lb) for this question" in page
    assert "Gear taken as 9 kg (20 lb) to 18 kg (40 lb) for this question" in page
    told = (await served.client.get(asked.replace("lift?", "lift.json?"))).json()
    assert told["reading"]["expected"]["high"] == pytest.approx(844.1 + 4.54 + 18.14, abs=0.1)
    given = {one["id"] for one in told["ranges"] if one["given"]}
    assert given == {"fluid", "gear"}
    moved = (await served.client.get("/move/gear-section.json?state=filled&low.fluid=0&high.fluid=2")).json()
    assert moved["gross"]["high"] == pytest.approx(397.7 + 2, abs=0.1)
    half = await served.client.get("/lift/whole-unit-lift?low.fluid=0&high.fluid=")
    assert half.status_code == 400
    assert "fluid: write both figures" in half.text


@pytest.mark.parametrize(
    ("path", "status", "words"),
    [
        ("/lift/nothing", 404, "there is no lift group"),
        ("/joint/nothing", 404, "there is no joint"),
        ("/turn/nothing", 404, "there is no lift group"),
        ("/lift/upper-half-lift?job=nothing", 404, "there is no job"),
        ("/turn/turn-onto-front-face?assume=nonsense", 400, "write PART=LOW to HIGH"),
        (
            "/turn/turn-onto-front-face?assume=auxiliary-drive%3D25+kg+to+19+kg",
            400,
            "the lower figure comes first",
        ),
        ("/turn/turn-onto-front-face?assume=auxiliary-drive%3D1+ton+to+2+ton", 400, "which ton?"),
        ("/lift/upper-half-lift?unit=stone", 400, "is not one of: kg, lb"),
    ],
)
async def test_wrong_questions(served: Any, path: str, status: int, words: str) -> None:
    response = await served.client.get(path)
    assert response.status_code == status
    assert words in response.text


@pytest.mark.parametrize(
    "path",
    [
        "/component/gear-section",
        "/component/transfer-box?state=dry",
        "/move/upper-half-lift",
        "/move/upper-half-lift/card",
        "/move/upper-half-lift/tag",
        "/lift/lower-half",
        "/lift/lower-half/sheet",
        "/turn/turn-onto-front-face",
        "/joint/section-joint",
        "/heavier?one=gear-section&other=upper-half-lift",
        "/lift/upper-half-lift/notes",
    ],
)
async def test_an_open_job_is_named_wherever_its_unit_is(served: Any, path: str) -> None:
    text = (await served.client.get(path)).text
    assert "ob qsn-1187" in text
    assert "still in 4 x through-bolts M10" in text


async def test_the_sheet_of_a_turn_says_first_that_nothing_holds_it(served: Any) -> None:
    path = "/lift/turn-onto-front-face/sheet?assume=auxiliary-drive%3D19+kg+to+25+kg"
    text = (await served.client.get(path)).text

    assert "Turning it over" in text
    assert "GOES OVER BY ITSELF, AND NOTHING IS RECORDED TO HOLD IT BACK" in text.upper()
    assert "Heaviest at the hook 380 kg" in text
    assert "Turning it over" not in (await served.client.get("/lift/upper-half-lift/sheet")).text


NUMBER = r"-?\d[\d ]*(?:\.\d+)?"
SPAN = rf"{NUMBER}(?: (?:±|to) {NUMBER})?"
# a note that says both itself is left as it was written
PAIRED = re.compile(rf"{SPAN} lb \({SPAN} kg\)|{SPAN} (?:kg|t) \({SPAN} lb\)|{SPAN} kg / {SPAN} lb")
ALONE = re.compile(rf"{NUMBER} (?:kg|lb|t)\b(?!/|²)")


@pytest.mark.parametrize("path", [path for path in PAGES if path != "/lifts"])
async def test_no_mass_on_a_page_stands_in_one_unit_alone(served: Any, path: str) -> None:
    text = (await served.client.get(path + ("&" if "?" in path else "?") + "unit=lb")).text
    text = re.sub(r"<(style|svg|script).*?</\1>", "", text, flags=re.DOTALL)
    text = re.sub(r"</(?:td|th|li|p|h\d|title|a|strong|label|div)>", "\n", text)
    text = re.sub(r"<[^>]*>", "", re.sub(r'placeholder="[^"]*"|value="[^"]*"', "", text))

    for line in text.splitlines():
        assert ALONE.findall(PAIRED.sub("", line)) == [], line


async def test_the_job_of_a_serial_is_the_one_marked(served: Any) -> None:
    text = (await served.client.get("/joint/section-joint?serial=1187")).text
    assert '<strong aria-current="true">Serial 1187, in hand</strong>' in text
    assert (await served.client.get("/joint/section-joint?serial=abc")).status_code == 400
