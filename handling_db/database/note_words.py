"""The words of notes as they are spelled, with the notes that hold each, as a build writes them down."""

from __future__ import annotations

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise

from handling_db.database.queries.hits.note_list import held_by_many, packed, spelled


def fill_word_lists(connection: sqlite3.Connection) -> None:
    """Write anew which notes hold each word; the index of words is filled.

    Whether the words that are read here are those of the index is seen by how many notes hold each of them
    there, and how often; they differ with accents in signs of their own.
    """
    run = connection.execute
    inside: dict[str, list[int]] = defaultdict(list)
    beside: dict[str, list[int]] = defaultdict(list)
    times: Counter[str] = Counter()
    notes = number = 0
    for number, text, *others in run("select id, text, hazard, gear_used, about_name from note order by id"):
        notes += 1
        words = spelled(text)
        times.update(words)
        own = set(words)
        for word in own:
            inside[word].append(number)
        words = spelled("\n".join(filter(None, others)))
        times.update(words)
        for word in set(words):
            beside[word].append(number)
    terms = _terms(connection, sorted(times))
    rows = [
        (word, word[::-1], terms.get(word, ""), int(where is beside), len(held), packed(held, number))
        for where in (inside, beside)
        for word, held in where.items()
    ]
    rows.sort(key=lambda row: (row[2], row[0], row[3]))
    alike = len(terms) == len(times) and _counted(connection) == _told(terms, times, (inside, beside))
    for table in ("spelled", "pairs", "counted"):
        run(f"delete from note_words_{table}")
    run("insert into note_words_fragments (note_words_fragments) values ('delete-all')")
    columns = "id, word, backwards, term, beside, notes, held"
    connection.executemany(
        f"insert into note_words_spelled ({columns}) values (?, ?, ?, ?, ?, ?, ?)",
        ((at, *row) for at, row in enumerate(rows, 1)),
    )
    common = {row[0]: at for at, row in enumerate(rows, 1) if not row[3] and held_by_many(*row[4:])}
    connection.executemany(
        "insert into note_words_pairs (first, second, notes, held) values (?, ?, ?, ?)",
        ((*pair, len(held), packed(held, number)) for pair, held in _side_by_side(connection, common)),
    )
    run(
        "insert into note_words_fragments (rowid, word) "
        "select id, word from note_words_spelled where beside = 0 order by id"
    )
    run("insert into note_words_fragments (note_words_fragments) values ('optimize')")
    counted = (notes, sum(times.values()), alike)
    run("insert into note_words_counted (id, notes, words, alike) values (1, ?, ?, ?)", counted)


def _side_by_side(
    connection: sqlite3.Connection, words: dict[str, int]
) -> list[tuple[tuple[int, int], list[int]]]:
    """Pairs of some words, by their numbers, with the notes in whose text they stand side by side."""
    found: dict[tuple[int, int], list[int]] = defaultdict(list)
    if words:
        for number, text in connection.execute("select id, text from note order by id"):
            numbers = [words.get(word, 0) for word in spelled(text)]
            for pair in set(pairwise(numbers)):
                if all(pair):
                    found[pair].append(number)
    return sorted(found.items())


def _terms(connection: sqlite3.Connection, words: Sequence[str]) -> dict[str, str]:
    """What the index of words makes of each word; without those that it takes for several words or none."""
    run = connection.execute
    run(
        "create virtual table temp.spelled_word using fts5 "
        "(word, tokenize='porter unicode61 remove_diacritics 2')"
    )
    connection.executemany("insert into temp.spelled_word (rowid, word) values (?, ?)", enumerate(words))
    run("create virtual table temp.spelled_term using fts5vocab (temp, spelled_word, instance)")
    found: dict[str, list[str]] = defaultdict(list)
    for term, at in run("select term, doc from temp.spelled_term"):
        found[words[at]].append(term)
    run("drop table temp.spelled_term")
    run("drop table temp.spelled_word")
    return {word: terms[0] for word, terms in found.items() if len(terms) == 1}


def _counted(connection: sqlite3.Connection) -> dict[str, tuple[int, int]]:
    """In how many notes each word of the index stands, and how often."""
    connection.execute("create virtual table temp.note_term using fts5vocab (main, note_words, row)")
    found = {
        term: (notes, often) for term, notes, often in connection.execute("select * from temp.note_term")
    }
    connection.execute("drop table temp.note_term")
    return found


def _told(
    terms: dict[str, str], times: Counter[str], places: Iterable[dict[str, list[int]]]
) -> dict[str, tuple[int, int]]:
    """The same by the words that were read."""
    lists: dict[str, list[list[int]]] = defaultdict(list)
    often: Counter[str] = Counter()
    for place in places:
        for word, notes in place.items():
            lists[terms[word]].append(notes)
    for word, count in times.items():
        often[terms[word]] += count
    return {
        term: (len(several[0]) if len(several) == 1 else len(set().union(*several)), often[term])
        for term, several in lists.items()
    }
