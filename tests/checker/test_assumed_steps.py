"""A verdict that hangs on steps of rounding read off the digits says so before its figures."""

from __future__ import annotations

import random
from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.cli import main
from handling_db.database import build
from handling_db.findings import Finding, Verdict
from handling_db.quantities.mass import within
from handling_db.quantities.number_text import digit_step, step_range
from handling_db.tables.bulk.check import check_paths
from handling_db.weights.verdict import decided_by_steps

HEAD = "parent,child,quantity,mass kg,step,boundary\n"
KNOWN = "as listed without none checked by fitter"


def sums(path: Path, text: str, most: int = 20_000) -> dict[str, Finding]:
    path.write_text(HEAD + text)
    return {f.about: f for f in check_paths([path], most=most)[0] if f.rule == "parts-sum"}


@pytest.mark.parametrize("most", [20_000, 1])
def test_exported_digits_that_decide_are_said_first(tmp_path: Path, most: int) -> None:
    """50736.0 is a float of a whole number: to 1 kg it touches parts of 50736.3, to 0.1 kg it does not."""
    found = sums(
        tmp_path / "t.csv",
        f",rig,,50736.0,,{KNOWN}\nrig,left,1,25000.25,,\nrig,right,1,25736.05,,\n"
        f",bed,,185000,,{KNOWN}\nbed,a,1,184000,1,\n,arm,,500,1,{KNOWN}\narm,b,1,503,1,\n",
        most,
    )

    assert (found["rig"].verdict, found["rig"].rests_on_steps) == (Verdict.DISAGREES, True)
    assert (
        "steps of rounding that are only assumed from the digits (50736.0 kg) decide this: read as coarse as they "
        "may be, the two touch; " in found["rig"].sentence
    )
    assert found["rig"].remedy.startswith("Write 'step' where the sources say it.")
    assert (found["bed"].verdict, found["bed"].rests_on_steps) == (Verdict.AGREES, True)
    assert "(185000 kg) decide this: read as fine as they may be, the two lie apart;" in found["bed"].sentence
    assert (found["arm"].verdict, found["arm"].rests_on_steps) == (Verdict.DISAGREES, False)
    assert found["rig"].as_json()["rests_on_assumed_steps"] is True


def test_an_agreement_that_hangs_on_them_is_shown_without_asking(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "t.csv").write_text(f"{HEAD},bed,,185000,,{KNOWN}\nbed,a,1,184000,1,\n")
    with pytest.raises(SystemExit):
        main(["check", str(tmp_path / "t.csv")])

    assert "agrees: bed" in capsys.readouterr().out


def test_a_column_of_exported_figures_is_one_remark(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    rows = "".join(f"rig,p{n},1,{n}.0,,\n" for n in range(1, 40))
    path.write_text(HEAD + rows)
    told = [f for f in check_paths([path])[0] if "as programs write whole numbers" in f.sentence]
    assert [(f.verdict, f.place.line if f.place else 0) for f in told] == [(Verdict.REMARK, 2)]
    path.write_text(HEAD + rows + "rig,q,1,3.25,,\n")
    assert not [f for f in check_paths([path])[0] if "as programs write whole numbers" in f.sentence]


@pytest.mark.parametrize(
    ("text", "fine", "coarse"),
    [
        ("50736.0", "0.1", "1"),
        ("185000", "1", "5000"),
        ("450", "1", "50"),
        ("47", "1", "1"),
        ("840.0", "0.1", "10"),
        ("12.50", "0.01", "0.1"),
        ("12.53", "0.01", "0.01"),
        ("13.741000000000001", "0.000000000000001", "0.001"),
        ("0.30000000000000004", "0.00000000000000001", "0.1"),
        ("1.5e-1", "0.01", "0.01"),
        ("1,830", "1", "10"),
    ],
)
def test_what_digits_may_mean(text: str, fine: str, coarse: str) -> None:
    assert step_range(text) == (Fraction(fine), Fraction(coarse))


@pytest.mark.parametrize("seed", range(30))
def test_against_every_choice_of_steps(seed: int, tmp_path: Path) -> None:
    """A whole and up to three parts: the verdict at the assumed steps, and with every finest or coarsest one."""
    chance = random.Random(seed)
    texts = [chance.choice([f"{chance.randrange(1, 90) * 10}", f"{chance.randrange(10, 900)}.0", f"{chance.randrange(10, 900)}.5"])
             for _ in range(chance.randrange(1, 4))]  # fmt: skip
    total = sum(Fraction(text) for text in texts) + chance.choice([0, Fraction(1, 4), 2, -3, 12, -40])
    whole = chance.choice([f"{round(total)}", f"{round(total)}.0", f"{float(round(total, 1)):.1f}"])
    found = sums(
        tmp_path / "t.csv",
        f",rig,,{whole},,{KNOWN}\n" + "".join(f"rig,p{n},1,{text},,\n" for n, text in enumerate(texts)),
    )["rig"]

    def touch(which: int | None) -> bool:
        """With the assumed steps, all the finest (0) or all the coarsest (1)."""
        halves = []
        for text in (whole, *texts):
            number, _, places = text.partition(".")
            step = digit_step(number, places or None) if which is None else step_range(text)[which]
            halves.append(step / 2)
        gap = sum(Fraction(text) for text in texts) - Fraction(whole)
        return abs(gap) <= sum(halves)

    assert (found.verdict is Verdict.AGREES) is touch(None)
    assert found.rests_on_steps is (touch(0) != touch(None) or touch(1) != touch(None))


def test_parts_that_are_missing_cannot_be_outweighed_by_steps() -> None:
    parts, whole = (
        within(Fraction(90), Fraction(1), Fraction(1)).at_least(),
        within(Fraction(100), Fraction(1), Fraction(1)),
    )

    assert decided_by_steps(parts, whole, (Fraction(0), Fraction(50)), (Fraction(0), Fraction(0))) == ""
    heavy = within(Fraction(103), Fraction(1), Fraction(1)).at_least()
    assert decided_by_steps(heavy, whole, (Fraction(0), Fraction(1)), (Fraction(0), Fraction(0))) == "touch"


def test_a_file_built_by_columns_says_it_too(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(build, "RECORD_ROWS", 1)
    (tmp_path / "t.csv").write_text(f"{HEAD},bed,,185000,,{KNOWN}\nbed,box,1,,,\nbox,a,2,92000,1,\n")
    found = build.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"]).findings

    assert [f.rests_on_steps for f in found if f.rule == "parts-sum"] == [True]
