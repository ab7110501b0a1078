"""What a unit in hand has to have done next: the next step of the job it follows, and what is still in."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from handling_db.web.serving import application

pytestmark = pytest.mark.anyio

RECORDS = """
- {component: unit, name: Unit, kind: assembly, parts: [{component: lid, quantity: 1}]}
- {component: lid, name: Lid, kind: part}
- job plan: apart
  name: Take the unit apart
  unit: unit
  steps:
    - {id: lid-off, do: take off, what: lid off, pieces: [[lid]]}
    - {id: look, do: look, what: look inside}
- job: one
  unit: unit
  serial: 7
  follows: apart
  opened: {on: 2026-01-02, by: fitter}
  steps done: [{step: lid-off, on: 2026-01-03, by: fitter}]
"""


@pytest.fixture
def followed(tmp_path: Path) -> Any:
    from handling_db.database.building import build_with_bar

    (tmp_path / "records").mkdir()
    (tmp_path / "records" / "a.yml").write_text(RECORDS, encoding="utf-8")
    build_with_bar([tmp_path / "records"], tmp_path / "x.db")
    return application(tmp_path / "x.db")


async def test_the_next_step_stands_on_the_start_page(followed: Any) -> None:
    page = (await followed.client.get("/")).text
    assert "Next, step 2: look inside." in page
    assert 'href="/plan/apart?job=one"' in page
    assert "No temporary tie is in" not in page


async def test_the_steps_done_lie_beside_the_plan(followed: Any) -> None:
    page = (await followed.client.get("/plan/apart?job=one")).text
    asked = (await followed.client.get("/plan/apart.json?job=one")).json()

    text = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    assert "1 of 2 steps done." in text
    assert "1. lid off Done: fitter, 2026-01-03." in text
    assert "2. look inside Next." in text
    assert "Differs: Lid: off by the plan, and nobody wrote it off." in text
    assert text.index("Differs:") < text.index("Step by step")
    assert asked["in_hand"]["next"]["id"] == "look"
    job = (await followed.client.get("/job/one")).text
    assert 'href="/plan/apart?job=one"' in job
    assert "Next, step 2: look inside." in job


async def test_a_job_that_follows_another_plan_is_refused(followed: Any) -> None:
    page = await followed.client.get("/plan/apart?job=nobody")
    assert page.status_code in (400, 404)
    assert "nobody" in page.text


@pytest.mark.slow
async def test_the_demo_unit_in_hand_stands_where_its_ties_say(served: Any) -> None:
    page = (await served.client.get("/plan/transfer-box-apart?job=qsn-1187")).text

    text = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    assert "5 of 15 steps done." in text
    assert "Still in: 4 x through-bolts M10" in text
    assert "Next: 6. Fourteen joint bolts out" in text
    assert "Differs:" not in text


async def test_the_unit_in_hand_has_its_picture_first(served: Any) -> None:
    page = (await served.client.get("/")).text
    units = page[page.index("Units: plan with") :]
    assert units.index('href="/component/transfer-box"') < units.index(
        'href="/component/ferry-reduction-gear"'
    )
