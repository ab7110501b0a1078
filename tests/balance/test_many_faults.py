"""The study of several faults: its short form holds what its page says, and the page is of the run it names."""

from __future__ import annotations

import random
from pathlib import Path

from tests.benchmarks import many_faults as study

PAGE = Path(__file__).parents[2] / "docs" / "study.md"


def test_the_page_shows_every_line_with_seed():
    page = PAGE.read_text(encoding="utf-8")
    assert study.HEAD in page
    assert f"Seed {study.SEED}, {study.COLLECTIONS} collections a line, {study.SINGLES} of each kind." in page
    for name in (
        *study.FAULTS,
        "3, each under another whole",
        "12, each under another whole",
        "3 under one whole",
    ):
        assert f"| {name} | " in page


def test_what_is_larger_than_h_and_the_gap_before_is_always_seen():
    above = study.detection(random.Random(5), 2)[-1]
    found, _, of = above.split("| ")[2].split(" (")[0].partition(" of ")
    assert int(found) == int(of) > 10


def test_separate_faults_are_listed_and_clean_figures_are_not_named():
    rnd, seen = random.Random(11), study.Seen()
    for _ in range(3):
        study.look(seen, study.separate(rnd, 12))
        study.look(seen, study.separate(rnd, 3))
    assert seen.planted == 45
    assert seen.seen >= 33
    assert seen.listed >= 0.9 * seen.seen
    assert seen.named >= 0.5 * seen.figures
    assert seen.false <= 0.01 * seen.clean
    assert seen.told == seen.above


def test_several_under_one_whole_stand_in_one_group_that_is_not_told_apart():
    rnd, seen = random.Random(12), study.Seen()
    for _ in range(4):
        study.look(seen, study.together(rnd, 3))
    assert seen.named >= 0.75 * seen.figures
    assert sorted(seen.groups)[len(seen.groups) // 2] > 1
    assert seen.false <= 0.01 * seen.clean
