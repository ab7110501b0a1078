"""Notes by words and by fragments, against going through all of them in plain Python; random notes and questions."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterator

import pytest

from handling_db.database import queries
from handling_db.database.build import build_database
from handling_db.database.queries.hits import notes_with
from tests.benchmarks.user_questions import drawn, vocabulary

COUNT = 700


@pytest.fixture(scope="module")
def texts() -> list[str]:
    chance = random.Random(7)
    words, weights = vocabulary(chance, 300)
    return [" ".join(chance.choices(words, weights, k=12)) for _ in range(COUNT)]


@pytest.fixture(scope="module")
def notes(tmp_path_factory: pytest.TempPathFactory, texts: list[str]) -> Iterator[sqlite3.Connection]:
    room = tmp_path_factory.mktemp("notes")
    lines = ["- {component: c, name: Ωμέγα, kind: part}\n"]
    for i, text in enumerate(texts):
        newer = f", replaces: n{i - 1:04d}" if i % 10 == 9 else ""
        lines.append(
            f"- {{note: n{i:04d}, about: {{component: c}}, kind: order, text: {text}, told by: shop, "
            f"author: fitter, on: 2026-04-02, status: draft{newer}}}\n"
        )
    (room / "notes.yml").write_text("".join(lines), encoding="utf-8")
    build_database([room], room / "notes.db")
    connection = queries.open_database(room / "notes.db")
    yield connection
    connection.close()


def in_force(texts: list[str]) -> list[int]:
    return [i for i in range(len(texts)) if i % 10 != 8]


def test_a_fragment_finds_the_notes_that_hold_it_the_first_by_id(
    notes: sqlite3.Connection, texts: list[str]
) -> None:
    chance = random.Random(8)
    for _ in range(150):
        text = chance.choice(texts)
        start, long = chance.randrange(len(text) - 3), chance.randrange(3, 15)
        piece = text[start : start + long].strip()
        if len(piece) < 3:
            continue
        holding = [f"n{i:04d}" for i in in_force(texts) if piece in texts[i]]
        assert notes_with(notes, piece.upper(), 40) == holding[:40], piece


def test_a_search_finds_the_notes_that_hold_every_word_or_its_beginning(
    notes: sqlite3.Connection, texts: list[str]
) -> None:
    chance = random.Random(9)
    for _ in range(300):
        asked = drawn(chance, texts)
        if asked[-1] not in "aokpwbvhf":  # other beginnings lose letters as endings of English words do
            continue
        found = [hit.id for hit in queries.search(notes, asked, COUNT) if hit.kind == "note"]
        begun = {
            f"n{i:04d}"
            for i in in_force(texts)
            if all(any(one.startswith(word) for one in texts[i].split()) for word in asked.split())
        }
        whole = {f"n{i:04d}" for i in in_force(texts) if asked in texts[i] and len(asked) > 2}
        assert set(found) == begun | whole, asked
        assert len(found) == len(set(found))
        few = [hit.id for hit in queries.search(notes, asked, 40) if hit.kind == "note"]
        assert few == found[:40], asked
