"""What a unit in hand has to have done next: the next step of the job it follows, and what is still in."""

from __future__ import annotations

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
    assert 'href="/plan/apart"' in page
    assert "No temporary tie is in" not in page
