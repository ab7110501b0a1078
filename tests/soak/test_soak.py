"""The long run itself: a short one over few records, and that each demand can be missed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.soak.report import BEGIN, END, PAGE, report, write
from tests.soak.run import Period, Run, Seen, Setting, judged

RECORDS = """\
- {source: scale, name: Scale, kind: weighed}
- component: winch
  name: Winch
  kind: assembly
  parts listed: all
  parts: [{component: drum, quantity: 1}, {component: motor, quantity: 1}]
- {component: drum, name: Drum, kind: part, masses: [{printed: 310 kg, plus or minus: 2 kg, source: scale}]}
- {component: motor, name: Motor, kind: part}
"""


@pytest.mark.slow
def test_a_short_run_sees_every_build(tmp_path: Path) -> None:
    records, room = tmp_path / "own", tmp_path / "room"
    records.mkdir()
    room.mkdir()
    (records / "winch.yml").write_text(RECORDS, encoding="utf-8")
    setting = Setting(minutes=0.1, every=2.5, clients=2, pause=0.05, seed=1)
    seen = Run(records, room, setting).go()

    assert seen.wrong == []
    assert seen.stale == []
    assert seen.builds >= 1
    assert seen.fresh >= set(range(1, seen.builds + 1))
    assert seen.asked > 20
    assert all(period.memory[-1] > 20 for period in seen.periods if period.memory)


def seen_so(**more: object) -> Seen:
    periods = [Period(0.0, [0.01] * 100, [100.0] * 5) for _ in range(6)]
    seen = Seen(periods, 600, 30, builds=5, fresh={0, 1, 2, 3, 4, 5})
    for name, value in more.items():
        setattr(seen, name, value)
    return seen


def missed(seen: Seen) -> list[str]:
    return [one.demand for one in judged(seen) if not one.met]


def test_every_demand_can_be_missed() -> None:
    assert missed(seen_so()) == []
    assert missed(seen_so(wrong=["GET /: 500"])) == ["no error"]
    grown = seen_so()
    grown.periods[-1].memory = [111.0] * 5
    assert missed(grown) == ["memory within 10 % of its start"]
    assert missed(seen_so(stale=["older"])) == ["the newest figures after each build"]
    assert missed(seen_so(fresh={0, 1, 2, 3, 5})) == ["the newest figures after each build"]
    slower = seen_so()
    for period in slower.periods[3:]:
        period.times = [0.01] * 50 + [0.2] * 50
    assert missed(slower) == ["p99 steady"]


def test_a_result_takes_the_place_of_the_last_one(tmp_path: Path) -> None:
    page = tmp_path / "performance.md"
    page.write_text(f"before\n{BEGIN}\nthe one before\n{END}\nafter\n")
    write(report(seen_so(kinds={"/": [0.1]}), Setting(minutes=2), "the demo"), page)
    text = page.read_text()

    assert text.startswith("before\n")
    assert text.endswith("after\n")
    assert "the one before" not in text
    assert "| no error | 0 of 600 answers, 30 of them to odd questions | met |" in text
    assert PAGE.read_text(encoding="utf-8").count(BEGIN) == 1  # the real page has its place for it
