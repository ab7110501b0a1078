"""A run as text, and its place in the docs."""

from __future__ import annotations

import datetime
import os
import platform
import statistics
from collections.abc import Iterator
from pathlib import Path

from tests.soak.run import Judged, Seen, Setting, judged

PAGE = Path(__file__).resolve().parents[2] / "docs" / "performance.md"
BEGIN, END = "<!-- last long run: begin -->", "<!-- last long run: end -->"


def report(seen: Seen, setting: Setting, what: str) -> str:
    """What was demanded and what was seen, period by period."""
    return "\n".join(_lines(seen, setting, what)) + "\n"


def _lines(seen: Seen, setting: Setting, what: str) -> Iterator[str]:
    day = datetime.date.today().isoformat()
    yield (
        f"{setting.minutes:g} minutes on {day}, {os.cpu_count()} processors with a load of {os.getloadavg()[1]:.1f}, "
        f"Python {platform.python_version()}: {setting.clients} clients that wait up to {setting.pause:g} s between "
        f"questions, a build every {setting.every:g} s, over {what}; seed {setting.seed}."
    )
    yield ""
    yield "| demanded | seen | |"
    yield "| --- | --- | --- |"
    for one in judged(seen):
        yield f"| {one.demand} | {one.figures} | {word(one)} |"
    yield ""
    yield "| period | answers | p50 | p99 | longest | memory | build took |"
    yield "| ---: | ---: | ---: | ---: | ---: | ---: | ---: |"
    for number, period in enumerate(seen.periods, 1):
        if not period.times or not period.memory:
            continue
        built = f"{period.build:.1f} s" if period.build else ""
        yield (
            f"| {number} | {len(period.times):,} | {1000 * period.at(0.5):.0f} ms | {1000 * period.at(0.99):.0f} ms "
            f"| {1000 * max(period.times):.0f} ms | {max(period.memory):.0f} MB | {built} |"
        )
    yield ""
    yield "What took longest, by kind of question: " + "; ".join(_slowest(seen)) + "."


def _slowest(seen: Seen, most: int = 5) -> list[str]:
    found = [(statistics.median(times), kind, len(times)) for kind, times in seen.kinds.items()]
    return [
        f"`{kind}` median {1000 * took:.0f} ms of {many:,}"
        for took, kind, many in sorted(found)[: -most - 1 : -1]
    ]


def word(one: Judged) -> str:
    """Whether a demand is met."""
    return "met" if one.met else "**missed**"


def write(text: str, page: Path = PAGE) -> None:
    """Put a run in the place of the last one."""
    whole = page.read_text(encoding="utf-8")
    before, rest = whole.split(BEGIN)
    page.write_text(f"{before}{BEGIN}\n{text}{END}{rest.split(END)[1]}", encoding="utf-8")
