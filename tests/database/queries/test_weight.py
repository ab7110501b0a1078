"""The stored look-up is the worked-out one: for the demo, for random collections, for deep and shared trees."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handling_db.database import build as database
from handling_db.database import queries
from handling_db.errors import HandlingError, UnknownNameError
from handling_db.files.folders import read_collection
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection
from handling_db.records.in_hand import open_jobs
from handling_db.records.parts.texts import STATES
from handling_db.weights.compare import Judge
from tests.database.same_answers import differences

COUNT = 9


@pytest.mark.slow
def test_every_component_of_the_demo(demo_db: Path, demo: Collection) -> None:
    connection = queries.open_database(demo_db)
    for code in demo.components:
        worked = replace(answer(demo, code), jobs=open_jobs(demo, code))
        assert differences(worked, queries.stored_answer(connection, code), code) == []
        assert differences(worked, queries.what_if(connection, code), code) == []


@pytest.mark.slow
def test_states_and_parts_off_in_the_demo(demo_db: Path, demo: Collection) -> None:
    """What is worked out from the few records of one component is what all records give."""
    connection = queries.open_database(demo_db)
    for code, component in demo.components.items():
        for state in STATES:
            off = [line.component for line in component.parts[:1]]
            worked = answer(demo, code, state=state, without=off)
            worked = replace(worked, jobs=open_jobs(demo, code))
            found = queries.what_if(connection, code, state=state, without=off)
            assert differences(worked, found, code) == []


def test_another_build_of_the_demo(demo_db: Path, demo: Collection) -> None:
    connection = queries.open_database(demo_db)
    found = queries.what_if(connection, "lock-clutch-pack", given_texts={"discs": "12"})

    assert [value.text for value in found.build if value.name == "discs"] == ["12"]
    usual = queries.stored_answer(connection, "lock-clutch-pack")
    assert found.headline.best > usual.headline.best


@pytest.mark.parametrize(
    ("question", "words"),
    [
        ({"given_texts": {"discs": "13"}}, "4 to 12"),
        ({"given_texts": {"nonsense": "1"}}, "has no parameter 'nonsense'"),
        ({"state": "wet"}, "'wet' is not a state; write one of: dry, drained, filled"),
        ({"without": ["transfer-box"]}, "'transfer-box' is not in Lock clutch pack, so it cannot be off"),
    ],
)
def test_questions_that_make_no_sense(demo_db: Path, question: dict[str, object], words: str) -> None:
    connection = queries.open_database(demo_db)
    with pytest.raises(HandlingError) as refused:
        queries.what_if(connection, "lock-clutch-pack", **question)  # type: ignore[arg-type]
    assert words in str(refused.value)


def test_unknown_component(demo_db: Path) -> None:
    connection = queries.open_database(demo_db)
    with pytest.raises(UnknownNameError, match="nothing here goes by 'no-such-thing-at-all'"):
        queries.stored_answer(connection, "no-such-thing-at-all")


@st.composite
def records(draw: st.DrawFn) -> str:
    """A random collection: shared parts, fluids, wholes with and without boundary, places, open lists."""
    text = (
        "- {source: scale, name: Scale, kind: weighed, on: 2026-01-05, instrument: {name: s, step: 0.5 kg, "
        "calibration doubt: 0.2 kg}}\n- {source: book, name: Book, kind: maker's manual}\n"
        "- {source: eye, name: Look, kind: by eye}\n- {source: shape, name: Shape, kind: 'from shape, machined'}\n"
    )
    kinds = draw(st.lists(st.sampled_from(["part", "part", "fluid"]), min_size=3, max_size=3))
    source = st.sampled_from(["scale", "book", "eye", "shape"])
    mass = st.integers(1, 400).map(lambda tenths: f"{tenths / 10} kg")
    for node in range(COUNT):
        below = range(node + 1, COUNT)
        assembly = node < COUNT - 3
        kind = "assembly" if assembly else kinds[node - COUNT + 3]
        lines = [f"- component: n{node}", f"  name: Node {node}", f"  kind: {kind}"]
        stated = draw(st.lists(st.tuples(mass, source), max_size=2)) if kind != "fluid" else []
        if assembly:
            how = draw(st.sampled_from(["all", "all", "all", "some", None]))
            lines += [f"  parts listed: {how}"] if how else []
            lines.append("  parts:")
            for child in draw(st.lists(st.sampled_from([*below]), min_size=1, max_size=3)):
                place = draw(st.sampled_from(["", ", at: [10 mm, 0 mm, -5 mm], quantity: 1"]))
                number = "" if place else f", quantity: {draw(st.integers(1, 4))}"
                lines.append(f"    - {{component: n{child}{number}{place}}}")
        elif kind == "fluid":
            stays = draw(st.sampled_from(["", ", stays: 0.3 L", ", stays: none, checked by: fitter"]))
            lines.append(f"  fluid: {{litres: {draw(st.integers(1, 30))} L, density: 0.88 kg/L{stays}}}")
        if stated:
            lines.append("  masses:")
        for printed, by in stated:
            state = draw(st.sampled_from(["", ", state: dry", ", state: drained", ", state: filled"]))
            bound = draw(
                st.sampled_from(
                    ["", ", counts: as listed, without: none, checked by: fitter", ", counts: as listed"]
                )
            )
            line = f"    - {{printed: {printed}, source: {by}{state}{bound}}}"
            if line not in lines:
                lines.append(line)  # the same figure twice would have one id, which is a fault
        text += "\n".join(lines) + "\n"
    return text


@pytest.mark.slow
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(records())
def test_random_collections(text: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "records"
        folder.mkdir()
        (folder / "all.yml").write_text(text)
        collection = read_collection([folder]).collection
        database.build_database([folder], Path(name) / "x.db")
        connection = queries.open_database(Path(name) / "x.db")
        for code in collection.components:
            worked = answer(collection, code)
            assert differences(worked, queries.stored_answer(connection, code), code) == []
            assert differences(worked, queries.what_if(connection, code), code) == []
        connection.close()


def chain(depth: int) -> str:
    part = "- {{component: n{0}, name: n{0}, kind: part, masses: [{{printed: 1.5 kg, source: s}}]}}\n"
    line = (
        "- {{component: n{0}, name: n{0}, kind: assembly, parts listed: all, "
        "parts: [{{component: n{1}, quantity: {2}}}]}}\n"
    )
    text = "- {source: s, name: S, kind: weighed}\n" + part.format(depth)
    return text + "".join(line.format(i, i + 1, 1) for i in range(depth))


def test_forty_levels_of_diamonds(tmp_path: Path) -> None:
    (tmp_path / "d.yml").write_text(
        "- {source: s, name: S, kind: weighed}\n"
        "- {component: n40, name: n40, kind: part, masses: [{printed: 1.5 kg, source: s}]}\n"
        + "".join(
            f"- {{component: n{i}, name: n{i}, kind: assembly, parts listed: all, parts: ["
            f"{{component: n{i + 1}, quantity: 1}}, {{component: n{i + 1}, quantity: 1}}]}}\n"
            for i in range(40)
        )
    )
    database.build_database([tmp_path / "d.yml"], tmp_path / "x.db")
    found = queries.stored_answer(queries.open_database(tmp_path / "x.db"), "n0")
    assert found.headline.best == 1.5 * 2**40
    assert found.headline.half_width_worst > 0


@pytest.mark.slow
def test_a_deep_chain_of_records_leaves_details_to_the_asking(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The deepest nodes have all details, the others best, low and high; all have the same total."""
    from handling_db.database import component_rows as rows

    depth = 120
    monkeypatch.setattr(rows, "component_rows", partial(rows.component_rows, steps=2_000))
    (tmp_path / "c.yml").write_text(chain(depth))
    database.build_database([tmp_path / "c.yml"], tmp_path / "x.db")
    connection = queries.open_database(tmp_path / "x.db")
    top, low = queries.stored_answer(connection, "n0"), queries.stored_answer(connection, f"n{depth - 5}")

    assert top.headline.best == low.headline.best == 1.5
    assert top.headline.planning == low.headline.planning
    assert top.headline.u is None
    assert low.headline.u is not None
    assert connection.execute("select max(height) from component").fetchone() == (depth,)


def test_what_is_missing_is_named_also_where_it_was_left_to_the_asking(tmp_path: Path) -> None:
    from handling_db.database.component_rows import component_rows
    from handling_db.database.list_rows import list_rows, number_all, record_rows
    from handling_db.database.rows import RowsByTable

    text = chain(4).replace("masses: [{printed: 1.5 kg, source: s}]", "remark: nobody weighed it")
    (tmp_path / "c.yml").write_text(text.replace("component: n3, quantity: 1", "component: n3, quantity: 2"))
    collection = read_collection([tmp_path / "c.yml"]).collection
    rows = RowsByTable()
    number_all(rows, collection)
    list_rows(rows, collection)
    record_rows(rows, collection)
    component_rows(rows, Judge(collection), steps=0)
    database.publish(tmp_path / "x.db", lambda made: _fill(made, rows))
    found = queries.stored_answer(queries.open_database(tmp_path / "x.db"), "n0").headline

    worked = answer(collection, "n0").headline
    assert found.unknown == worked.unknown
    assert found.unknown[0].pieces == 2
    assert found.why_none == worked.why_none == "1 part has no mass"


def _fill(made: object, rows: object) -> None:
    from handling_db.database import schema

    made.executescript(schema.TABLES)  # type: ignore[attr-defined]
    rows.write(made)  # type: ignore[attr-defined]


def test_a_look_up_imports_nothing_heavy(demo_db: Path) -> None:
    """So that it starts fast: only another build, state or selection needs the records."""
    code = (
        "import sys; from pathlib import Path; from handling_db.database import queries\n"
        f"c = queries.open_database(Path({str(demo_db)!r})); queries.stored_answer(c, queries.resolve(c, 'rear half'))\n"
        "queries.search(c, 'ring', 5); queries.notes_for(c, 'gear-section')\n"
        "heavy = {'pydantic', 'numpy', 'yaml', 'pint', 'sqlite_utils', 'datasette'} & sys.modules.keys()\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_tree_opens_level_by_level(demo_db: Path) -> None:
    connection = queries.open_database(demo_db)
    one = queries.usage_tree(connection, "transfer-box", 1)
    two = queries.usage_tree(connection, "transfer-box", 2)

    assert [branch.part.id for branch in one] == [branch.part.id for branch in two]
    assert all(branch.below == () for branch in one)
    for branch in two:
        if branch.part.has_parts and branch.below:
            stored = queries.stored_answer(connection, branch.part.id)
            assert tuple(below.part for below in branch.below) == stored.parts
    cut = queries.usage_tree(connection, "transfer-box", 9, most=1)
    assert [branch.part.id for branch in cut] == [branch.part.id for branch in one]


def test_a_part_in_another_build_is_shown_in_it_and_not_opened(tmp_path: Path) -> None:
    (tmp_path / "b.yml").write_text(
        "- {source: s, name: S, kind: weighed}\n"
        "- {component: disc, name: Disc, kind: part, masses: [{printed: 2.0 kg, source: s}]}\n"
        "- {component: pack, name: Pack, kind: assembly, parts listed: all, "
        "parameters: {discs: {default: 8, from: 4, to: 12}}, parts: [{component: disc, quantity: discs}]}\n"
        "- {component: drive, name: Drive, kind: assembly, parts listed: all, parts: "
        "[{component: pack, quantity: 1, set: {discs: 12}}, {component: pack, quantity: 1}]}\n"
    )
    database.build_database([tmp_path / "b.yml"], tmp_path / "x.db")
    twelve, eight = queries.usage_tree(queries.open_database(tmp_path / "x.db"), "drive", 3)

    assert (twelve.part.best, eight.part.best) == (24.0, 16.0)
    assert twelve.below == ()
    assert [branch.part.quantity for branch in eight.below] == [8.0]


def test_heaviest_first_and_unweighed_by_name(demo_db: Path) -> None:
    connection = queries.open_database(demo_db)
    figures = [
        heavy.state.planning if heavy.state.planning is not None else heavy.state.best
        for heavy in queries.heaviest(connection, 20)
    ]
    assert figures == sorted(figures, reverse=True)
    names = [named.name for named in queries.unweighed(connection, 20)]
    assert names == sorted(names)
    assert "Auxiliary drive" in names
