"""What is made ready at the start of a service is what its pages need."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

# In a process of its own: in this one the tests have imported everything.
ASK = """
import asyncio, sys
from pathlib import Path
from handling_db.web.service.ready import begin_to_make_ready
from handling_db.web.serving import application

served = application(Path(sys.argv[1]))
begin_to_make_ready().join()
loop = asyncio.new_event_loop()
assert loop.run_until_complete(served.client.get("/fixtures")).status_code == 200  # what Datasette makes at first
there = set(sys.modules)
for path in sys.argv[2:]:
    assert loop.run_until_complete(served.client.get(path)).status_code == 200, path
heavy = {"handling_db", "highspy", "numpy", "pint", "pydantic", "scipy"}
print(*sorted(name for name in set(sys.modules) - there if name.partition(".")[0] in heavy))
"""
PATHS = (
    "/",
    "/component/differential-section",
    "/component/parking-brake?state=dry",
    "/lift/upper-half-lift",
    "/move/upper-half-lift",
    "/level/upper-half-with-brake",
    "/hands/parking-brake-caliper",
    "/lighten/upper-half-lift",
    "/shop/quay-shed-nine/upper-half-lift",
    "/gaps",
)


@pytest.mark.slow
def test_no_page_waits_for_a_module(demo_db: Path) -> None:
    asked = [sys.executable, "-c", ASK, str(demo_db), *PATHS]
    told = subprocess.run(asked, check=False, capture_output=True, text=True)

    assert told.returncode == 0, told.stderr
    assert told.stdout.split() == []
