"""Names, search, notes, fixtures, shops, sources and findings, over the demo and over odd texts."""

from __future__ import annotations

import os
import shutil
import sqlite3
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handling_db.database import build as database
from handling_db.database import queries, schema
from handling_db.database.queries.words import every_fragment, every_word, fragments
from handling_db.errors import AmbiguousNameError, HandlingError, UnknownNameError
from handling_db.records.collection import Collection


@pytest.fixture(scope="module")
def connection(demo_db: Path) -> sqlite3.Connection:
    return queries.open_database(demo_db)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("gear-section", "gear-section"),
        ("GEAR-SECTION", "gear-section"),
        ("Differential  section", "differential-section"),
        ("rear half", "differential-section"),
        ("ph 31-1600", "auxiliary-drive"),
        ("pto", "auxiliary-drive"),
    ],
)
def test_a_name_of_any_kind(connection: sqlite3.Connection, name: str, code: str) -> None:
    assert queries.resolve(connection, name) == code


def test_a_name_that_nothing_goes_by_names_what_comes_near(connection: sqlite3.Connection) -> None:
    with pytest.raises(UnknownNameError) as refused:
        queries.resolve(connection, "gaer section")
    assert str(refused.value).startswith(
        "nothing here goes by 'gaer section'; near it: gear-section (Gear section)"
    )
    with pytest.raises(UnknownNameError, match="nothing comes near; look for a word of it with 'find'"):
        queries.resolve(connection, "§")


@pytest.fixture
def twins(tmp_path: Path) -> sqlite3.Connection:
    (tmp_path / "t.yml").write_text(
        "- {component: left, name: Left bracket, kind: part, also called: [bracket, 'arm (old)']}\n"
        "- {component: right, name: Right bracket, kind: part, also called: [Bracket], part number: B-77.4}\n"
        "- {component: '§§', name: '§§', kind: part}\n"
        "- {component: Größe, name: Straße 7, kind: part}\n"
    )
    database.build_database([tmp_path / "t.yml"], tmp_path / "x.db")
    return queries.open_database(tmp_path / "x.db")


def test_a_name_that_several_go_by_lists_them(twins: sqlite3.Connection) -> None:
    with pytest.raises(AmbiguousNameError) as refused:
        queries.resolve(twins, "BRACKET")
    assert refused.value.choices == (("left", "Left bracket"), ("right", "Right bracket"))


def test_names_of_signs_and_of_other_letters(twins: sqlite3.Connection) -> None:
    assert queries.resolve(twins, "§§") == "§§"
    assert queries.resolve(twins, "größe") == "Größe"
    assert queries.resolve(twins, "straße 7") == "Größe"
    assert queries.resolve(twins, "Arm (OLD)") == "left"


def test_fragments_of_part_numbers_with_or_without_their_signs(twins: sqlite3.Connection) -> None:
    for text in ("77.4", "b-77", "B774", "b 77 4"):
        assert [hit.id for hit in queries.search(twins, text, 5)] == ["right"], text


def test_words_beginnings_and_marks(connection: sqlite3.Connection) -> None:
    hits = queries.search(connection, "auxil dri", 5)
    assert hits[0].id in ("auxiliary-drive", "auxiliary-drive-plate")
    assert f"{queries.MARK_ON}Auxiliary{queries.MARK_OFF}" in hits[0].snippet
    assert {hit.kind for hit in hits} == {"component", "note"}


def test_a_model_is_found_as_it_is_written(connection: sqlite3.Connection) -> None:
    assert queries.search(connection, "PT-34", 5)
    assert queries.search(connection, "pt34", 5)


@pytest.mark.slow
@given(st.text(max_size=60))
@example('"')
@example("NEAR(")
@example("A")
@example("a AND NOT b OR")
@example("x:y*^")
@example("\0")
@example("\ud800 alone")
@example("'; drop table note; --")
@example("q" * 10_000)
@example("ǅ ﬁ ß İi")
def test_no_text_makes_a_search_fail(demo_db: Path, text: str) -> None:
    connection = queries.open_database(demo_db)
    try:
        assert len(queries.search(connection, text, 3)) <= 9  # components, lifts and notes
        queries.near_names(connection, text, 3)
        assert all(note.kind == "stored energy" or note.marked for note in queries.notes_for(connection, text=text)
                   if text.strip())  # fmt: skip
        with pytest.raises(HandlingError):
            queries.resolve(connection, f"{text} no such thing")
    finally:
        connection.close()


@given(st.text(alphabet="abcXYZ019 -./§ß", min_size=3, max_size=12), st.text(max_size=5), st.text(max_size=5))
def test_what_holds_a_text_holds_its_fragments(text: str, before: str, after: str) -> None:
    """The index finds every row that could hold the text; the text itself is then looked for."""
    inside = fragments(f"{before}{text}{after}")
    if before.strip() == before and after.strip() == after and text.strip() == text:
        assert set(fragments(text)) <= set(inside) or len(inside) == 60


def test_queries_are_quoted() -> None:
    assert every_word('rear "half" NEAR x_y') == '"rear"* "half"* "NEAR"* "x"* "y"*'
    assert every_word("…") is None
    assert every_fragment('a"bc') == '"a""b" AND """bc"'
    assert every_fragment("three letters") == '"thr" AND "let" AND "ter" AND "ers"'
    assert every_fragment("a b c") == '"a b" AND "b c"'
    assert every_fragment("ab") is None


def test_stored_energy_comes_first_whatever_is_asked(connection: sqlite3.Connection) -> None:
    everything = queries.notes_for(connection)
    kinds = [note.kind for note in everything]
    energy = [note.id for note in everything if note.kind == "stored energy"]

    assert kinds[: len(energy)] == ["stored energy"] * len(energy) != []
    assert queries.note_kinds(connection)[0] == "stored energy"
    for found in (
        queries.notes_for(connection, kind="tie"),
        queries.notes_for(connection, shop="low-tarrowby"),
        queries.notes_for(connection, text="pipe"),
    ):
        assert [note.id for note in found][: len(energy)] == energy


def test_notes_of_a_component_are_those_of_what_it_contains(
    connection: sqlite3.Connection, demo: Collection
) -> None:
    found = queries.notes_for(connection, "differential-section")
    below: set[str] = set()
    stack = ["differential-section"]
    while stack:
        here = stack.pop()
        if here not in below:
            below.add(here)
            stack += [line.component for line in demo.components[here].parts]
    replaced = {note.replaces for note in demo.notes.values()}
    wanted = {
        note.id for note in demo.notes.values() if note.about.component in below and note.id not in replaced
    }

    assert wanted <= {note.id for note in found}
    assert all(note.about in below or note.about_kind == "fixture" for note in found)


def test_filters_of_notes(connection: sqlite3.Connection) -> None:
    ties = queries.notes_for(connection, kind="tie")
    assert {note.kind for note in ties} == {"stored energy", "tie"}
    one = next(note for note in ties if note.kind == "tie")
    assert queries.note(connection, one.id) == one
    word = one.text.split()[0]
    marked = next(n for n in queries.notes_for(connection, text=word) if n.id == one.id)
    assert f"{queries.MARK_ON}{word}{queries.MARK_OFF}" in marked.marked
    with pytest.raises(UnknownNameError, match="there is no note 'none-such'"):
        queries.note(connection, "none-such")


def test_a_replaced_note_is_kept_and_not_shown(tmp_path: Path) -> None:
    note = "- {{note: {}, about: {{component: c}}, kind: order, text: Text {}., told by: shop, author: a, on: 2026-01-0{}, status: draft{}}}\n"
    (tmp_path / "n.yml").write_text(
        "- {component: c, name: C, kind: part}\n"
        + note.format("old", 1, 1, "")
        + note.format("new", 2, 2, ", replaces: old")
    )
    database.build_database([tmp_path / "n.yml"], tmp_path / "x.db")
    connection = queries.open_database(tmp_path / "x.db")

    assert [found.id for found in queries.notes_for(connection, "c")] == ["new"]
    assert queries.note(connection, "old").replaced_by == "new"
    assert [hit.id for hit in queries.search(connection, "text", 5) if hit.kind == "note"] == ["new"]


def test_a_note_about_a_joint_or_a_point_is_read_with_its_component(tmp_path: Path) -> None:
    note = "- {{note: {}, about: {{{}}}, kind: stored energy, text: Look., told by: shop, author: a, on: 2026-01-01, status: draft}}\n"
    (tmp_path / "n.yml").write_text(
        "- {component: a, name: A, kind: part, pick points: [{id: eye, name: Eye, at: [0 mm, 0 mm, 0 mm]}]}\n"
        "- {component: b, name: B, kind: part}\n"
        "- {component: u, name: U, kind: assembly, parts listed: all, parts: [{component: a, quantity: 1}, "
        "{component: b, quantity: 1}]}\n"
        "- {joint: j, name: Seam, within: u, between: [a, b], ties: [{id: pipe, kind: pipes, what: Oil pipe}]}\n"
        "- {lift group: g, name: Upper half, root: u, takes: [[a]]}\n"
        + note.format("one", "joint: j")
        + note.format("two", "tie: pipe")
        + note.format("three", "pick point: eye")
        + note.format("four", "lift group: g")
    )
    database.build_database([tmp_path / "n.yml"], tmp_path / "x.db")
    connection = queries.open_database(tmp_path / "x.db")

    assert {n.id: n.about_name for n in queries.notes_for(connection, "u")} == {
        "one": "Seam", "two": "Oil pipe", "three": "Eye", "four": "Upper half",
    }  # fmt: skip
    assert [n.id for n in queries.notes_for(connection, "a")] == ["three"]


def test_fixtures_shops_and_sources_are_all_there(connection: sqlite3.Connection, demo: Collection) -> None:
    assert {found.id for found in queries.fixtures_for(connection)} == set(demo.fixtures)
    assert {found.id for found in queries.shops(connection)} == set(demo.shops)
    assert {found.id for found in queries.sources(connection)} == set(demo.sources)
    for code, fixture in demo.fixtures.items():
        found = queries.fixture(connection, code)
        assert found.standing == fixture.standing
        assert [need.component for need in found.needs] == [need.component for need in fixture.needed_by]
        for need in fixture.needed_by:
            needed = queries.fixtures_for(connection, need.component)
            assert need.for_ in next(one.for_ for one in needed if one.id == code)
    for code, shop in demo.shops.items():
        found = queries.shop(connection, code)
        assert {mover.id for mover in found.movers} >= set(shop.movers)
        assert len(found.rules) == len(shop.rules)
    for code in demo.sources:
        found = queries.source(connection, code)
        assert found.count == len(found.rests)
    for ask, what in ((queries.fixture, "fixture"), (queries.shop, "shop"), (queries.source, "source")):
        with pytest.raises(UnknownNameError, match=f"there is no {what} 'none-such'"):
            ask(connection, "none-such")


def test_findings_gravest_first(connection: sqlite3.Connection) -> None:
    verdicts = [finding.verdict for finding in queries.findings_for(connection)]
    order = ["disagrees", "cannot be checked", "remark", "agrees"]
    assert verdicts == sorted(verdicts, key=order.index)
    (one,) = [f for f in queries.disagreements(connection) if f.rule == "parts-sum"]
    assert one.about_name == "Differential section"
    assert one in queries.findings_for(connection, "differential-section")
    assert one.gap_low == pytest.approx(23.873, abs=1e-3)
    assert one.file.startswith("demo/")


def test_the_stamp_says_what_there_is(connection: sqlite3.Connection, demo: Collection) -> None:
    stamp = queries.stamp(connection)
    assert stamp.demo
    assert stamp.in_words.startswith(f"{len(demo.components)} components; ")
    assert stamp.data_date == max(note.on.isoformat() for note in demo.notes.values()) or stamp.data_date


@pytest.mark.parametrize(
    "name", ["a b.db", "50%25 off.db", "what?.db", "x#1.db", "böck.db", "x&mode=rw.db", "\udcff.db"]
)
def test_a_file_of_any_name_is_opened_for_reading_only(tmp_path: Path, demo_db: Path, name: str) -> None:
    shutil.copyfile(demo_db, tmp_path / name)
    link = tmp_path / "link.db"
    link.symlink_to(tmp_path / name)
    for path in (tmp_path / name, os.fspath(tmp_path / name), link, tmp_path / "other" / ".." / name):
        (tmp_path / "other").mkdir(exist_ok=True)
        connection = queries.open_database(path)
        assert queries.exists(connection, "gear-section")
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            connection.execute("delete from component")


def test_what_cannot_be_opened(tmp_path: Path, demo_db: Path) -> None:
    with pytest.raises(HandlingError, match="there is no such database; build it with"):
        queries.open_database(tmp_path / "none.db")
    (tmp_path / "text.db").write_text("parent,child\n" * 200)
    with pytest.raises(HandlingError, match="not a database of this program"):
        queries.open_database(tmp_path / "text.db")
    other = sqlite3.connect(tmp_path / "other.db")
    other.execute("create table t (a)")
    other.close()
    with pytest.raises(HandlingError, match="not a database of this program; build one"):
        queries.open_database(tmp_path / "other.db")
    newer = tmp_path / "newer # 100%.db"
    newer.write_bytes(demo_db.read_bytes())
    changed = sqlite3.connect(newer)
    changed.execute(f"pragma user_version = {schema.VERSION + 1}")
    changed.close()
    with pytest.raises(HandlingError, match=f"its tables are version {schema.VERSION + 1}, this one reads"):
        queries.open_database(newer)


def test_nothing_can_be_written(connection: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        connection.execute("delete from note")


def test_every_question_takes_a_connection_with_named_rows(demo_db: Path) -> None:
    """The pages ask over connections whose rows are no tuples."""
    plain, named = queries.open_database(demo_db), queries.open_database(demo_db)
    named.row_factory = sqlite3.Row
    for ask in (
        lambda c: queries.stored_answer(c, "transfer-box"),
        lambda c: queries.what_if(c, "gear-section", state="dry"),
        lambda c: queries.search(c, "ring 31", 9),
        lambda c: queries.notes_for(c, "gear-section", text="hook"),
        queries.fixtures_for,
        queries.shops,
        queries.sources,
        queries.findings_for,
        queries.heaviest,
        queries.unweighed,
        lambda c: queries.near_names(c, "gaer"),
        lambda c: queries.usage_tree(c, "transfer-box", 4),
        lambda c: queries.source(c, "pt34-handbook"),
        queries.stamp,
    ):
        assert ask(plain) == ask(named)


def test_the_order_of_notes_holds_every_kind_and_no_other() -> None:
    """The order stands by itself so that a look-up needs no record models."""
    from handling_db.database.queries.notes import _ORDER
    from handling_db.records.kinds.note import NOTE_KINDS

    assert sorted(_ORDER) == sorted(NOTE_KINDS)
