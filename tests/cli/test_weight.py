"""`handling-db weight`: the headline first, both units, what is unknown in the same line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run


def lines(run: Run, db: Path, *words: str) -> list[str]:
    result = run("weight", *words, "--db", str(db))
    assert result.exit_code == 0, result.stderr
    return result.stdout.splitlines()


DIFFERENTIAL = (
    "Plan with 452 kg (995 lb) dry, 455 kg (1002 lb) drained, at most 473 kg (1043 lb) with all of the oil charge of "
    "Transfer box in it"
)


def test_headline_is_the_heaviest_believable_figure(run: Run, demo_db: Path) -> None:
    found = lines(run, demo_db, "differential-section")
    assert found[0] == DIFFERENTIAL
    assert "8 discs" in "\n".join(found[:6])
    assert "not confirmed for this unit" in "\n".join(found[:6])
    assert "447.2 ± 3.8 kg (986.0 ± 8.3 lb)" in "\n".join(found)
    assert "disagrees: the parts are 443.4 to 451.0 kg" in "\n".join(found)


def test_unknown_parts_stand_in_the_headline(run: Run, demo_db: Path) -> None:
    found = lines(run, demo_db, "gear-section")
    assert found[0] == (
        "Plan with 398 kg (877 lb) dry, 399 kg (879 lb) drained, at most 420 kg (925 lb) with all of the oil charge of "
        "Transfer box in it"
    )
    assert (
        "  inferred: nobody weighed Auxiliary drive; the weighed Transfer box leaves 12.7 to 31.8 kg "
        "(28 to 70 lb) for it (one weighing, nothing checks it)"
    ) in found
    assert "  not simply added: a light Auxiliary drive goes with a heavy rest" in found
    assert "  as weighed on serial 1187" in found
    assert "  dry      385.3 to 397.7 kg (849 to 877 lb), inferred from a weighed whole" in found


def test_all_three_states_unless_one_is_asked_for(run: Run, demo_db: Path) -> None:
    found = "\n".join(lines(run, demo_db, "transfer-box"))
    assert found.startswith(
        "Plan with 845 kg (1861 lb) dry, 845 kg (1863 lb) drained, 866 kg (1909 lb) filled"
    )
    assert "dry      839.5 to 844.1 kg" in found
    assert "drained  844.0 ± 1.0 kg" in found
    assert "filled   859.5 to 865.9 kg" in found
    assert "one weighing, nothing checks it: nobody weighed Auxiliary drive" in found
    dry = "\n".join(lines(run, demo_db, "transfer-box", "--state", "dry"))
    assert "drained  " not in dry.split("What the sources say")[0]


def test_by_alias_and_part_number(run: Run, demo_db: Path) -> None:
    assert lines(run, demo_db, "Rear Half")[0] == DIFFERENTIAL


def test_pounds_first(run: Run, demo_db: Path) -> None:
    assert lines(run, demo_db, "differential-section", "--unit", "lb")[0].startswith(
        "Plan with 995 lb (452 kg) dry, 1002 lb (455 kg) drained, at most 1043 lb (473 kg) with all of the oil charge"
    )


def test_without_a_part(run: Run, demo_db: Path) -> None:
    found = "\n".join(
        lines(run, demo_db, "differential-section", "--without", "parking-brake", "--state", "dry")
    )
    assert "416.1 ± 3.6 kg" in found
    assert "without: Parking brake" in found


def test_nobody_weighed(run: Run, demo_db: Path) -> None:
    found = lines(run, demo_db, "auxiliary-drive")
    assert found[0] == "Plan with 31.9 kg (70.2 lb)"
    assert any(
        line.startswith("  inferred: nobody weighed it; the weighed Transfer box leaves") for line in found
    )
    assert not [line for line in found if "0.0 kg" in line or " 0 kg" in line]


@pytest.mark.slow
def test_json_fields(run: Run, demo_db: Path) -> None:
    result = run("weight", "differential-section", "--state", "dry", "--json", "--db", str(demo_db))
    answer = json.loads(result.stdout)
    (state,) = answer["states"]
    assert state["plan_kg"] == 452
    assert state["plan_lb"] == 995
    assert state["half_width_worst"] == pytest.approx(3.78)
    assert {"half_width_worst", "half_width_rss", "u"} <= set(state)
    assert answer["statements"][0]["verdict"] == "disagrees"


def test_out_of_range_says_the_range(run: Run, demo_db: Path) -> None:
    result = run("weight", "lock-clutch-pack", "--set", "discs=13", "--db", str(demo_db))
    assert result.exit_code == 2
    assert "4 to 12" in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize("text", ["discs", "=12", "discs="])
def test_setting_that_is_no_setting(run: Run, demo_db: Path, text: str) -> None:
    result = run("weight", "lock-clutch-pack", "--set", text, "--db", str(demo_db))
    assert result.exit_code == 2
    assert "write PARAM=VALUE, such as discs=12" in result.stderr


def test_unknown_name_names_near_ones(run: Run, demo_db: Path) -> None:
    result = run("weight", "differental-section", "--db", str(demo_db))
    assert result.exit_code == 2
    assert "differential-section" in result.stderr


def test_several_that_fit_are_listed_and_nothing_waits(run: Run, tmp_path: Path, home: Path) -> None:
    records = tmp_path / "records.yml"
    records.write_text(
        "- {component: left-pump, name: Pump, kind: part}\n- {component: right-pump, name: Pump, kind: part}\n"
    )
    assert run("build", str(records)).exit_code == 0
    result = run("weight", "pump")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "left-pump" in result.stderr
    assert "right-pump" in result.stderr


def test_no_database_says_how_to_get_one(run: Run) -> None:
    result = run("weight", "anything")
    assert result.exit_code == 2
    assert "handling-db demo --no-serve" in result.stderr


def test_file_that_is_no_database(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.db"
    file.write_text("not a database")
    result = run("weight", "anything", "--db", str(file))
    assert result.exit_code == 2
    assert str(file) in result.stderr
