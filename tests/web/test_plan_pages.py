"""Pages of planned jobs in process: rows, findings first, the strip of states, the sheet, their JSON."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

import handling_db as hd
from handling_db.database.building import build_with_bar
from handling_db.database.cache import LastAnswers
from handling_db.jobs.pictured import step_pictures
from handling_db.jobs.steps.answer import StepsAnswer
from handling_db.records.proved import Records
from handling_db.web.drawings.states import ON_PAPER, states_strip
from handling_db.web.pages import plans
from handling_db.web.serving import application
from tests.web.looks import json_beside, page_of, plain

pytestmark = [pytest.mark.anyio, pytest.mark.slow]

PLAN = "/plan/transfer-box-apart"
ASKED = f"{PLAN}?without=caliper-off&shop=low-tarrowby"
PAGES = [
    "/plans",
    PLAN,
    f"{PLAN}?unit=lb",
    pytest.param(ASKED, marks=pytest.mark.slow),
]
MISTAKES = Path(__file__).parents[1] / "jobs" / "steps" / "mistakes.yml"


@pytest.mark.parametrize("path", PAGES)
async def test_page_answers_with_cautions_stamp_and_json(served: Any, path: str) -> None:
    assert await json_beside(served, await page_of(served, path))


@pytest.mark.parametrize("path", [*PAGES, f"{PLAN}/sheet"])
async def test_no_page_gives_permission(served: Any, path: str) -> None:
    text = plain((await served.client.get(path)).text).replace("that is no permission", "")
    assert not re.search(r"\b(safe|ok|okay|allowed|permitted)\b", text, re.IGNORECASE)


@dataclass
class Worked:
    """Pages of one plan, and what was worked out for them."""

    pages: dict[str, str]
    answers: list[Any]
    before_another: int
    another: int


@pytest.fixture(scope="module", autouse=True)
def worked(demo_db: Path) -> Iterator[Worked]:
    """Asked before all other pages of this module, which take what was kept."""
    addresses = (PLAN, f"{PLAN}.json", f"{PLAN}?unit=lb", f"{PLAN}/sheet", f"{PLAN}/sheet.json?unit=lb")
    done = Worked({}, [], 0, 0)
    steps = hd.steps

    def noted(*of: Any, **more: Any) -> Any:
        done.answers.append(None)
        done.answers[-1] = steps(*of, **more)
        return done.answers[-1]

    async def ask() -> None:
        client = application(demo_db).client
        for address in addresses:
            done.pages[address] = (await client.get(address)).text
        done.before_another = len(done.answers)
        done.another = (await client.get(f"{PLAN}?without=no-such-step")).status_code

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(plans, "_worked", LastAnswers(16))
        with pytest.MonkeyPatch.context() as counting:
            counting.setattr(hd, "steps", noted)
            asyncio.run(ask())
        yield done


def test_page_sheet_and_json_in_both_units_are_worked_out_once(worked: Worked) -> None:
    assert worked.before_another == 1
    assert "383.9 ± 3.6 kg" in plain(worked.pages[PLAN])
    assert "846.3 ± 7.9 lb" in plain(worked.pages[f"{PLAN}?unit=lb"])
    assert worked.another == 404
    assert len(worked.answers) == 2, "another question is asked anew"


async def test_the_worst_stands_first_and_every_step_has_a_row(served: Any) -> None:
    text = plain((await served.client.get(PLAN)).text)

    assert text.index("Heaviest lift: step 9") < text.index("1. Drain at both plugs")
    assert text.index("Narrowest stand: after step 8") < text.index("1. Drain at both plugs")
    rows = [text.index(f" {number}. ") for number in range(1, 16)]
    assert rows == sorted(rows)
    assert "hook reads 383.9 ± 3.6 kg" in text
    assert "Held by temporary ties alone: 4 x through-bolts M10, red heads" in text
    assert "Before the last tie comes out the hook should hold 380 kg (838 lb) to 388 kg" in text
    assert "The hook holds anything from nothing to the whole." in text
    assert "By hand, one person: 25 kg (55 lb) (Quay Shed Nine)." in text


async def test_the_sheet_has_a_row_with_blanks_for_every_step(served: Any) -> None:
    page = await served.client.get(f"{PLAN}/sheet")
    rows = re.findall(r'<td class="number">(\d+|\+)</td>(.*?)</tr>', page.text, re.DOTALL)

    assert [number for number, _ in rows] == [*map(str, range(1, 16)), "+"]
    assert all(row.count('<td class="blank"></td>') == 3 for _, row in rows)
    for word in ("Reading seen", "Role", "Time"):
        assert word in page.text
    assert "Figures, not permission" in page.text
    assert (await served.client.get(f"{PLAN}/sheet.json")).json()["id"] == "transfer-box-apart"


async def test_what_is_asked_stands_beside_the_plan(served: Any) -> None:
    text = plain((await served.client.get(ASKED)).text)

    assert "As asked, beside the plan" in text
    assert "Low Tarrowby Gear Room" in text
    assert "Brake caliper off, so that the ear at 210 degrees is free left out" in text


@pytest.mark.parametrize(
    ("path", "status", "told"),
    [
        ("/plan/nothing-at-all", 404, "nothing-at-all"),
        (f"{PLAN}?move=caliper", 400, "write STEP>AFTER"),
        (f"{PLAN}?without=no-such-step", 404, "no-such-step"),
        (f"{PLAN}?shop=no-such-shop", 404, "no-such-shop"),
    ],
)
async def test_what_cannot_be_answered_is_told(served: Any, path: str, status: int, told: str) -> None:
    page = await served.client.get(path)

    assert page.status_code == status
    assert told in plain(page.text).replace("&gt;", ">").replace("&#39;", "'")


async def test_findings_stand_in_the_headline_with_what_to_do(demo_folder: Path, tmp_path: Path) -> None:
    """The copy with four planted mistakes: each is found at its step, and the first thing on the page."""
    target = tmp_path / "handling.db"
    build_with_bar([demo_folder, MISTAKES], target)
    page = await application(target).client.get("/plan/transfer-box-mistakes")
    text = plain(page.text)

    assert '<section class="danger" aria-label="The worst of the whole job"' in page.text
    findings = int(re.search(r"(\d+) FINDINGS, at step", text)[1])  # type: ignore[index]
    assert findings >= 4
    assert page.text.count('<a href="#step-') == findings
    assert "is held by nothing" in text
    assert "record the tie that holds it" in text


@pytest.fixture(scope="module")
def apart(worked: Worked) -> StepsAnswer:
    found = worked.answers[0].figures
    assert isinstance(found, StepsAnswer)
    return found


def test_the_strip_is_to_the_scale_of_its_bar(demo_records: Records, apart: StepsAnswer) -> None:
    """Everything on: the shapes of the first state span as many bars as their recorded lengths do."""
    pictures = step_pictures(demo_records, demo_records.job_plans["transfer-box-apart"])
    drawing = str(states_strip(apart, pictures))
    metre = float(re.search(r'class="axis" d="M[\d.]+ [\d.]+v6h([\d.]+)', drawing)[1])  # type: ignore[index]
    text = re.search(r"(\d+) mm</text>", drawing)
    assert text is not None
    per_metre = metre / (int(text[1]) / 1000)
    first = drawing.split('<text class="halo"')[0]
    points = [
        float(x) for shape in re.findall(r'points="([^"]+)"', first) for x in re.findall(r"([\d.]+),", shape)
    ]
    corners = [corner for box in pictures[0].bodies[0].shapes for corner in box]
    true = max(c[0] for c in corners) - min(c[0] for c in corners)

    assert (max(points) - min(points)) / per_metre == pytest.approx(true, abs=0.01)


def test_states_that_look_alike_are_one_picture(demo_records: Records, apart: StepsAnswer) -> None:
    pictures = step_pictures(demo_records, demo_records.job_plans["transfer-box-apart"])
    drawing = str(states_strip(apart, pictures, columns=ON_PAPER))
    labels = re.findall(r'<text class="halo"[^>]*>([^<]+)</text>', drawing)

    covered: list[int] = []
    for label in labels:
        first, _, last = label.replace("start", "0").partition(" to ")
        covered += range(int(first), int(last or first) + 1)
    assert covered == list(range(len(apart.steps) + 1))
    assert len(labels) < len(covered)
    assert drawing.count('class="temporary"') % 4 == 0
