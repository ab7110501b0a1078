"""What is the same dry, drained and filled is worked out once: the file is that of working out each by itself."""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from handling_db.balance.together.reach import AllEvidence
from handling_db.database import component_rows
from handling_db.database.build import build_database
from handling_db.files.yaml_text import dump_text
from handling_db.weights.compare import Judge

SHARED: list[dict[str, Any]] = [
    {"source": "scale", "name": "Floor scale", "kind": "weighed"},
    {"source": "list", "name": "Parts list", "kind": "supplier's list"},
]


def shop(chance: random.Random) -> list[dict[str, Any]]:
    """Units with and without oil, wholes weighed in some state, shared parts, choices for one state."""
    found = [*SHARED]
    for unit in ("a", "b", "c"):
        leaves = [f"{unit}{n}" for n in range(4)]
        halves = [f"{unit}-half{n}" for n in range(2)]
        oil = f"{unit}-oil"
        found += [
            {"component": code, "name": code, "kind": "part", "masses": _figures(chance, 30)}
            for code in leaves
        ]
        for code in halves:
            lines = [
                {"component": c, "quantity": str(chance.randrange(1, 4))} for c in chance.sample(leaves, 3)
            ]
            if chance.random() < 0.2:
                lines.append({"component": oil, "quantity": "1"})
            found.append(
                _assembly(code, lines, _figures(chance, 200, states=("dry", "drained", "filled")), chance)
            )
        lines = [{"component": code, "quantity": "1"} for code in halves] + (
            [{"component": oil, "quantity": "1"}] if chance.random() < 0.5 else []
        )
        found.append(_assembly(unit, lines, _figures(chance, 400, states=("drained", "filled")), chance))
        fluid = {"litres": "5 L", "density": "0.88 kg/L"} | (
            {"stays": "1 L"} if chance.random() < 0.5 else {}
        )
        found.append({"component": oil, "name": "Oil", "kind": "fluid", "fluid": fluid})
        for record in [one for one in found if one.get("component") in (*leaves, *halves)]:
            if record.get("masses") and chance.random() < 0.1:
                record["masses"][0]["id"] = f"m-{record['component']}"
                found.append(
                    {
                        "choice": f"c-{record['component']}", "component": record["component"],
                        "statement": f"m-{record['component']}", "state": chance.choice(["dry", "drained", "filled"]),
                        "by": "keeper", "on": "2026-05-05", "reason": "asked",
                    }
                )  # fmt: skip
    return found


def _figures(chance: random.Random, most: int, states: Sequence[str] = ()) -> list[dict[str, Any]]:
    found = []
    for source in chance.sample(["scale", "list"], chance.choice([0, 1, 1, 2])):
        one: dict[str, Any] = {"printed": f"{chance.uniform(1, most):.1f} kg", "source": source}
        if states and chance.random() < 0.7:
            one |= {"state": chance.choice(states), "counts": "as listed", "without": "none"}
            one |= {"checked by": "foreman"}
        found.append(one)
    return found


def _assembly(code: str, lines: Any, masses: Any, chance: random.Random) -> dict[str, Any]:
    listed = chance.choice(["all", "all", "some"])
    record = {"component": code, "name": code, "kind": "assembly", "parts listed": listed, "parts": lines}
    return record | ({"masses": masses} if masses else {})


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_what_is_alike_in_every_state_is_as_if_worked_out_three_times(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "all.yml").write_text(dump_text(shop(random.Random(seed))), encoding="utf-8")
    once, thrice = tmp_path / "once.db", tmp_path / "thrice.db"
    said: list[bool] = []

    def alike(judge: Judge, evidence: AllEvidence) -> Sequence[bool]:
        said.extend(found := worked(judge, evidence))
        return found

    worked = component_rows._alike
    monkeypatch.setattr(component_rows, "_alike", alike)
    build_database([folder], once)
    monkeypatch.setattr(component_rows, "_alike", lambda judge, _: [False] * len(judge.tree.nodes))
    build_database([folder], thrice)
    assert once.read_bytes() == thrice.read_bytes()
    assert any(said)
    assert not all(said)
