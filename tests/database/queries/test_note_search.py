"""Notes by words and by fragments, against going through all of them in plain Python; random notes and questions."""

from __future__ import annotations

import contextlib
import random
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from handling_db.database import queries
from handling_db.database.build import build_database
from handling_db.database.queries import note_hits
from handling_db.database.queries.note_hits import notes_with
from handling_db.database.queries.words import MARK_OFF, MARK_ON, every_word, kept_whole, read_words
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
    lines = ["- {component: c, name: Ωμέγα, kind: part}\n", "- {component: d, name: 'ß 9', kind: part}\n"]
    for i, text in enumerate(texts):
        newer = f", replaces: n{i - 1:04d}" if i % 10 == 9 else ""
        lines.append(
            f"- {{note: n{i:04d}, about: {{component: {'d' if i % 60 else 'c'}}}, kind: order, text: {text}, told by: shop, "
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


@pytest.fixture(params=["by lists", "by reading"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """All words by their lists, as among few notes, or the rarest and the notes read, as among many."""
    if request.param == "by reading":
        monkeypatch.setattr(note_hits, "_READ", 0)
        monkeypatch.setattr(note_hits, "_WEIGHED", 0)
    return str(request.param)


@pytest.mark.slow
@pytest.mark.usefixtures("way")
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


def test_which_words_and_pieces_there_are_is_counted(notes: sqlite3.Connection, texts: list[str]) -> None:
    words = {word for text in texts for word in text.split()}
    held = dict(notes.execute("select word, notes from note_words_held where word < '{'").fetchall())
    assert held.keys() == words | {"9"}  # what notes are about as well, in whatever letters
    assert all(held[word] == sum(word in text.split() for text in texts) for word in words)
    pieces = dict(notes.execute("select piece, notes from note_fragments_held").fetchall())
    assert pieces.keys() == {text[i : i + 3] for text in texts for i in range(len(text) - 2)}
    assert all(count == sum(piece in text for text in texts) for piece, count in list(pieces.items())[::50])


def test_a_word_that_is_kept_whole_stands_in_the_index_as_it_is() -> None:
    """Endings that English words lose, after all kinds of beginnings: none of them passes for a whole word."""
    chance = random.Random(11)
    ends = "s sses ies eed ed ing y ational izer ation alism iviti biliti icate ness ment ion ful able ance ll e i"
    words = {
        "".join(chance.choices("aeioubcdfglmnprstyz", k=chance.randrange(1, 7)))
        + chance.choice([*ends.split(), ""])
        for _ in range(6000)
    }
    index = sqlite3.connect(":memory:")
    index.execute("create virtual table t using fts5 (w, tokenize='porter unicode61 remove_diacritics 2')")
    index.execute("create virtual table v using fts5vocab (t, instance)")
    kept = sorted(filter(kept_whole, words))
    index.executemany("insert into t (rowid, w) values (?, ?)", enumerate(kept))
    held = dict(index.execute("select doc, term from v"))

    assert 300 < len(kept) < len(words) - 1500
    assert [word for number, word in enumerate(kept) if held[number] != word] == []


def test_words_that_were_asked_for_are_marked(notes: sqlite3.Connection, texts: list[str]) -> None:
    """In a short note all words that begin like one that was asked for, and no others."""
    chance = random.Random(12)
    for _ in range(100):
        asked = drawn(chance, texts)
        if any(word[-1] not in "aokpwbvhf" for word in asked.split()):
            continue
        for hit in queries.search(notes, asked, 20):
            if hit.kind == "note" and hit.snippet.count(MARK_ON) >= len(set(asked.split())):
                words = hit.snippet.split()
                begun = [word.strip(MARK_ON + MARK_OFF).startswith(tuple(asked.split())) for word in words]
                assert [word[0] == MARK_ON for word in words] == begun, (asked, hit)


def test_notes_stand_in_the_order_that_the_index_gives_them(
    notes: sqlite3.Connection, texts: list[str], way: str
) -> None:
    """Up to 200 of them, as SQLite's own function weighs the words; replaced ones left out."""
    chance, read, ordered = random.Random(13), [], 0
    real = note_hits._by_reading

    def by_reading(*given: Any) -> Any:
        read.append(real(*given))
        return read[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(note_hits, "_by_reading", by_reading)
        for _ in range(250):
            asked = drawn(chance, texts)
            wanted = notes.execute(
                "select n.code, n.replaced_by is null from note_words join note n on n.id = note_words.rowid "
                "where note_words match ? order by rank, n.code",
                (every_word(asked),),
            ).fetchall()
            if 1 < len(wanted) <= 200:
                ordered += 1
                found = [hit.id for hit in queries.search(notes, asked, 200) if hit.kind == "note"]
                in_order = [code for code, valid in wanted if valid]
                assert found[: len(in_order)] == in_order, asked
    assert ordered > 60
    assert (sum(rows is not None for rows in read) > 30) is (way == "by reading")


def test_endings_that_the_index_cuts_off_are_found_whatever_way(tmp_path: Path, way: str) -> None:
    """Bolts, bolted and bolting are found by bolt, and bolting by bolts; umlauts by plain letters."""
    told = [
        "a bolt hook",
        "bolts and a hook",
        "hook bolted",
        "bolting a hook",
        "a bolthook",
        "bólt höok",
        "Hook, BOLT",
    ]
    lines = ["- {component: c, name: C, kind: part}\n"] + [
        f"- {{note: n{i:04d}, about: {{component: c}}, kind: order, text: '{text} number{i}', told by: shop, "
        "author: fitter, on: 2026-04-02, status: draft}\n"
        for i, text in enumerate([*told, *["nothing of the kind"] * 30])
    ]
    (tmp_path / "notes.yml").write_text("".join(lines), encoding="utf-8")
    build_database([tmp_path], tmp_path / "notes.db")
    with contextlib.closing(queries.open_database(tmp_path / "notes.db")) as connection:
        for asked, wanted in (
            ("bolt hook", "012356"), ("hook bolts", "012356"), ("bolting hook", "012356"), ("hook bolt", "012356"),
            ("bolthook", "4"), ("hook number3", "3"), ("hook bo", "012356"), ("hook bolted number6", "6"),
        ):  # fmt: skip
            found = {hit.id for hit in queries.search(connection, asked, 40) if hit.kind == "note"}
            assert found == {f"n{int(i):04d}" for i in wanted}, (way, asked)


def test_words_of_european_languages_are_read_as_the_index_reads_them() -> None:
    """Every letter of Latin alphabets up to ž, with its accents in one sign or apart; other alphabets are not read."""
    chance = random.Random(14)
    letters = [chr(c) for c in range(0xA0, 0x17F)] + list("abcxyzABCXYZ019_-,. \u0301\u0308") * 5
    texts = ["".join(chance.choices(letters, k=40)) for _ in range(400)]
    index = sqlite3.connect(":memory:")
    index.execute("create virtual table t using fts5 (w, tokenize='unicode61 remove_diacritics 2')")
    index.execute("create virtual table v using fts5vocab (t, instance)")
    index.executemany("insert into t (rowid, w) values (?, ?)", enumerate(texts))
    for number, text in enumerate(texts):
        terms = [
            row[0] for row in index.execute("select term from v where doc = ? order by offset", (number,))
        ]
        ours = read_words(text)
        assert ours is not None
        assert len(ours) == len(terms), text
        plain = [(a, b) for a, b in zip(ours, terms, strict=True) if a.isascii() or b.isascii()]
        assert [a for a, _ in plain] == [b for _, b in plain], text
    assert read_words("Ωμέγα") is None
