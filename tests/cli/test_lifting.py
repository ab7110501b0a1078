"""The commands about lifts, on the demo: what is not known first, JSON, and refusals in a sentence."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from handling_db.files.folders import read_collection, record_text
from tests.cli.conftest import Run
from tests.from_text import with_nothing_around

DEMO = Path(__file__).parents[2] / "data" / "demo"
FROM = ("--from", str(DEMO))
NOBODY = "nobody looked: liquid sealant at the joint face, from serial 1150 on"
FIRST = f"Job qsn-1187: still in 4 x through-bolts M10; not said to be this unit; 6 ties not out; {NOBODY}."
DRIVE = ("--assume", "auxiliary-drive=12.8 kg to 31.8 kg")


def lines(run: Run, *words: str) -> list[str]:
    result = run(*words)
    assert result.exit_code == 0, result.stderr
    return result.stdout.splitlines()


@pytest.mark.slow
def test_lift_from_records_and_from_a_database_is_the_same(run: Run, demo_db: Path) -> None:
    for words in (
        ("lift", "upper-half-lift", "--as-of", "2026-11-25"),
        ("lift", "upper-half-lift", "--as-of", "2026-11-25", "--job", "qsn-1187"),
        ("legs", "upper-half-with-brake", "--as-of", "2026-11-25"),
        ("turn", "turn-onto-front-face", *DRIVE),
        ("reading", "upper-half-lift", "445 kg"),
        ("joint", "section-joint"),
    ):
        assert lines(run, *words, *FROM) == lines(run, *words, "--db", str(demo_db)), words


def test_lift_says_first_what_nobody_looked_at(run: Run) -> None:
    told = lines(run, "lift", "upper-half-lift", *FROM)

    assert told[0] == FIRST
    assert "Expected hook reading 383.9 ± 3.6 kg (846.3 ± 7.9 lb)" in told
    assert any(line.startswith("  look again above 392 kg (863 lb)") for line in told)
    assert any(line.startswith("  stop at 422 kg (930 lb)") for line in told)
    assert told[-5].startswith("Figures, not permission.")


def test_pounds_first(run: Run) -> None:
    told = lines(run, "lift", "upper-half-lift", "--unit", "lb", *FROM)

    assert "Expected hook reading 846.3 ± 7.9 lb (383.9 ± 3.6 kg)" in told


@pytest.fixture
def unweighed(tmp_path: Path) -> tuple[str, str]:
    """The demo where nobody weighed a whole or guessed at the auxiliary drive, so that nothing bounds it."""
    (tmp_path / "demo").mkdir()
    bare = with_nothing_around(read_collection([DEMO]).collection, "auxiliary-drive")
    for kind, record in bare.records():
        if kind in ("source kind", "material"):
            continue  # those come along with the program
        if record.id == "auxiliary-drive":
            record = record.model_copy(update={"shape_lies": None})
        name = f"{kind}-{record.id}.yml".replace(" ", "-").replace("/", "-")
        (tmp_path / "demo" / name).write_text(record_text(record))
    return "--from", str(tmp_path / "demo")


def test_lift_as_json_names_units_and_keeps_nulls(run: Run, unweighed: tuple[str, str]) -> None:
    value = json.loads(run("lift", "lower-half", "--json", *unweighed).stdout)

    assert value["units"]["mass"] == "kg"
    assert value["group"]["high"] is None
    assert value["group"]["best"] == 369.2
    assert value["centre"] is None
    assert "Auxiliary drive" in value["no_centre"]
    said = {notice["kind"]: notice for notice in value["first"]}
    assert said["no mass"]["rank"] == 6
    assert said["no mass"]["facts"] == {"names": ["Auxiliary drive"]}
    assert [notice["rank"] for notice in value["first"]] == sorted(n["rank"] for n in value["first"])
    assert value["weigh"] == [{"id": "auxiliary-drive", "name": "Auxiliary drive"}]


@pytest.mark.slow
def test_a_range_is_said_to_be_one(run: Run) -> None:
    told = lines(run, "lift", "lower-half", "--assume", "auxiliary-drive=19 kg to 25 kg", *FROM)

    words = "  Auxiliary drive taken as 19 kg (42 lb) to 25 kg (55 lb) for this question: nobody weighed it."
    assert words in told
    assert any("a range given for this question" in line for line in told)


def test_legs_with_other_points(run: Run) -> None:
    told = lines(run, "legs", "upper-half-lift", "--point", "cover-ear-90", "--point", "cover-ear-330", *FROM)

    assert told[0].startswith("It will hang tilted by 41°; these legs do not hold it as asked")
    assert any(line.startswith("left to itself it comes to rest tilted by") for line in told)


def test_turn_without_the_mass_gives_the_reason(run: Run, unweighed: tuple[str, str]) -> None:
    told = lines(run, "turn", "turn-onto-front-face", *unweighed)

    assert told[0].startswith("Whether it goes over by itself is not known; nothing recorded holds it back")
    assert "  No mass for Auxiliary drive: every figure is 'at least', or refused." in told
    assert any(line.startswith("No figures: centre of gravity not given") for line in told)


def test_turn_says_where_it_goes_over(run: Run) -> None:
    told = lines(run, "turn", "turn-onto-front-face", *DRIVE, *FROM)

    assert any(line.startswith("! Goes over by itself at 51° (between 50° and 52°") for line in told)
    assert told[0].startswith("GOES OVER BY ITSELF, AND NOTHING IS RECORDED TO HOLD IT BACK, from 50°")


def test_reading_names_the_open_ties(run: Run) -> None:
    told = lines(run, "reading", "upper-half-lift", "445 kg", "--job", "qsn-1187", *FROM)

    assert any("through-bolts M10, red heads" in line and "able to hold that" in line for line in told)


def test_joint_puts_what_nobody_looked_for_first(run: Run) -> None:
    told = lines(run, "joint", "section-joint", *FROM)
    boxes = [line for line in told if line.startswith("  [")]

    assert told[0] == FIRST
    assert "NOBODY LOOKED" in boxes[0]
    assert boxes[-1] == "  [ ] other: ______________________________"


def test_a_joint_nobody_looked_at(run: Run) -> None:
    told = lines(run, "joint", "stack-joint", *FROM)

    assert "nobody looked what holds Planet differential in the differential case" in told[0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("lift", "uper-half-lift"),
            "there is no lift group 'uper-half-lift'; did you mean 'upper-half-lift'?",
        ),
        (("lift", "x"), "there are: lower-half"),
        (("joint", "x"), "there is no joint 'x'; there are: section-joint, stack-joint"),
        (("lift", "lower-half", "--job", "x"), "there is no job 'x'; there are: qsn-1187"),
        (("lift", "lower-half", "--as-of", "today"), "'today' is not a date; write year-month-day"),
        (("lift", "lower-half", "--assume", "auxiliary-drive"), "write PART=LOW to HIGH"),
        (
            ("lift", "lower-half", "--assume", "gear-case=1 kg to 2 kg"),
            "'gear-case', which is not a component without",
        ),
        (("reading", "upper-half-lift", "445"), "'445' has no unit"),
        (("turn", "upper-half-lift"), "lift group upper-half-lift records no turn; those that do:"),
        (("legs", "upper-half-lift", "--point", "x"), "no piece in this group has a pick point 'x'"),
    ],
)
def test_refusals(run: Run, words: tuple[str, ...], said: str) -> None:
    result = run(*words, *FROM)

    if words[0] == "legs":
        assert said in result.stdout
    else:
        assert result.exit_code == 2
        assert said in result.stderr


def test_records_with_a_fault_give_no_figures(run: Run, tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    joints = tmp_path / "demo" / "joints.yml"
    joints.write_text(joints.read_text().replace("there: yes", "there: maybe", 1))

    result = run("lift", "upper-half-lift", "--from", str(tmp_path / "demo"))

    assert result.exit_code == 2
    assert "'maybe': write yes, none" in result.stderr


@pytest.fixture
def records(tmp_path: Path) -> Path:
    shutil.copytree(DEMO, tmp_path / "mine")
    return tmp_path / "mine"


@pytest.mark.slow
def test_a_job_from_opening_to_closing(run: Run, records: Path) -> None:
    into = ("--in", str(records), "--by", "fitter", "--on", "2026-11-25")
    out = ("job", "tie-out", "qsn-1188", "section-joint")

    assert run("job", "open", "qsn-1188", "transfer-box", "--serial", "1188", *into).exit_code == 0
    assert run(*out, "joint-bolts", "--count", "14", *into).exit_code == 0
    put = run(
        *("job", "tie-in", "qsn-1188", "section-joint", "red", "--what", "M10", "--count", "4"),
        *("--out-by", "before the lift", *into),
    )
    assert "still in for the time being: 4 x M10 (out before the lift)" in put.stdout
    first = lines(run, "lift", "upper-half-lift", "--job", "qsn-1188", "--from", str(records))[0]
    assert first.startswith("Job qsn-1188: still in 4 x M10; ")
    assert "qsn-1187" not in first, "another serial is another unit"

    refused = run("job", "close", "qsn-1188", *into)
    assert refused.exit_code == 2
    assert "closed while temporary ties are still in: red" in refused.stderr
    short = run(*out, "red", "--count", "3", *into)
    assert "4 of 'red' were put in and 3 came out; it stays open until all are out" in short.stderr

    assert run(*out, "red", "--count", "4", *into).exit_code == 0
    assert run("job", "off", "qsn-1188", "differential-section", "parking-brake", *into).exit_code == 0
    seen = run("job", "reading", "qsn-1188", "upper-half-lift", "386 kg", *into, "--json")
    assert json.loads(seen.stdout)["still_in"] == []
    assert run("job", "close", "qsn-1188", *into).exit_code == 0
    again = run(*out, "dowels", *into)
    assert "job 'qsn-1188' was closed on 2026-11-25; open a new one" in again.stderr


@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("tie-out", "qsn-1187", "section-joint", "nails"),
            "joint 'section-joint' has no tie 'nails'; it has:",
        ),
        (("tie-out", "nope", "section-joint", "dowels"), "mine: there is no job 'nope'; there are: qsn-1187"),
        (("off", "qsn-1187", "gear-section", "lid"), "gear-section lists no 'lid' in this build"),
        (("reading", "qsn-1187", "nope", "386 kg"), "there is no lift group 'nope'"),
        (("reading", "qsn-1187", "upper-half-lift", "386"), "readings.0.reading: '386' has no unit"),
        (("open", "qsn-1187", "transfer-box"), "there is a job 'qsn-1187' already"),
        (("open", "new", "nope"), "there is no component 'nope'"),
        (("open", "new", "transfer-box", "--set", "discs=40"), "discs = 40 is out of range"),
    ],
)
def test_a_job_step_that_makes_no_sense_changes_nothing(
    run: Run, records: Path, words: tuple[str, ...], said: str
) -> None:
    result = run("job", *words, "--in", str(records), "--by", "fitter")

    assert result.exit_code == 2
    assert said in result.stderr
    assert (records / "jobs.yml").read_text() == (DEMO / "jobs.yml").read_text()
    assert not (records / "jobs").exists()


def test_how_the_cell_was_zeroed_goes_before_the_record(run: Run) -> None:
    empty = run("lift", "upper-half-lift", *FROM)
    with_gear = run("lift", "upper-half-lift", "--zeroed-with-gear", *FROM)

    assert "Expected hook reading 383.9" in empty.stdout
    assert "Expected hook reading 373.1" in with_gear.stdout
    assert "zeroed with the gear on: it shows the piece alone" in with_gear.stdout
    seen = run("reading", "upper-half-lift", "384 kg", "--zeroed-with-gear", *FROM)
    assert "expected 373.1" in seen.stdout


@pytest.mark.parametrize(
    "words",
    [
        ("weight", "transfer-box"),
        ("weight", "gear-section", "--state", "dry"),
        ("weight", "idler-gear"),
        ("move", "upper-half-lift"),
        ("stand", "upper-half-lift"),
        ("lift", "lower-half"),
        ("legs", "upper-half-lift"),
        ("reading", "upper-half-lift", "384 kg"),
        ("turn", "turn-onto-front-face"),
        ("joint", "stack-joint"),
        ("two-hooks", "upper-half-lift", "--head", "cover-ear-90", "--tail", "cover-ear-210"),
        ("heavier", "gear-section", "differential-section"),
        ("notes", "transfer-box"),
        ("bounds", "transfer-box"),
        ("explain", "gear-section"),
        ("reconcile", "transfer-box"),
        ("sweep", "lock-clutch-pack", "discs"),
    ],
    ids=" ".join,
)
def test_an_open_job_is_named_wherever_its_unit_is(run: Run, demo_db: Path, words: tuple[str, ...]) -> None:
    """Without being asked; and not for what is no part of the unit."""
    told = run(*words, "--db", str(demo_db)).stdout

    assert any(
        "qsn-1187" in line and "still in 4 x through-bolts M10" in line for line in told.splitlines()[:4]
    )
    assert "qsn-1187" not in run("weight", "saw-gearbox", "--db", str(demo_db)).stdout


@pytest.mark.slow
def test_the_serial_applies_the_job_and_another_serial_is_another_unit(run: Run, demo_db: Path) -> None:
    def first(*words: str) -> str:
        return str(run("lift", "upper-half-lift", *words, "--db", str(demo_db)).stdout.splitlines()[0])

    assert first("--serial", "1187") == first("--job", "qsn-1187")
    assert "not said to be this unit" in first()
    assert "qsn-1187" not in first("--serial", "1203")


def test_the_wrong_serial_is_refused(run: Run, demo_db: Path) -> None:
    assert run("lift", "upper-half-lift", "--serial", "x", "--db", str(demo_db)).exit_code == 2
