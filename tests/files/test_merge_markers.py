"""Both sides of an unfinished merge are named with what they say; neither is taken."""

from __future__ import annotations

import pytest

from handling_db.files.merge_markers import conflicts
from handling_db.files.reading import read_texts

SIDES = """component: case
name: Case
kind: part
masses:
<<<<<<< HEAD
  - {printed: 98 kg, source: scale}
=======
  - {printed: 89 kg, source: scale}
>>>>>>> other-shop
"""


def test_both_figures_are_named() -> None:
    reading = read_texts([("case.yml", SIDES)])

    assert [str(finding) for finding in reading.findings] == [
        "case.yml:5: lines 5 to 9 hold both sides of a merge that nobody has finished: HEAD says "
        "'- {printed: 98 kg, source: scale}', other-shop says '- {printed: 89 kg, source: scale}'; "
        "keep one side and take the marks out; nothing of this file was read."
    ]
    assert reading.collection.components == {}


def test_what_was_there_before_is_no_side() -> None:
    text = SIDES.replace("=======", "||||||| base\n  - {printed: 95 kg, source: scale}\n=======")

    (one,) = conflicts(text)

    assert (one.line, one.last) == (5, 11)
    assert "98 kg" in one.ours[0]
    assert "89 kg" in one.theirs[0]
    assert len(one.ours) == len(one.theirs) == 1


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a: 1\n", 0),
        ("text: |\n  =======\n  <<<<<<< not at the edge\n", 0),
        ("=======\n", 0),
        ("<<<<<<< a\nx\n=======\ny\n>>>>>>> b\n<<<<<<< a\n=======\nz\n>>>>>>> b\n", 2),
        ("<<<<<<< a\nx\n=======\ny\n", 1),  # the end is missing
        ("x\n=======\ny\n>>>>>>> b\n", 1),  # the start was deleted by hand
        ("<<<<<<< a\nx\n<<<<<<< a\nx\n=======\ny\n>>>>>>> b\n", 2),
        ("<<<<<<< a\r\nx\r\n=======\r\ny\r\n>>>>>>> b\r\n", 1),
    ],
)
def test_marks(text: str, found: int) -> None:
    assert len(conflicts(text)) == found


def test_a_side_that_says_nothing_and_a_long_one() -> None:
    (one,) = conflicts(
        "<<<<<<< a\n=======\n" + "".join(f"line {i} {'x' * 90}\n" for i in range(5)) + ">>>>>>> b\n"
    )

    told = one.sentence()
    assert "a says nothing, b says 'line 0 xxx" in told
    assert told.endswith("…' and 2 more lines;")
