"""Large tables: the fast path says what the records of the same rows say; mixing, faults, bytes."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from handling_db.database import build as database
from handling_db.database import queries
from handling_db.errors import HandlingError
from handling_db.files.folders import read_collection
from handling_db.findings import Verdict
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection, collect
from handling_db.tables.records import table_records
from handling_db.weights.answer import NOTHING_MORE
from handling_db.weights.compare import Judge
from tests.database.same_answers import differences, handed, plainer
from tests.reading import read_table

pytestmark = pytest.mark.slow


@pytest.fixture
def small_is_large(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a table of a few rows takes the way of a large one."""
    monkeypatch.setattr(database, "RECORD_ROWS", 5)


HEAD = "parent,child,quantity,mass,unit,step,plus_minus,u,state,boundary,source\n"


def random_table(seed: int, nodes: int = 40, lines: int = 110) -> str:
    """Shared parts, contradictions, wholes with every kind of boundary, hints, guesses and inferred figures."""
    chance = random.Random(seed)
    rows = [",n0,,,,,,,,,"]
    for _ in range(lines):
        parent = chance.randrange(nodes - 1)
        child = chance.randrange(parent + 1, nodes)
        mass = unit = step = half = u = state = source = boundary = ""
        if chance.random() < 0.7:
            mass, unit = f"{(child * 37 + seed) % 90 + 0.5 + chance.choice([0, 0, 0, 7]):.1f}", "kg"
            doubt = chance.random()
            step, half, u = ("0.5", "", "") if doubt < 0.2 else ("", "2", "") if doubt < 0.4 else ("", "", "")
            u = "0.3" if 0.4 <= doubt < 0.5 else ""
            state = chance.choice(["", "", "", "dry", "drained", "filled"])
            source = chance.choice(["", "weighed", "supplier's list", "inferred", "Catalogue 7", "nameplate"])
            boundary = chance.choice(
                [
                    "",
                    "as listed",
                    "as listed without none checked by fitter",
                    f"as listed without n{nodes - 1}",
                ]
            )
        quantity = chance.choice(["1", "2", "3", "0.5"])
        rows.append(
            f"n{parent},n{child},{quantity},{mass},{unit},{step},{half},{u},{state},{boundary},{source}"
        )
    return HEAD + "\n".join(rows) + "\n"


def records_of(file: Path) -> Collection:
    kinds = read_collection([]).collection
    read = read_table(file, kinds=kinds.source_kinds)
    assert read.table is not None
    made = table_records(read.table, kinds=kinds.source_kinds).collection
    return collect([*made.records(), *kinds.records()], made.lines)


@pytest.mark.parametrize("seed", [0, 3, 5])
def test_rows_and_records_say_the_same(small_is_large: None, tmp_path: Path, seed: int) -> None:
    file = tmp_path / "t.csv"
    file.write_text(random_table(seed, nodes=26, lines=70))
    collection = records_of(file)
    judge = Judge(collection)
    database.build_database([], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")
    chance = random.Random(seed)

    assert connection.execute("select count(*) from record where kind = 'component'").fetchone() == (0,)
    for code in collection.components:
        worked = plainer(handed(answer(collection, code), judge))
        assert differences(worked, plainer(queries.stored_answer(connection, code)), code) == []
        assert differences(worked, plainer(queries.what_if(connection, code)), code) == []
        below = sorted({use.part.id for use in queries.usage_tree(connection, code, 3)})
        if below:
            off = chance.sample(below, min(2, len(below)))
            worked = plainer(handed(answer(collection, code, without=off), judge))
            found = plainer(queries.what_if(connection, code, without=off))
            if any(state.rests != NOTHING_MORE for state in found.states):
                continue  # worked out from records with all the evidence, since a stated whole is in it
            assert differences(worked, found, f"{code} without {off}") == []


@pytest.mark.parametrize("seed", [12])
def test_verdicts_are_those_of_the_checker(small_is_large: None, tmp_path: Path, seed: int) -> None:
    """The same stated wholes with the same verdicts, the same parts without a mass, the same contradictions."""
    from handling_db.checker import check

    file = tmp_path / "t.csv"
    file.write_text(random_table(seed, nodes=26, lines=70))
    collection = records_of(file)
    report = database.build_database([], tmp_path / "x.db", tables=[file])

    def sums(findings: object) -> list[tuple[str, str]]:
        rules = ("parts-sum", "circular")
        return sorted((f.about, str(f.verdict)) for f in findings if f.rule in rules)  # type: ignore[attr-defined]

    assert sums(report.findings) == sums(check(collection))
    missing = [f for f in check(collection) if f.rule == "mass-missing"]
    told = [f for f in report.findings if f.rule == "mass-missing"]
    assert len(told) == bool(missing)
    if missing:
        assert told[0].sentence.startswith(f"{len(missing)} part")


def test_more_than_one_figure_goes_by_trust(small_is_large: None, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_text(
        HEAD + "a,b,2,10.0,kg,,,,,,supplier's list\na,b,1,11.0,kg,,,,,,weighed\n"
        "a,c,1,4.0,kg,,,,,,by eye\n" + "".join(f"a,d{i},1,1.0,kg,,,,,,\n" for i in range(6))
    )
    database.build_database([], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")
    part = queries.stored_answer(connection, "b")

    assert [statement.printed for statement in part.statements] == ["11.0 kg", "10.0 kg"]
    assert part.headline.best == 11.0
    assert queries.stored_answer(connection, "c").headline.nothing_known
    assert [named.id for named in queries.stored_answer(connection, "a").headline.unknown] == ["c"]


def test_same_bytes(small_is_large: None, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_text(random_table(3))
    one = database.build_database([], tmp_path / "one.db", tables=[file])
    two = database.build_database([], tmp_path / "two.db", tables=[file])
    assert one.stamp == two.stamp
    assert one.out.read_bytes() == two.out.read_bytes()


def test_a_circle_is_named(small_is_large: None, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_text("parent,child,quantity\n" + "".join(f"n{i},n{i + 1},1\n" for i in range(8)) + "n6,n2,1\n")
    with pytest.raises(database.BuildRefused) as refused:
        database.build_database([], tmp_path / "x.db", tables=[file])

    (found,) = refused.value.findings
    assert str(found).startswith(
        f"{file}:4: parent: n2 contains n3 contains n4 contains n5 contains n6 contains n2: nothing can contain"
    )
    assert not (tmp_path / "x.db").exists()


def test_a_boundary_that_names_nothing_there_is(small_is_large: None, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    rows = "".join(f"a,b{i},1,1.0,kg,,,,,,\n" for i in range(6))
    file.write_text(f"{HEAD},a,,9.0,kg,,,,,as listed without pump,\n{rows}")
    with pytest.raises(database.BuildRefused, match=r"t.csv:2: boundary: there is no component 'pump'"):
        database.build_database([], tmp_path / "x.db", tables=[file])


@pytest.mark.parametrize("most", [5, 5_000])
def test_a_total_beyond_all_numbers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    """By whole columns and as records."""
    monkeypatch.setattr(database, "RECORD_ROWS", most)
    file = tmp_path / "t.csv"
    rows = "".join(f"n{i},n{i + 1},9e8,,\n" for i in range(40))
    file.write_text(f"parent,child,quantity,mass,unit\n{rows}n40,n41,1,5.0,kg\n")
    with pytest.raises(HandlingError, match=r"larger than any number that can be kept"):
        database.build_database([], tmp_path / "x.db", tables=[file])
    assert not (tmp_path / "x.db").exists()


def test_notes_and_fixtures_may_speak_of_a_large_table(small_is_large: None, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_text(random_table(4))
    (tmp_path / "notes.yml").write_text(
        "- {note: one, about: {component: n7}, kind: order, text: Pin out first., told by: shop, author: fitter, "
        "on: 2026-04-02, status: draft}\n"
        "- {fixture: stand, name: Stand, kind: stand, needed by: [{component: n7, for: turning}]}\n"
        "- {component: n0-crate, name: Crate, kind: part, masses: [{printed: 7.0 kg, source: us}]}\n"
        "- {source: us, name: We, kind: weighed}\n"
    )
    report = database.build_database([tmp_path / "notes.yml"], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")

    assert [finding for finding in report.findings if finding.verdict is Verdict.FAULT] == []
    assert [note.id for note in queries.notes_for(connection, "n7")] == ["one"]
    assert [note.about_name for note in queries.notes_for(connection)] == ["n7"]
    assert [fixture.for_ for fixture in queries.fixtures_for(connection, "n7")] == ["turning"]
    assert queries.stored_answer(connection, "n0-crate").headline.best == 7.0
    assert queries.stamp(connection).data_date == "2026-04-02"
    assert report.counts["components"] == 41


@pytest.mark.parametrize(
    ("record", "field"),
    [
        ("- {component: n5, name: Five, kind: part}\n", "component"),
        (
            "- {component: x, name: X, kind: assembly, parts listed: all, "
            "parts: [{component: n5, quantity: 1}]}\n",
            "parts",
        ),
        (
            "- {weighing: w, of: n5, gross: 5.0 kg, tare: none, checked by: fitter, source: us, on: 2026-01-02, "
            "by: fitter}\n- {source: us, name: We, kind: weighed}\n",
            "of",
        ),
    ],
)
def test_records_cannot_add_to_a_large_table(
    small_is_large: None, tmp_path: Path, record: str, field: str
) -> None:
    file, records = tmp_path / "t.csv", tmp_path / "r.yml"
    file.write_text(random_table(4))
    records.write_text(record)
    with pytest.raises(database.BuildRefused) as refused:
        database.build_database([records], tmp_path / "x.db", tables=[file])
    (found,) = refused.value.findings[-1:]
    assert str(found).startswith(f"{records}:1: {field}: 'n5' stands in a table with more rows than")


def test_two_large_tables_are_one_graph(small_is_large: None, tmp_path: Path) -> None:
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    one.write_text(HEAD + "".join(f"top,m{i},1,,,,,,,,\n" for i in range(6)))
    two.write_text(HEAD + "".join(f"m{i},bolt,4,0.5,kg,,,,,,weighed\n" for i in range(6)))
    database.build_database([], tmp_path / "x.db", tables=[one, two])
    connection = queries.open_database(tmp_path / "x.db")
    found = queries.stored_answer(connection, "top")

    assert found.headline.best == 12.0
    assert (
        queries.stored_answer(connection, "bolt").statements[0].source_name == "two.csv: weighed on a scale"
    )


def test_two_large_tables_cannot_both_list_an_assembly(small_is_large: None, tmp_path: Path) -> None:
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    one.write_text(HEAD + "".join(f"top,m{i},1,,,,,,,,\n" for i in range(6)))
    two.write_text(HEAD + "".join(f"top,k{i},1,,,,,,,,\n" for i in range(6)))
    with pytest.raises(database.BuildRefused, match=r"the parts of 'top' are listed in .*one.csv as well"):
        database.build_database([], tmp_path / "x.db", tables=[one, two])


def test_places_are_kept_for_the_asking(small_is_large: None, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    head = "parent,child,quantity,mass,unit,x,y,z,length_unit,yaw (deg)\n"
    file.write_text(head + "".join(f"a,b{i},1,2.0,kg,{i * 100},0,0,mm,90\n" for i in range(7)))
    database.build_database([], tmp_path / "x.db", tables=[file])
    found = queries.what_if(queries.open_database(tmp_path / "x.db"), "a", without=["b0"])

    assert found.headline.centre is not None
    assert found.headline.centre[0] == pytest.approx(0.35)
    assert found.headline.best == 12.0


def test_too_many_lines_for_another_question(
    small_is_large: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from handling_db.database.queries import large as queries_large

    monkeypatch.setattr(queries_large, "MOST_LINES", 3)
    file = tmp_path / "t.csv"
    file.write_text(random_table(5))
    database.build_database([], tmp_path / "x.db", tables=[file])
    with pytest.raises(
        HandlingError, match="n0 has more than 3 part lines below it, too many to be worked out"
    ):
        queries.what_if(queries.open_database(tmp_path / "x.db"), "n0", given_texts={"discs": "8"})


def test_small_tables_are_records(tmp_path: Path) -> None:
    """Both ways in give the same file of answers: a table of few rows has every detail."""
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    one.write_text("parent,child,quantity,mass,unit,source\ntop,bolt,4,0.5,kg,weighed\n")
    two.write_text("parent,child,quantity,mass,unit,source\nrack,bolt,2,0.6,kg,weighed\n")
    database.build_database([], tmp_path / "x.db", tables=[one, two])
    connection = queries.open_database(tmp_path / "x.db")

    bolt = queries.stored_answer(connection, "bolt")
    assert sorted(statement.printed for statement in bolt.statements) == ["0.5 kg", "0.6 kg"]
    assert [named.id for named in bolt.goes_into] == ["rack", "top"]
    assert queries.stored_answer(connection, "top").headline.half_width_worst > 0


@pytest.mark.parametrize(
    ("record", "table", "words"),
    [
        (
            "- {component: top, name: Top, kind: part}\n",
            "parent,child,quantity\ntop,bolt,1\n",
            "'top' stands elsewhere already (",
        ),
        (
            "- {component: bolt, name: Bolt, kind: part}\n",
            "parent,child,quantity,mass,unit\ntop,bolt,1,0.5,kg\n",
            "and this table says what it weighs as well; write it in one place",
        ),
    ],
)
def test_a_table_cannot_add_to_a_record(tmp_path: Path, record: str, table: str, words: str) -> None:
    (tmp_path / "r.yml").write_text(record)
    (tmp_path / "t.csv").write_text(table)
    with pytest.raises(database.BuildRefused) as refused:
        database.build_database([tmp_path / "r.yml"], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    assert words in str(refused.value)


def test_a_table_may_mention_a_record(tmp_path: Path) -> None:
    (tmp_path / "r.yml").write_text(
        "- {component: bolt, name: Bolt, kind: part, masses: [{printed: 0.5 kg, source: s}]}\n"
        "- {source: s, name: S, kind: weighed}\n"
    )
    (tmp_path / "t.csv").write_text("parent,child,quantity\ntop,bolt,4\n")
    database.build_database([tmp_path / "r.yml"], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    assert queries.stored_answer(queries.open_database(tmp_path / "x.db"), "top").headline.best == 2.0


def test_twenty_thousand_levels_and_forty_diamonds(tmp_path: Path) -> None:
    """The fast path, in earnest: a chain as a spreadsheet would hardly have it."""
    depth = 20_000
    rows = [f"n{i},n{i + 1},1,," for i in range(depth - 1)] + [f"n{depth - 1},n{depth},1,1.5,kg"]
    rows += [f"d{i},d{i + 1},1,," for i in range(40) for _ in range(2)]
    rows.append("d39,d40,1,2.0,kg")
    file = tmp_path / "t.csv"
    file.write_text("parent,child,quantity,mass,unit\n" + "\n".join(rows) + "\n")
    database.build_database([], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")

    assert queries.stored_answer(connection, "n0").headline.best == 1.5
    assert queries.stored_answer(connection, "d0").headline.best == 3 * 2.0 * 2**39
    assert connection.execute("select max(height) from component").fetchone() == (depth,)


def test_what_is_left_when_everything_is_off(small_is_large: None, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_text(HEAD + "".join(f"a,b{i},1,2.0,kg,,,,,,\n" for i in range(6)) + "top,a,1,,,,,,,,\n")
    database.build_database([], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")
    off = [f"b{i}" for i in range(6)]
    found = queries.what_if(connection, "top", without=off, state="dry")
    worked = answer(records_of(file), "top", without=off, state="dry")

    assert found.headline.best == 0.0
    assert differences(plainer(worked), plainer(found)) == []
    with pytest.raises(HandlingError, match="'top' is not in a, so it cannot be off already"):
        queries.what_if(connection, "a", without=["top"])


def test_states_apart_have_rows_of_their_own(small_is_large: None, tmp_path: Path) -> None:
    """A whole stated filled, of something nobody weighed in full, stands for it filled and only then."""
    file = tmp_path / "t.csv"
    known = "as listed without none checked by fitter"
    file.write_text(
        HEAD + f",a,,50.0,kg,,,,filled,{known},weighed\n"
        + "".join(f"a,b{i},1,2.0,kg,,,,,,\n" for i in range(6)) + "a,c,1,,,,,,,,\n"
    )  # fmt: skip
    database.build_database([], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")
    dry, _, filled = queries.stored_answer(connection, "a").states

    assert (dry.low, dry.high, dry.basis) == pytest.approx((11.7, 50.3, "inferred from a weighed whole"))
    assert (filled.best, filled.complete) == (50.0, True)
    assert filled.basis == "whole, not from parts"
    states = connection.execute("select state from total where component = 1 order by state").fetchall()
    assert states == [("drained",), ("dry",), ("filled",)]
    assert connection.execute("select count(*) from total where state = 'every'").fetchone() == (6,)
    records = records_of(file)
    for code in ("a", "c", "b0"):
        worked = answer(records, code).states
        for told in (
            queries.stored_answer(connection, code).states,
            queries.what_if(connection, code).states,
        ):
            assert [float(one.high) for one in told] == pytest.approx([float(one.high) for one in worked])
            assert [one.complete for one in told] == [one.complete for one in worked]


LEVELS = """level,item,name,quantity,mass,unit,part number,note
0,unit,Unit,1,90,kg,U-1,
1,case,Case,1,40,kg,C-77,keep upright
1,train,Train,1,,,,
2,shaft,Shaft,1,20,kg,S-1,
2,gear,Gear,2,5,kg,G-9,
1,shims,Shims,1,0.5,kg,K-1,
"""


def test_a_list_that_nobody_calls_complete_makes_no_complete_total(
    small_is_large: None, tmp_path: Path
) -> None:
    (tmp_path / "t.csv").write_text(LEVELS)
    database.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    connection = queries.open_database(tmp_path / "x.db")

    for found in (queries.stored_answer(connection, "train"), queries.what_if(connection, "train")):
        assert (float(found.headline.best), found.headline.complete) == (pytest.approx(30), False)
        assert found.headline.planning is None


def test_beside_another_table_a_list_stays_as_it_was_called(small_is_large: None, tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text(LEVELS)
    rows = "".join(f"rack,p{i},1,1.0,kg\n" for i in range(7))
    (tmp_path / "u.csv").write_text(f"parent,child,quantity,mass,unit\n{rows}")
    database.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv", tmp_path / "u.csv"])
    connection = queries.open_database(tmp_path / "x.db")

    assert not queries.stored_answer(connection, "train").headline.complete
    assert queries.stored_answer(connection, "rack").headline.complete


def test_part_numbers_kinds_and_remarks_of_rows_are_kept(small_is_large: None, tmp_path: Path) -> None:
    head = "parent,child,quantity,mass,unit,part number,remark,kind\n"
    rows = ["rack,p0,1,1.0,kg,PN 0-1,keep upright,part\n", "rack,shims,1,1.0,kg,,,set\n"]
    more = "".join(f"other,q{i},1,1.0,kg,PN {i},,\n" for i in range(7))
    (tmp_path / "t.csv").write_text(head + "".join(rows) + "rack,p1,1,1.0,kg,,,\n" * 5)
    (tmp_path / "u.csv").write_text(head + more)
    database.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv", tmp_path / "u.csv"])
    connection = queries.open_database(tmp_path / "x.db")
    ask = "select part_number, remark, kind from component where code = ?"

    assert connection.execute(ask, ("p0",)).fetchone() == ("PN 0-1", "keep upright", "part")
    assert connection.execute(ask, ("shims",)).fetchone() == (None, None, "set")
    assert queries.resolve(connection, "PN 3") == "q3"
