"""A lift is kept over a build where no record that it may rest on changed, and is what it would be anew."""

from __future__ import annotations

import random
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from handling_db.database.cache import let_go
from handling_db.database.edited.build import build_over
from handling_db.database.queries import open_database
from handling_db.database.queries.collection import stamp_of
from handling_db.database.queries.records import record_of
from handling_db.lifting.said.as_json import lift_json
from handling_db.web.pages.worked import LiftAddress, WorkedLift, lift_worked
from tests.benchmarks.shop import write_shop

UNITS = ("", "u0001-")
LIFTS = ("upper-half-lift", "whole-unit-lift")
EDITS = 6
_FIGURE = re.compile(r"(printed|gross|own mass): (\d+)(\.\d+)? kg")


def _edited(shop: Path, unit: str, chance: random.Random) -> None:
    """A figure of some record of a unit, or one of its notes, is written otherwise."""
    folder = shop / (unit.rstrip("-") or "shop")
    if chance.random() < 0.2:
        file = next(
            one for one in sorted(folder.rglob("*.yml")) if "\n- note:" in one.read_text(encoding="utf-8")
        )
        text = file.read_text(encoding="utf-8")
        file.write_text(
            text.replace("text: ", f"text: Look {chance.randrange(999)} times. ", 1), encoding="utf-8"
        )
        return
    figured = [
        one for one in sorted(folder.rglob("*.yml")) if _FIGURE.search(one.read_text(encoding="utf-8"))
    ]
    file = chance.choice(figured)
    text = file.read_text(encoding="utf-8")
    found = chance.choice([*_FIGURE.finditer(text)])
    heavier = f"{found[1]}: {int(found[2]) + 1}{found[3] or ''} kg"
    file.write_text(text[: found.start()] + heavier + text[found.end() :], encoding="utf-8")


def _worked(file: Path) -> dict[str, WorkedLift]:
    connection = open_database(file)
    try:
        return {
            unit + lift: lift_worked(connection, unit + lift, LiftAddress())
            for unit in UNITS
            for lift in LIFTS
        }
    finally:
        connection.close()


def _told(found: dict[str, WorkedLift]) -> dict[str, Any]:
    return {code: (lift_json(one.answer, first="kg"), one.answer) for code, one in found.items()}


def _nothing_kept(file: Path) -> None:
    record_of.cache_clear()
    connection = open_database(file)
    stamp = stamp_of(connection)
    connection.close()
    for _ in range(2):
        let_go(stamp)


@pytest.mark.slow
def test_a_lift_is_kept_while_its_records_stand_and_is_what_it_would_be_anew(tmp_path: Path) -> None:
    shop, out, chance = tmp_path / "shop", tmp_path / "shop.db", random.Random(20261130)
    write_shop(shop, 184, 20261130)
    build_over([shop], out)
    before = _worked(out)
    files, told, kept, anew = [], [], 0, 0
    for number in range(EDITS):
        unit = chance.choice(UNITS)
        _edited(shop, unit, chance)
        build_over([shop], out)
        now = _worked(out)
        for code in now:
            if unit and not code.startswith(unit):  # beside the first unit lies what all units rest on
                assert now[code] is before[code]
            kept += now[code] is before[code]
            anew += now[code] is not before[code]
        files.append(shutil.copy(out, tmp_path / f"{number}.db"))
        told.append(_told(now))
        before = now
    for file, then in zip(files, told, strict=True):
        _nothing_kept(Path(file))
        assert _told(_worked(Path(file))) == then
    assert min(kept, anew) >= EDITS
    assert len({str(one) for one in told}) > EDITS / 2
