"""Built some units at a time, a file is byte for byte what it is built all at once, and so are the faults."""

from __future__ import annotations

import gc
import random
from pathlib import Path
from typing import Any

import pytest

from handling_db.database import build, held
from handling_db.database.build import BuildRefused, build_database
from handling_db.findings import Finding
from handling_db.records.kinds.component import Component
from tests.benchmarks.shop import write_shop
from tests.database.edited.test_random_edits import EDITS, Shop


def both(
    paths: list[Path], folder: Path, monkeypatch: pytest.MonkeyPatch, components: int
) -> tuple[bytes | tuple[Finding, ...], bytes | tuple[Finding, ...], int]:
    """What is built some units at a time, and what all at once; and how many times some units were taken."""
    taken = []
    batches = held.OnHold.batches

    def counted(holding: held.OnHold) -> Any:
        for batch in batches(holding):
            taken.append(batch)
            yield batch

    with monkeypatch.context() as changed:
        changed.setattr(held, "COMPONENTS", components)
        changed.setattr(held.OnHold, "batches", counted)
        some = built(paths, folder / "some.db")
    with monkeypatch.context() as changed:
        changed.setattr(build, "hold", lambda *_: None)
        whole = built(paths, folder / "whole.db")
    return some, whole, len(taken)


def built(paths: list[Path], out: Path) -> bytes | tuple[Finding, ...]:
    """The bytes of what is built, or what is found where it is refused."""
    try:
        build_database(paths, out)
    except BuildRefused as refused:
        return refused.findings
    return out.read_bytes()


@pytest.mark.parametrize("seed", range(3))
def test_random_records_some_units_at_a_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    chance = random.Random(seed)
    shop = Shop(tmp_path / "records", chance)
    for name in chance.choices(EDITS, k=25):
        getattr(shop, name)()
    shop.write()
    some, whole, taken = both([shop.folder], tmp_path, monkeypatch, 1)
    assert some == whole
    assert taken > 1


def test_faults_of_several_units_are_told_as_by_the_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = Shop(tmp_path / "records", random.Random(1))
    for unit in (1, 3, 5):
        shop.files[f"u{unit}/parts.yml"][0]["parts"].append({"component": f"gone-{unit}", "quantity": "1"})
    shop.write()
    some, whole, taken = both([shop.folder], tmp_path, monkeypatch, 1)
    assert some == whole
    assert isinstance(some, tuple)
    assert sum(one.verdict == "fault" for one in some) == 3
    assert taken > 3


@pytest.mark.parametrize("same", ["line", "figure", "record", "broken"])
def test_what_two_units_share_against_the_rules_is_told_as_by_the_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, same: str
) -> None:
    shop = Shop(tmp_path / "records", random.Random(2))
    for unit in (1, 4):
        parts = shop.files[f"u{unit}/parts.yml"]
        if same == "line":
            parts[0]["parts"][0]["id"] = "first-line"
        elif same == "figure":
            parts[1]["masses"] = [{"id": "one-figure", "printed": "3 kg", "source": "list"}]
        elif same == "record":
            parts.append({"component": "washer", "name": "Washer", "kind": "part"})
        else:
            parts[1]["colour"] = "red"
    shop.write()
    some, whole, _ = both([shop.folder], tmp_path, monkeypatch, 1)
    assert some == whole
    assert isinstance(some, tuple)
    assert any(one.verdict == "fault" for one in some)


@pytest.mark.slow
def test_the_demo_beside_other_units(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_shop(tmp_path / "shop", 184, 5)
    some, whole, taken = both([tmp_path / "shop"], tmp_path, monkeypatch, 50)
    assert some == whole
    assert taken > 1


def test_few_wholes_are_told_one_by_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = Shop(tmp_path / "records", random.Random(3))
    for unit in range(2, 6):
        more = shop.files[f"u{unit}/more.yml"]
        shop.files[f"u{unit}/more.yml"] = [one for one in more if "weighing" not in one]
    shop.write()
    some, whole, taken = both([shop.folder], tmp_path, monkeypatch, 1)
    assert some == whole
    assert taken > 1


@pytest.mark.slow
def test_records_of_units_that_are_done_are_let_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_shop(tmp_path / "shop", 276, 7)
    alive: list[int] = []
    batches = held.OnHold.batches
    others = {id(one): one for one in gc.get_objects() if type(one) is Component}  # of other tests

    def counted(holding: held.OnHold) -> Any:
        for batch in batches(holding):
            gc.collect()
            alive.append(sum(type(one) is Component and id(one) not in others for one in gc.get_objects()))
            yield batch

    monkeypatch.setattr(held, "COMPONENTS", 90)
    monkeypatch.setattr(held.OnHold, "batches", counted)
    build_database([tmp_path / "shop"], tmp_path / "shop.db")
    assert len(alive) >= 3
    assert alive[-1] <= 1.2 * alive[1] < 276 + alive[0]
