"""What stands beside figures: every kind has words that its facts can fill, with both units, the reader's first."""

from __future__ import annotations

import re
from pathlib import Path
from string import Formatter

import pytest

import handling_db
from handling_db.lifting.said.clauses import CLAUSES
from handling_db.lifting.said.notices import KINDS, notice_words
from handling_db.moving.notices import CLAUSES as MOVING
from handling_db.moving.notices import KINDS as MOVES
from handling_db.quantities.notice import Fact, Notice
from handling_db.quantities.sentence import said

NUMBERS = ("_kg", "_m", "_deg", "_share", "_n", "_nm")


@pytest.mark.parametrize("kind", CLAUSES)
def test_every_kind_is_filled_by_its_facts_in_both_units(kind: str) -> None:
    facts: dict[str, Fact] = {}
    for _, name, how, _ in Formatter().parse(CLAUSES[kind]):
        if name is not None:
            several = how in ("and", "on")
            facts[name] = 12.5 if name.endswith(NUMBERS) else ("500 kg hoist",) if several else "500 kg hoist"

    words = notice_words(Notice(kind, facts), first="lb")

    assert "{" not in words
    assert not re.search(r"\d kg(?!\))", words)


def test_a_notice_among_the_facts_is_said_inside_the_sentence() -> None:
    row = Notice("line of a tag to a lean", {"rated_kg": 1050.0, "legs": "3 legs", "lean_deg": 45.0})
    one = Notice("one of several legs", {"row": row, "factor": "2.12", "by": "a book"})
    both = Notice("lowest of several", {"lowest": one, "count": 2, "others": (Notice("tag"), row)})

    assert notice_words(both, first="lb") == (
        "tag 2315 lb (1050 kg), 3 legs up to 45° from the vertical, over 2.12 by a book; the lowest of 2, beside it: "
        "tag; tag 2315 lb (1050 kg), 3 legs up to 45° from the vertical"
    )
    with pytest.raises(TypeError, match="row is a notice: tell it before"):
        said("{row}", one.facts)


def test_a_kind_has_one_meaning() -> None:
    tables = [
        file.read_text(encoding="utf-8")
        for room in ("mechanics", "rigging", "lifting/said")
        for file in (Path(handling_db.__file__).parent / room).glob("*.py")
    ]
    twice = [kind for kind in CLAUSES if sum(text.count(f'    "{kind}": ') for text in tables) != 1]

    assert twice == [], "two tables have words for one kind"
    assert not CLAUSES.keys() & KINDS.keys()
    assert not CLAUSES.keys() & {**MOVES, **MOVING}.keys(), "a move would say another thing"
