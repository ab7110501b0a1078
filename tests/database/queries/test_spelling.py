"""Words put right where they are misspelt, and whole units before their parts."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

import pytest

from handling_db.database import queries
from handling_db.database.build import build_database


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


@pytest.mark.slow
def test_in_a_large_collection_what_shares_most_letters_is_near(tmp_path: Path) -> None:
    """Whatever stands first in the file, and however common each three letters are by themselves."""
    chance = random.Random(17)
    kinds = ("bracket", "housing", "spacer", "flange", "retainer", "sleeve")
    codes = [f"{chance.choice(kinds)}-{number:05d}" for number in range(9_000)]
    odd = ["zwickel-quer", "bracket-spacer-flange", "vorgelege", "kxq-77"]
    rows = "".join(f"unit,{code},1,1.0,kg\n" for code in [*codes, *odd])
    (tmp_path / "t.csv").write_text(f"parent,child,quantity,mass,unit\n{rows}", encoding="utf-8")
    build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    connection = queries.open_database(tmp_path / "x.db")

    def near(text: str) -> list[str]:
        return [named.id for named in queries.near_names(connection, text, 5)]

    for code in odd:
        place = chance.randrange(1, len(code) - 1)
        assert code in near(f"{code[:place]}y{code[place + 1 :]}"), code
    for code in chance.sample(codes, 20):
        assert code in near(code.replace("-", "--")), code
    assert near("zzzzzzzzz") == []
    assert near("") == near("a") == []
