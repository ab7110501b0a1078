"""The page on the database says what its schema says, and every question of the stock pages has an answer."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
import yaml

from handling_db.database.building import build_with_bar
from handling_db.database.described import described
from tests.docs.write_database import PAGE, PICTURE, page, picture
from tests.sharing.received import received

ROOT = Path(__file__).parents[2]
DESCRIBED = yaml.safe_load((ROOT / "metadata.yml").read_text("utf-8"))["databases"]["handling"]


@pytest.fixture(scope="module")
def demo(demo_db: Path) -> sqlite3.Connection:
    return sqlite3.connect(demo_db)


def test_the_page_and_its_picture_are_current() -> None:
    """If this fails: ``python -m tests.docs.write_database``."""
    assert PAGE.read_text("utf-8") == page()
    assert PICTURE.read_text("utf-8") == picture()


def test_what_is_described_is_there() -> None:
    assert set(DESCRIBED["tables"]) <= {table.name for table in described()}
    assert {table.name for table in described() if table.view} <= set(DESCRIBED["tables"])


@pytest.mark.parametrize("name", DESCRIBED["queries"])
def test_a_canned_query_runs(demo: sqlite3.Connection, name: str) -> None:
    query = DESCRIBED["queries"][name]

    demo.execute(query["sql"], dict.fromkeys(query.get("params", ()), ""))


def test_which_lifts_use_a_sling_is_one_query(demo: sqlite3.Connection) -> None:
    sql = DESCRIBED["queries"]["lifts_with_this_gear"]["sql"]

    lifts = {lift for lift, _, _ in demo.execute(sql, {"gear": "chain-three-leg-900"})}

    assert lifts == {"section-off-the-truck", "upper-half-lift"} | lifts
    assert (
        demo.execute("select count(*) from what_still_holds where there is null or there = 'yes'").fetchone()[
            0
        ]
        > 0
    )
    assert demo.execute("select tie, unit from temporary_ties_in").fetchall() == [("red-m10", "transfer-box")]
    assert demo.execute("select max(rated_kg) from ratings_of_gear").fetchone() == (4250.0,)


def test_limits_are_figures_in_kilograms(demo: sqlite3.Connection) -> None:
    rows = demo.execute(
        "select mover.rated, limit_kg.kg from limit_kg join mover on mover.code = limit_kg.code "
        "where limit_kg.kind = 'mover' and what = 'rated'"
    ).fetchall()

    assert rows
    factor = {"kg": 1.0, "t": 1000.0, "lb": 0.45359237}
    for text, kg in rows:
        number, unit = text.replace(",", "").split()
        assert kg == pytest.approx(float(number) * factor[unit], rel=1e-12)


def test_rows_of_plates_and_charts_are_figures(demo: sqlite3.Connection) -> None:
    truck = demo.execute(
        "select load_centre_m, height_m, rated_kg from mover_rating join mover on mover.id = mover "
        "where mover.code = 'tarrowby-reach-truck' order by position"
    ).fetchall()
    at = demo.execute(
        "select at, rated_kg from ratings where kind = 'mover' and code = 'tarrowby-reach-truck'"
    )

    assert truck == [(0.6, 1.6, 1000.0), (0.6, 2.9, 650.0), (0.7, 1.6, 800.0)]
    assert ("load centre 0.7 m", 800.0) in at.fetchall()
    hand = demo.execute("select kg from limit_kg where kind = 'shop' and what = 'hand limit'").fetchall()
    assert hand == [(25.0,), (25.0,)]


def test_what_holds_a_part_however_deep(demo: sqlite3.Connection) -> None:
    sql = DESCRIBED["queries"]["what_holds_this_part"]["sql"]
    above: dict[str, set[str]] = {}
    for child, parent in demo.execute(
        "select c.code, p.code from usage join component c on c.id = child join component p on p.id = parent "
        "where quantity > 0"
    ):
        above.setdefault(child, set()).add(parent)

    def holders(code: str) -> set[str]:
        return above.get(code, set()).union(*(holders(one) for one in above.get(code, ())))

    for code in ("gear-section", "transfer-box", *sorted(above)[:20]):
        assert {row[1] for row in demo.execute(sql, {"component": code})} == holders(code)


def test_inspections_and_notes(demo: sqlite3.Connection) -> None:
    due = demo.execute(DESCRIBED["queries"]["inspections_due_by"]["sql"], {"day": "2026-12-31"}).fetchall()
    assert ("gear", "eye-bolt-m16") in {row[:2] for row in due}
    assert all(row[3] <= "2026-12-31" for row in due)
    kinds = [kind for (kind,) in demo.execute("select kind from notes_in_force")]
    assert kinds[0] == "stored energy"
    assert "stored energy" not in kinds[kinds.count("stored energy") :]
    assert demo.execute("select count(*) from nobody_weighed where code = 'auxiliary-drive'").fetchone() == (
        1,
    )


def test_planned_jobs_and_what_came_from_elsewhere(tmp_path: Path) -> None:
    folder = received(tmp_path / "own")
    (folder / "plan.yml").write_text(
        "- job plan: apart\n  name: Apart\n  unit: drive-box\n  shop: quay\n  steps:\n"
        "    - {do: look, what: look at it}\n"
        "    - {do: hook on, what: hook on the rear half, lift group: rear-up}\n"
        "    - {do: part, what: part the halves, joint: halves}\n"
        "    - {do: set down, what: onto the stand, rests: {on: stand, fixture: stand}}\n"
    )
    build_with_bar([folder], tmp_path / "own.db")
    file = sqlite3.connect(tmp_path / "own.db")

    steps = file.execute(
        "select position, act, lift.code, joint.code, fixture.code from job_plan_step left join lift on lift.id = lift "
        "left join joint on joint.id = joint left join fixture on fixture.id = job_plan_step.fixture "
        "where plan = (select id from job_plan where code = 'apart') order by position"
    ).fetchall()
    assert steps == [
        (1, "look", None, None, None), (2, "hook on", "rear-up", None, None), (3, "part", None, "halves", None),
        (4, "set down", None, None, "stand"),
    ]  # fmt: skip
    assert file.execute("select step, lift from steps_that_lift where job_plan = 'apart'").fetchall() == [
        (2, "rear-up")
    ]
    came = dict(file.execute("select code, words from not_yet_reviewed where kind = 'component'").fetchall())
    assert came["their-unit"] == "from far-shed (not signed), not yet reviewed"
    assert file.execute("select distinct came from how_heavy where code = 'their-unit'").fetchall() == [
        ("from far-shed (not signed), not yet reviewed",)
    ]
    assert file.execute("select distinct came from how_heavy where code = 'rear-case'").fetchall() == [
        (None,)
    ]
