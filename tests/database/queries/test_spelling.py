"""Words put right where they are misspelt, and whole units before their parts."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

import pytest

from handling_db.database import queries


@pytest.fixture
def connection(demo_db: Path) -> sqlite3.Connection:
    return queries.open_database(demo_db)


def test_a_letter_too_few_is_put_right(connection: sqlite3.Connection) -> None:
    assert queries.respelled(connection, "t", "swng") == "swing"
    assert queries.respelled(connection, "t", "trnsfer box") == "transfer box"
    assert queries.respelled(connection, "t", "transfer box") == ""
    assert queries.respelled(connection, "t", "1187") == ""
    assert queries.respelled(connection, "t", "") == ""


def test_one_letter_wrong_in_a_long_word_still_finds_it(connection: sqlite3.Connection) -> None:
    """The known truth: a name of the collection with one letter dropped or changed."""
    chance = random.Random(13)
    names = [row[0] for row in connection.execute("select name from component order by code")]
    words = [word for name in names for word in name.casefold().split() if word.isalpha() and len(word) > 6]
    missed = []
    for word in sorted(set(words)):
        place = chance.randrange(1, len(word) - 1)
        wrong = word[:place] + chance.choice(["", "x"]) + word[place + 1 :]
        right = queries.respelled(connection, "t", wrong) or wrong
        if not queries.search(connection, right):
            missed.append((word, wrong, right))
    assert missed == []


def test_the_whole_stands_before_its_parts(connection: sqlite3.Connection) -> None:
    titles = [hit.title for hit in queries.search(connection, "differential") if hit.kind == "component"]
    assert titles[0] == "Differential section"
    assert titles.index("Planet differential") < titles.index("Differential case")

    exact = [hit.title for hit in queries.search(connection, "differential case")]
    assert exact[0] == "Differential case"


def test_whole_units_go_into_nothing(connection: sqlite3.Connection) -> None:
    names = [unit.name for unit in queries.whole_units(connection)]
    assert names == ["Ferry reduction gear", "Transfer box", "Saw gearbox"]
