"""What is found names units in hand with temporary ties in, each once."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import Run


def test_what_is_found_names_a_unit_in_hand_once(run: Run, demo_db: Path) -> None:
    lines = run("find", "drive", "--db", str(demo_db)).stdout.splitlines()

    assert [line for line in lines if "still in 4 x through-bolts M10" in line] == [lines[0]]
    assert lines[0].startswith("job qsn-1187, serial 1187: ")
    assert lines[0].endswith("about Auxiliary drive adapter plate, Auxiliary drive")
    assert "still in" not in run("find", "saw", "--db", str(demo_db)).stdout
