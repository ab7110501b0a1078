"""`check` lists the findings of a table of any size; odd places of large tables are those of small ones."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest

from handling_db.cli import main
from handling_db.database.build import BuildRefused, build_database
from handling_db.findings import Verdict
from handling_db.tables.bulk import check as checking
from handling_db.tables.bulk import totals as adding
from handling_db.tables.bulk.check import check_paths
from handling_db.tables.bulk.looked_at import LOOKED_AT, NOT_LOOKED_AT, surely_large


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


@pytest.mark.parametrize("seed", range(6))
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


def _plain(rows: int, *, head: str = "parent,child,quantity,mass kg", first: str = ",plant,1,") -> str:
    return "\n".join([head, first, *(f"plant,p{n},1,{n % 7 + 1}" for n in range(rows - 1))]) + "\n"


@pytest.mark.parametrize("quoted", [False, True])
def test_what_will_not_be_looked_at_is_said_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, quoted: bool
) -> None:
    """From the lines of the table before it is read, or where these do not tell before it is added up."""
    file = tmp_path / "t.csv"
    file.write_text(_plain(100, first=',"plant",1,' if quoted else ",plant,1,"))
    happened: list[str] = []

    def noted(name: str, work: Any) -> Any:
        def run(*given: Any, **more: Any) -> Any:
            happened.append(name)
            return work(*given, **more)

        return run

    monkeypatch.setattr(checking, "read_by_size", noted("read", checking.read_by_size))
    monkeypatch.setattr(adding, "add_up_large", noted("added up", adding.add_up_large))
    _, closing = check_paths([file], most=40, tell=happened.append)
    said = f"{file}: more than 40 rows: only {LOOKED_AT} will be looked at; not {NOT_LOOKED_AT}."
    assert happened == (["read", said, "added up"] if quoted else [said, "read", "added up"])
    assert f"Of a table of this size only {LOOKED_AT} are looked at, not {NOT_LOOKED_AT}." in closing
    happened.clear()
    check_paths([file], most=100, tell=happened.append)
    assert happened == ["read"]


def test_what_is_not_looked_at_is_what_records_are_told(tmp_path: Path) -> None:
    """Each of the things that a large table is not looked at for, found where the table becomes records."""
    rows = ["parent,child,name,quantity,mass kg,step,source,boundary", ",plant,Plant,,,,,"]
    for box in range(3):
        rows += [f"plant,box{box},Box,1,20,,s0,", f"plant,box{box},Box,1,44.1,,s1,"]
        rows += [f"box{box},b{box}p{n},Part,1,{[4, 4, 4, 400][n]},," + "," for n in range(4)]
        rows.append(f"box{box},b{box}p0,Part,1,4,,,")
    file = tmp_path / "t.csv"
    file.write_text("\n".join(rows) + "\n")
    records, columns = ({f.rule for f in check_paths([file], most=most)[0]} for most in (100, 5))
    assert records - columns >= {
        "statements-apart", "part-heavier-than-whole", "likely-unit-slip", "name-clash", "part-listed-twice",
        "step-assumed", "boundary-not-stated",
    }  # fmt: skip
    assert columns <= records | {"parts-sum"}


@pytest.mark.parametrize("seed", range(10))
def test_lines_never_make_a_small_table_a_large_one(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    count = chance.randrange(30, 70)
    lines = _plain(count).splitlines()
    for _ in range(chance.randrange(90)):
        lines.insert(chance.randrange(len(lines)), chance.choice(["", "  ", ",,,", ";;", "\t"]))
    if chance.random() < 0.3:
        lines[chance.randrange(1, len(lines))] = 'plant,odd,1,"3' + "\n" * 80 + '"'
    file = tmp_path / "t.csv"
    file.write_bytes(chance.choice([b"\n", b"\r\n"]).join(line.encode() for line in lines))
    for most in (count - 60, count, count + 1):
        assert not (surely_large(file, most) and count <= most)


def test_what_a_build_refuses_is_a_fault_of_the_check(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in ("handling_db.tables.sources", "handling_db.database.build"):
        monkeypatch.setattr(f"{module}.RECORD_ROWS", 50)
    file = tmp_path / "t.csv"
    text = [f"{line}," for line in _plain(60).splitlines()]
    text[0] += "serial"
    text[5] += "1187"
    file.write_text("\n".join(text) + "\n")
    records = tmp_path / "r.yml"
    records.write_text("- {component: p7, name: Ring, kind: part}\n")
    for paths, about in (
        ([file], "takes no serials"),
        ([records, file], "records cannot add to what such a table"),
    ):
        found, _ = check_paths(paths)
        told = [str(one) for one in found if one.verdict is Verdict.FAULT]
        assert any(about in one for one in told), told
        with pytest.raises(BuildRefused) as refused:
            build_database(paths[:-1], tmp_path / "x.db", tables=[file])
        assert {str(one) for one in refused.value.findings if one.verdict is Verdict.FAULT} <= set(told)
