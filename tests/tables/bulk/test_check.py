"""`check` lists the findings of a table of any size; odd places of large tables are those of small ones."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest

from handling_db.cli import main
from handling_db.findings import Verdict
from handling_db.tables.bulk.check import check_paths


@pytest.mark.slow
def test_a_table_beyond_records_is_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """21,000 rows with one sum that is wrong, one part nobody weighed, one misspelt parent, one row not read."""
    rows = ["parent,child,quantity,mass kg,step,boundary", ",plant,,,,"]
    for box in range(1000):
        stated = 20.0 if box != 8 else 25.0
        rows.append(f"plant,box-{box},1,{stated},0.1,as listed without none checked by fitter")
        rows += [f"box-{box},b{box}-p{n},1,{'' if (box, n) == (500, 3) else 1.0},0.05," for n in range(20)]
    rows += ["box-x7,lost,1,3,1,", "box-9,extra,1,-4,1,"]
    file = tmp_path / "t.csv"
    file.write_text("\n".join(rows) + "\n")
    with pytest.raises(SystemExit) as left:
        main(["check", str(file), "--json"])
    found = json.loads(capsys.readouterr().out)
    told = {
        (f["rule"], f["verdict"], f["about"], f["line"])
        for f in found["findings"]
        if f["verdict"] != "agrees"
    }

    assert left.value.code == 2
    assert ("table", "fault", "extra", len(rows)) in told
    assert ("parent-not-introduced", "cannot be checked", "box-x7", len(rows) - 1) in told
    assert ("mass-missing", "cannot be checked", "b500-p3", 2 + 500 * 21 + 5) in told
    assert {
        f["about"] for f in found["findings"] if f["rule"] == "parts-sum" and f["verdict"] == "disagrees"
    } == {"box-8"}
    assert "Of a table of this size only" in found["closing"]


@pytest.mark.parametrize("seed", range(12))
def test_odd_places_of_columns_and_of_records(tmp_path: Path, seed: int) -> None:
    """Random places with some of them a thousand times too far; rows and records name the same assemblies."""
    chance = random.Random(seed)
    rows = ["parent,child,quantity,mass kg,x mm,y mm,z mm,cg_x mm,cg_y mm,cg_z mm", ",n0,,,,,,,,"]
    slipped = set()
    for n in range(1, 60):
        parent = chance.randrange(max(1, n // 3))
        at = [chance.uniform(50, 900) for _ in range(3)]
        if chance.random() < 0.08:
            at = [value * 1000 for value in at]
            slipped.add(f"n{parent}")
        centre = ",,"
        if chance.random() < 0.1:
            far = chance.choice([1, 1000])
            centre = ",".join(f"{chance.uniform(120, 300) * far:.1f}" for _ in range(3))
            slipped |= {f"n{n}"} if far > 1 else set()
        rows.append(f"n{parent},n{n},1,{n % 7 + 1},{','.join(f'{v:.1f}' for v in at)},{centre}")
    file = tmp_path / "t.csv"
    file.write_text("\n".join(rows) + "\n")
    records, columns = (
        sorted(
            (f.about, f.field.partition(".")[0][:4], f.verdict)
            for f in check_paths([file], most=most)[0]
            if f.rule == "place-size"
        )
        for most in (20_000, 5)
    )

    assert [about for about, *_ in records] == [about for about, *_ in columns]
    assert {about for about, *_ in records} == slipped
    assert {verdict for *_, verdict in records} <= {Verdict.DISAGREES}
