"""`export --parquet` and `fleet`, run as people run them."""

from __future__ import annotations

import csv
import json
import sys
from fractions import Fraction
from pathlib import Path

import duckdb
import pytest
from click.testing import CliRunner, Result

from handling_db.cli import main
from handling_db.fleet.tables import COLUMNS, file_of
from tests.fleet.neighbours import heavier

QUAY = "quay-shed-nine"


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture(scope="module")
def fleet(demo_db: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    work = tmp_path_factory.mktemp("fleet")
    first = run("export", "--parquet", work / "quay", "--shop", QUAY, "--db", demo_db)
    assert first.exit_code == 0, first.output
    second = run("export", "--parquet", work / "low", "--db", heavier(work))
    assert second.exit_code == 0, second.output
    assert "low: low-tarrowby: 4 names" in second.stdout  # the one shop recorded, without being asked
    return work / "quay", work / "low"


def test_tables_are_typed_and_say_whose_they_are(fleet: tuple[Path, Path]) -> None:
    """Read with the engine alone, none of our code: types, shop, stamp, exact text beside the figure."""
    for table, columns in COLUMNS.items():
        file = fleet[0] / file_of(table)
        rows = duckdb.sql(f"describe select * from read_parquet('{file}')").fetchall()
        assert [(row[0], row[1].lower()) for row in rows] == list(columns)
        assert len(duckdb.sql(f"select distinct shop, stamp from read_parquet('{file}')").fetchall()) == 1
    masses = duckdb.sql(
        f"select low_kg, low_exact, best_kg, best_exact, high_kg, high_exact from read_parquet('{fleet[0]}/masses.parquet')"
    ).fetchall()
    assert len(masses) > 50
    for low, low_text, best, best_text, high, high_text in masses:
        assert Fraction(low) <= Fraction(low_text)
        assert best == float(Fraction(best_text))
        assert Fraction(high) >= Fraction(high_text)


def test_total_of_two_shops(fleet: tuple[Path, Path], tmp_path: Path) -> None:
    out = tmp_path / "totals.csv"
    found = run("fleet", "total", *fleet, "--out", out)

    assert found.exit_code == 0, found.output
    assert "Every total is what the shop's own program says." in found.stdout
    assert "low-tarrowby:winch" in found.stdout
    assert "1 piece without a mass" in found.stdout
    rows = {(row["id"], row["state"]): row for row in csv.DictReader(out.open(encoding="utf-8"))}
    winch = rows["low-tarrowby:winch", "every"]
    assert (winch["what"], winch["high_kg"], winch["unknown_pieces"]) == ("at least", "", "1.0")
    assert float(winch["best_kg"]) == 150.5
    rope = rows["low-tarrowby:rope", "every"]
    assert (rope["what"], rope["best_kg"], rope["low_kg"], rope["high_kg"]) == ("nobody knows", "", "", "")
    assert rows[f"{QUAY}:transfer-box", "filled"]["what"] == "at least"


def test_the_same_totals_as_parquet(fleet: tuple[Path, Path], tmp_path: Path) -> None:
    out = tmp_path / "totals.parquet"
    told = json.loads(run("fleet", "total", *fleet, "--out", out, "--json").stdout)
    (rows,) = duckdb.sql(f"select count(*) from read_parquet('{out}')").fetchall()

    assert rows[0] == told["totals"]
    assert told["apart"] == []
    assert run("fleet", "total", *fleet, "--out", out).exit_code == 2  # nothing is written over


def test_an_altered_total_of_a_shop_is_named(fleet: tuple[Path, Path], tmp_path: Path) -> None:
    """The comparison with the shop's own figures can fail: one mass a gram heavier than what the totals were made of."""
    altered = tmp_path / "low"
    altered.mkdir()
    for table in COLUMNS:
        source = fleet[1] / file_of(table)
        what = "* replace (best_kg + 0.001 as best_kg)" if table == "masses" else "*"
        duckdb.sql(
            f"copy (select {what} from read_parquet('{source}')) to '{altered / file_of(table)}' (format parquet)"
        )
    found = run("fleet", "total", fleet[0], altered, "--out", tmp_path / "o.csv")

    assert found.exit_code == 1
    assert "low-tarrowby:winch, every" in found.stdout
    assert "3 totals are not what the shop's own program says" in found.stdout


@pytest.mark.slow
def test_missing_names_who_has_a_figure(fleet: tuple[Path, Path]) -> None:
    strict = run("fleet", "missing", *fleet).stdout
    assert "low-tarrowby:rope" in strict
    assert f"{QUAY}:auxiliary-drive" in strict
    assert "1 other shop" not in strict  # no maker stands beside that number
    wide = run("fleet", "missing", *fleet, "--any-maker").stdout
    assert "1 other shop has 27.0 to 28.0 kg" in wide
    told = json.loads(run("fleet", "missing", *fleet, "--any-maker", "--json").stdout)
    drive = next(part for part in told["first"] if part["id"] == f"{QUAY}:auxiliary-drive")
    assert (drive["other_shops"], drive["low_kg"], drive["high_kg"]) == (1, 27.0, 28.0)
    assert (drive["pieces"], drive["goes_into"]) == (1, 1)


def test_disagree_compares_one_maker_and_number(fleet: tuple[Path, Path]) -> None:
    found = run("fleet", "disagree", *fleet)

    assert found.exit_code == 1
    assert "low-tarrowby:brake" in found.stdout
    assert f"{QUAY}:parking-brake" in found.stdout
    assert "every state" in found.stdout
    told = json.loads(run("fleet", "disagree", *fleet, "--json").stdout)
    (one,) = told["apart"]
    light, heavy = one["said"]
    assert one["gap_kg"] == pytest.approx(abs(heavy["low_kg"] - light["high_kg"]))
    assert told["no_maker"] == 1


def test_one_shop_alone_disagrees_with_nobody(fleet: tuple[Path, Path]) -> None:
    found = run("fleet", "disagree", fleet[0])

    assert found.exit_code == 0
    assert "0 part numbers in more than one shop" in found.stdout


@pytest.mark.slow
def test_where_used_goes_through_all_shops(fleet: tuple[Path, Path]) -> None:
    told = json.loads(run("fleet", "where-used", "low-tarrowby:brake", *fleet, "--json").stdout)

    assert {part["id"] for part in told["parts"]} == {"low-tarrowby:brake", f"{QUAY}:parking-brake"}
    held = {one["id"]: one for one in told["holders"]}
    assert held["low-tarrowby:winch"]["pieces"] == 2
    assert held[f"{QUAY}:transfer-box"]["goes_into_nothing"]
    assert f"{QUAY}:differential-section" in held
    by_number = run("fleet", "where-used", "ph312500", *fleet)
    assert "2 in each" in by_number.stdout
    unknown = run("fleet", "where-used", "no-such-thing", *fleet)
    assert unknown.exit_code == 2
    assert "nothing in these folders has the id or part number 'no-such-thing'" in unknown.stderr


def test_whose_collection_it_is_has_to_be_said(demo_db: Path, tmp_path: Path) -> None:
    found = run("export", "--parquet", tmp_path / "x", "--db", demo_db)
    assert found.exit_code == 2
    assert "say whose collection this is with --shop ID; recorded are: " in found.stderr
    odd = run("export", "--parquet", tmp_path / "x", "--db", demo_db, "--shop", "a:b")
    assert "'a:b' is no id" in odd.stderr
    assert not (tmp_path / "x").exists()
    assert "--shop belongs to --parquet" in run("export", "--shop", "x").stderr


def test_everything_wrong_with_folders_is_said_at_once(fleet: tuple[Path, Path], tmp_path: Path) -> None:
    import shutil

    twin, lacking, junk, mixed = (tmp_path / name for name in ("twin", "lacking", "junk", "mixed"))
    for folder in (twin, lacking, junk, mixed):
        shutil.copytree(fleet[0], folder)
    (lacking / "lines.parquet").unlink()
    (junk / "names.parquet").write_bytes(b"no parquet")
    shutil.copy(fleet[1] / "masses.parquet", mixed / "masses.parquet")
    out = tmp_path / "o.csv"
    found = run("fleet", "total", fleet[0], twin, lacking, junk, mixed, tmp_path / "gone", "--out", out)

    assert found.exit_code == 2
    for told in (
        f"twin: is of shop '{QUAY}', like ",
        "lines.parquet: is not there; write the folder again",
        "names.parquet: cannot be read as Parquet",
        "mixed: its tables are of several exports",
        "gone: no such folder",
    ):
        assert told in found.stderr
    assert not out.exists()


def changed(fleet: tuple[Path, Path], folder: Path, table: str, what: str) -> Path:
    """A copy of the neighbour's tables with one of them selected otherwise."""
    folder.mkdir()
    for one in COLUMNS:
        source = f"read_parquet('{fleet[1] / file_of(one)}')"
        asked = what.format(source=source) if one == table else f"select * from {source}"
        duckdb.sql(f"copy ({asked}) to '{folder / file_of(one)}' (format parquet)")
    return folder


@pytest.mark.slow
@pytest.mark.parametrize("table", ["names", "lines", "masses", "totals"])
def test_rows_may_stand_in_any_order(fleet: tuple[Path, Path], tmp_path: Path, table: str) -> None:
    folder = changed(fleet, tmp_path / "x", table, "from {source} order by hash(columns(*))")
    found = run("fleet", "total", folder, "--out", tmp_path / "o.csv")
    wanted = run("fleet", "total", fleet[1], "--out", tmp_path / "w.csv")

    assert (found.exit_code, wanted.exit_code) == (0, 0), found.output
    assert (tmp_path / "o.csv").read_text() == (tmp_path / "w.csv").read_text()


@pytest.mark.parametrize(
    ("table", "what", "told"),
    [
        (
            "lines",
            "select * replace (99::bigint as child) from {source}",
            "lines: 3 rows with a parent or child",
        ),
        (
            "lines",
            "select * replace (0::double as quantity) from {source}",
            "lines: 3 rows with a quantity that is",
        ),
        ("lines", "select * replace ('nan'::double as quantity) from {source}", "no number above 0"),
        (
            "lines",
            "select * replace (child as parent) from {source}",
            "lines: 3 rows with a parent that lists no parts",
        ),
        (
            "masses",
            "select * replace (-best_kg as low_kg) from {source}",
            "masses: 2 rows with figures that are no masses",
        ),
        ("masses", "select * replace (null::double as high_kg) from {source}", "masses: 2 rows with figures"),
        (
            "masses",
            "select * replace ('wet' as state) from {source}",
            "a state other than dry, drained, filled, every",
        ),
        (
            "masses",
            "from {source} union all from {source}",
            "masses: 2 rows with a node that stands there twice",
        ),
        ("masses", "select * replace (1.5::double as scatter_kg) from {source}", "a scatter that is no mass"),
        ("names", "select * replace (0::bigint as node) from {source}", "not numbered from 0 without a gap"),
        (
            "names",
            "select * replace (case node when 1 then 0 else node end as node) from {source}",
            "names: 1 row with a",
        ),
        (
            "names",
            "select * replace (null::boolean as open_list) from {source}",
            "without a word on its parts",
        ),
        ("names", "select * exclude (maker) from {source}", "maker: there is no such column"),
        (
            "names",
            "select * replace (node::varchar as node) from {source}",
            "node: is varchar and not bigint",
        ),
        ("names", "from {source} limit 0", "its nodes are not numbered from 0 without a gap"),
    ],
)
def test_tables_that_would_add_up_wrongly_are_refused(
    fleet: tuple[Path, Path], tmp_path: Path, table: str, what: str, told: str
) -> None:
    """A child that is nowhere, a row that stands there twice: without a word the sum would be too light or too heavy."""
    found = run("fleet", "total", changed(fleet, tmp_path / "x", table, what), "--out", tmp_path / "o.csv")

    assert found.exit_code == 2, found.output
    assert told in found.stderr
    assert not (tmp_path / "o.csv").exists()


def test_a_total_that_the_shop_does_not_say_is_named(fleet: tuple[Path, Path], tmp_path: Path) -> None:
    folder = changed(fleet, tmp_path / "x", "totals", "select * from {source} where node > 0")
    found = run("fleet", "total", folder, "--out", tmp_path / "o.csv")

    assert found.exit_code == 1
    assert "1 total is not what the shop's own program says" in found.stdout


@pytest.mark.slow
def test_rings_are_named_and_have_no_total(fleet: tuple[Path, Path], tmp_path: Path) -> None:
    """No collection of ours can hold one; tables that somebody else wrote can."""
    listed = changed(fleet, tmp_path / "x", "names", "select * replace (true as lists_parts) from {source}")
    back = (
        "from {source} union all select shop, stamp, child, parent, 1, 1.0, '1' from {source} where child = 0"
    )
    ring = changed((fleet[0], listed), tmp_path / "y", "lines", back)
    found = run("fleet", "total", fleet[0], ring, "--out", tmp_path / "o.csv")

    assert found.exit_code == 1
    assert "! low-tarrowby: contains itself" in found.stdout
    assert "brake > winch > brake" in found.stdout
    rows = {row["id"]: row for row in csv.DictReader((tmp_path / "o.csv").open(encoding="utf-8"))}
    assert (rows["low-tarrowby:winch"]["best_kg"], rows["low-tarrowby:winch"]["basis"]) == (
        "",
        "contains itself",
    )
    assert rows[f"{QUAY}:parking-brake"]["best_kg"]
    used = run("fleet", "where-used", "low-tarrowby:drive", fleet[0], ring)
    assert "in or above a ring" in used.stdout


def test_bounds_are_kept_or_refused(fleet: tuple[Path, Path], tmp_path: Path) -> None:
    found = run("fleet", "total", *fleet, "--out", tmp_path / "o.csv", "--memory", "lots")
    assert "--memory: 'lots' is no size; write such as 500MB or 2GB" in found.stderr
    found = run("fleet", "total", *fleet, "--out", tmp_path / "o.csv", "--spill", tmp_path / "gone")
    assert "no such folder" in found.stderr
    spill = tmp_path / "spill"
    spill.mkdir()
    found = run("fleet", "total", *fleet, "--out", tmp_path / "o.csv", "--spill", spill, "--memory", "100MB")
    assert found.exit_code == 0, found.output
    assert list(spill.iterdir()) == []  # nothing is left behind
    assert run("fleet", "total", *fleet, "--out", tmp_path / "o.txt").exit_code == 2


def test_without_the_engine_a_sentence_says_what_to_install(
    fleet: tuple[Path, Path], demo_db: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "duckdb", None)
    for words in (
        ("fleet", "total", *fleet, "--out", tmp_path / "o.csv"),
        ("fleet", "missing", *fleet),
        ("export", "--parquet", tmp_path / "x", "--shop", QUAY, "--db", demo_db),
    ):
        found = run(*words)
        assert found.exit_code == 2
        assert "pip install 'handling-db[fleet]'" in found.stderr
    assert list(tmp_path.iterdir()) == []
