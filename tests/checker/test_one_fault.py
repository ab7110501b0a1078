"""One thing wrong in a file is one fault: nothing is said to be absent that stands there and could not be read."""

from __future__ import annotations

import datetime
import random
from pathlib import Path

import pytest

from handling_db.checker import check
from handling_db.files.folders import data_folder
from handling_db.files.reading import read_texts
from handling_db.findings import Verdict
from tests.from_text import with_reference

DEMO = sorted((data_folder() / "demo").rglob("*.yml"))
DAY = datetime.date(2026, 3, 9)


def faults(changed: Path, text: str) -> list[str]:
    """What is said with the text of one file of the demo changed."""
    texts = [(str(file), text if file == changed else file.read_text("utf-8")) for file in DEMO]
    reading = read_texts(texts)
    whole = with_reference(reading.collection)
    found = (*reading.findings, *check(whole, as_of=DAY, unread=reading.unread))
    return [str(finding) for finding in found if finding.verdict is Verdict.FAULT]


@pytest.mark.parametrize("seed", range(3))
def test_a_mistyped_field(seed: int) -> None:
    """Whatever named the record was told that it is not there, to correct the id, or to add it."""
    rng = random.Random(seed)
    file = rng.choice([one for one in DEMO if "\n  name: " in one.read_text("utf-8")])
    text = file.read_text("utf-8")
    at = rng.choice([i for i in range(len(text)) if text.startswith("\n  name: ", i)])

    said = faults(file, f"{text[:at]}\n  nmae: {text[at + 9 :]}")
    assert said
    assert all(str(file) in one and ("nmae" in one or "name: is missing" in one) for one in said), said


def test_a_file_that_cannot_be_read_at_all() -> None:
    file = next(one for one in DEMO if one.name == "gear.yml")
    said = faults(file, file.read_text("utf-8") + "\n- {gear: broken\n")

    assert len(said) == 1
    assert "not YAML" in said[0]


def test_what_is_not_there_is_still_said_beside_it() -> None:
    texts = [("a.yml", "- {component: box, name: Box, kind: assembly, parts: [{component: pin, quantity: 1},"
              " {component: pni, quantity: 1}]}\n- {component: pin, nmae: Pin, kind: part}\n")]  # fmt: skip
    reading = read_texts(texts)
    found = (*reading.findings, *check(reading.collection, as_of=DAY, unread=reading.unread))

    assert [finding.rule for finding in found if finding.verdict is Verdict.FAULT] == [
        "record",
        "record",
        "unknown-reference",
    ]
    assert any("there is no component 'pni'" in finding.sentence for finding in found)
