"""Notes by words and by fragments, against going through all of them in plain Python; random notes and questions."""

from __future__ import annotations

import contextlib
import random
import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from handling_db.database import queries, schema
from handling_db.database.build import build_database
from handling_db.database.note_words import fill_word_lists
from handling_db.database.queries.hits import asked as asked_for
from handling_db.database.queries.hits import notes as note_hits
from handling_db.database.queries.hits.note_list import NoteList, held_by_many, packed
from handling_db.database.queries.hits.texts import notes_with
from handling_db.database.queries.words import MARK_OFF, MARK_ON, every_word, kept_whole
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


@pytest.fixture(params=["by lists", "by both", "by the index"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """All words by their lists; those with several forms by reading the notes; or none by its list."""
    if request.param == "by both":
        monkeypatch.setattr(asked_for, "_FORMS", 1)
        monkeypatch.setattr(note_hits, "_READ", 200)
    if request.param == "by the index":
        monkeypatch.setattr(asked_for, "_FORMS", 0)
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


def test_which_notes_hold_each_word_is_listed(notes: sqlite3.Connection, texts: list[str]) -> None:
    """In numbers or in bits; and where two words stand side by side that many notes hold each."""
    rows = notes.execute(
        "select id, word, backwards, notes, held from note_words_spelled where beside = 0"
    ).fetchall()
    assert {row[1] for row in rows} == {word for text in texts for word in text.split()}
    assert all(row[2] == row[1][::-1] for row in rows)
    for _, word, _, count, held in rows:
        numbers = [number for number, text in enumerate(texts, 1) if word in text.split()]
        assert [*NoteList.all_of([NoteList([(count, held)])])] == numbers, word
        assert NoteList([(count, held)]).notes == count == len(numbers)
    common = {row[0]: row[1] for row in rows if held_by_many(*row[3:])}
    assert 20 < len(common) < len(rows) - 20
    pairs = notes.execute("select first, second, notes, held from note_words_pairs").fetchall()
    assert len(pairs) > 100
    for first, second, count, held in pairs:
        both = f" {common[first]} {common[second]} "
        numbers = [number for number, text in enumerate(texts, 1) if both in f" {text} "]
        assert [*NoteList.all_of([NoteList([(count, held)])])] == numbers, both
    beside = dict(notes.execute("select word, notes from note_words_spelled where beside = 1"))
    assert beside == {"ωμέγα": 12, "ß": COUNT - 12, "9": COUNT - 12}


def test_lists_are_joined_and_narrowed_as_sets_are() -> None:
    chance = random.Random(15)
    for _ in range(300):
        most = chance.choice((3, 63, 64, 900))
        kept = [
            [
                sorted(
                    chance.sample(
                        range(1, most + 1), chance.randrange(1, most + 1) // chance.choice((1, 1, 40)) or 1
                    )
                )
                for _ in range(chance.randrange(1, 4))
            ]
            for _ in range(chance.randrange(1, 4))
        ]
        several = [NoteList([(len(one), packed(one, most)) for one in lists]) for lists in kept]
        sets = [set().union(*lists) for lists in kept]
        assert [*NoteList.all_of(several)] == sorted(set.intersection(*sets))
        some = chance.sample(range(1, most + 1), chance.randrange(most + 1))
        for one, own in zip(several, sets, strict=True):
            assert one.among(some) == sorted(own.intersection(some))
            assert one.notes == len(own)


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
    chance, by_index, ordered = random.Random(13), [], 0
    real = note_hits._joined

    def joined(*given: Any) -> Any:
        by_index.append(given)
        return real(*given)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(note_hits, "_joined", joined)
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
    assert (len(by_index) > 60) is (way == "by the index")


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


def alike(texts: Sequence[str]) -> bool:
    """Whether the words of notes as they are spelled are those of the index."""
    connection = sqlite3.connect(":memory:")
    connection.execute(
        "create table note (id integer primary key, text text, hazard text, gear_used text, about_name text)"
    )
    connection.executescript(schema.SEARCH)
    connection.executemany("insert into note (text, about_name) values (?, 'C')", ((text,) for text in texts))
    connection.execute("insert into note_words (note_words) values ('rebuild')")
    fill_word_lists(connection)
    ((told,),) = connection.execute("select alike from note_words_counted")
    connection.close()
    return bool(told)


def test_words_of_european_languages_are_read_as_the_index_reads_them() -> None:
    """Every letter with its accents in one sign; accents in signs of their own are left to the index."""
    letters = [chr(c) for c in (*range(0xC0, 0x180), *range(0x3A3, 0x3CA), *range(0x410, 0x450))]
    chance = random.Random(14)
    apart = [one for one in letters if not alike([f"a{one}b {one}"])]
    assert apart == ["İ"]
    whole = [one for one in letters if one not in apart] + list("abcxyzABCXYZ019_-,. ") * 5
    assert alike(["".join(chance.choices(whole, k=40)) for _ in range(400)])
    assert alike(["Straße", "GROSS", "strasse", "Lösen und lose"])
    assert not alike(["lo\u0308sen"])


def test_where_the_index_reads_words_otherwise_it_is_asked(tmp_path: Path) -> None:
    """One accent in a sign of its own is enough."""
    told = ["lo\u0308sen a hook", "lösen ahook", "losen"]
    lines = ["- {component: c, name: C, kind: part}\n"] + [
        f"- {{note: n{i}, about: {{component: c}}, kind: order, text: {text}, told by: shop, author: fitter, "
        "on: 2026-04-02, status: draft}\n"
        for i, text in enumerate(told)
    ]
    (tmp_path / "notes.yml").write_text("".join(lines), encoding="utf-8")
    build_database([tmp_path], tmp_path / "notes.db")
    with contextlib.closing(queries.open_database(tmp_path / "notes.db")) as connection:
        assert connection.execute("select alike from note_words_counted").fetchone() == (0,)
        for asked, wanted in (("losen", "012"), ("lose hook", "0"), ("ahook", "1"), ("ösen ah", "1")):
            found = {hit.id for hit in queries.search(connection, asked, 40) if hit.kind == "note"}
            assert found == {f"n{i}" for i in wanted}, asked
