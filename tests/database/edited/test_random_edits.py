"""Building over a database after random edits: every table is as a whole build has it, row for row."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from handling_db.database.build import BuildRefused, build_database
from handling_db.database.described import described
from handling_db.database.edited.build import Built, build_over
from handling_db.database.queries import open_database
from handling_db.database.queries.hits import search
from handling_db.files.yaml_text import dump_text

SHOP: list[dict[str, Any]] = [
    {
        "source": "scale",
        "name": "Floor scale",
        "kind": "weighed",
        "instrument": {"name": "Scale", "step": "0.5 kg"},
    },
    {"source": "list", "name": "Parts list", "kind": "supplier's list"},
    {"shop": "bay", "name": "Bay", "first unit": "kg", "scales": ["scale"]},
    {"gear": "sling", "name": "Web sling", "kind": "web sling"},
    {"fixture": "stand", "name": "Stand", "kind": "stand", "only for": ["u0"]},
    {
        "component": "bolt",
        "name": "Bolt",
        "kind": "part",
        "masses": [{"printed": "0.2 kg", "source": "list"}],
    },
]


class Shop:
    """Records as plain values by file, with what a data keeper may do to them."""

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self.folder, self.chance = folder, chance
        self.files: dict[str, list[dict[str, Any]]] = {"shop.yml": [dict(one) for one in SHOP]}
        self.heads: dict[str, str] = {}
        self.new = 0
        for unit in range(6):
            self.files[f"u{unit}/parts.yml"] = self.unit(f"u{unit}")
            self.files[f"u{unit}/more.yml"] = self.around(f"u{unit}")

    def kg(self, most: float = 60) -> str:
        return f"{self.chance.uniform(1, most):.1f} kg"

    def unit(self, unit: str) -> list[dict[str, Any]]:
        parts = [f"{unit}-{name}" for name in ("case", "gear", "shaft")]
        lines = [{"component": part, "quantity": str(self.chance.randrange(1, 3))} for part in parts]
        found: list[dict[str, Any]] = [
            {"component": unit, "name": "Unit", "kind": "assembly", "parts listed": "all", "parts": lines}
        ]
        for part in parts:
            own: dict[str, Any] = {"component": part, "name": part.split("-")[1].title(), "kind": "part"}
            if self.chance.random() < 0.8:
                own["masses"] = [{"printed": self.kg(), "source": "list"}]
            found.append(own)
        return found

    def around(self, unit: str) -> list[dict[str, Any]]:
        return [
            self.weighing(unit, f"{unit}-weighed"),
            {"joint": f"{unit}-joint", "name": "Joint", "within": unit, "between": [f"{unit}-case", f"{unit}-gear"],
             "ties listed": "some", "ties": [{"id": f"{unit}-bolts", "kind": "bolts", "what": "bolts", "there": "yes"}]},
            {"lift group": f"{unit}-lift", "name": "Lift", "root": unit, "takes": [[f"{unit}-case"]]},
            self.note(f"{unit}-note", {"tie": f"{unit}-bolts"}),
        ]  # fmt: skip

    def weighing(self, unit: str, code: str) -> dict[str, Any]:
        day = f"2026-0{self.chance.randrange(1, 9)}-1{self.chance.randrange(0, 9)}"
        return {"weighing": code, "of": unit, "gross": self.kg(150), "tare": "none", "checked by": "foreman",
                "counts": "as listed", "without": "none", "source": "scale", "on": day, "by": "fitter"}  # fmt: skip

    def note(self, code: str, about: dict[str, str]) -> dict[str, Any]:
        words = " ".join(self.chance.choices(["turn", "slow", "oil", "runs", "out", "sling"], k=4))
        return {"note": code, "about": about, "kind": "order", "text": words, "told by": "shop", "author": "fitter",
                "on": "2026-04-02", "status": "draft"}  # fmt: skip

    def write(self) -> None:
        texts = {name: self.heads.get(name, "") + dump_text(records) for name, records in self.files.items()}
        for file in self.folder.rglob("*.yml"):
            if str(file.relative_to(self.folder)) not in texts:
                file.unlink()
        for name, text in texts.items():
            file = self.folder / name
            file.parent.mkdir(parents=True, exist_ok=True)
            if not file.exists() or file.read_text(encoding="utf-8") != text:
                file.write_text(text, encoding="utf-8")

    def some(self, what: str) -> tuple[str, dict[str, Any]]:
        found = [
            (f, r)
            for f, records in self.files.items()
            for r in records
            if what in r and next(iter(r)) == what
        ]
        return self.chance.choice(found)

    def another(self) -> str:
        self.new += 1
        return f"{self.chance.choice('aqz')}{self.new}"

    # what a data keeper does

    def figure(self) -> None:
        _, record = self.some("component")
        if "parts" not in record:
            record["masses"] = [{"printed": self.kg(), "source": self.chance.choice(["list", "scale"])}]

    def no_figure(self) -> None:
        self.some("component")[1].pop("masses", None)

    def reading(self) -> None:
        self.some("weighing")[1]["gross"] = self.kg(150)

    def count(self) -> None:
        record = self.some("component")[1]
        for line in record.get("parts", ())[:1]:
            line["quantity"] = str(self.chance.randrange(1, 5))

    def listed(self) -> None:
        record = self.some("component")[1]
        if "parts" in record:
            record["parts listed"] = self.chance.choice(["all", "some"])

    def named(self) -> None:
        self.some("component")[1]["name"] = self.chance.choice(["Case", "Pump", "Gear", "Shaft"])

    def called(self) -> None:
        self.some("component")[1]["also called"] = [self.chance.choice(["lump", "unit", "rear half"])]

    def line_above(self) -> None:
        name = self.chance.choice([*self.files])
        self.heads[name] = self.heads.get(name, "") + "# looked through\n"

    def new_part(self) -> None:
        _, record = self.some("component")
        file = next(f for f, records in self.files.items() if record in records)
        code = self.another()
        self.files[file].append({"component": code, "name": code, "kind": "part",
                                 "masses": [{"printed": self.kg(5), "source": "list"}]})  # fmt: skip
        if "parts" in record:
            record["parts"].append({"component": code, "quantity": "1"})

    def shared_bolt(self) -> None:
        _, record = self.some("component")
        if "parts" in record and all(line["component"] != "bolt" for line in record["parts"]):
            record["parts"].append({"component": "bolt", "quantity": "4"})

    def part_off(self) -> None:
        _, record = self.some("component")
        if len(record.get("parts", ())) > 1:
            code = record["parts"].pop()["component"]
            mentioned = sum(f"'{code}'" in str(r) for records in self.files.values() for r in records)
            if mentioned == 1:
                for name in self.files:
                    self.files[name] = [r for r in self.files[name] if r.get("component") != code]

    def renamed(self) -> None:
        _, record = self.some("component")
        old, new = record["component"], self.another()
        if old in ("u0", "bolt"):
            return
        for name, records in self.files.items():
            self.files[name] = [_with(record, old, new) for record in records]

    def new_note(self) -> None:
        unit = self.chance.randrange(6)
        about = self.chance.choice([{"tie": f"u{unit}-bolts"}, {"component": self.some("component")[1]["component"]},
                                    {"fixture": "stand"}])  # fmt: skip
        self.files[f"u{unit}/more.yml"].append(self.note(self.another(), about))

    def no_note(self) -> None:
        file, record = self.some("note")
        if sum("note" in one for one in self.files[file]) > 1:
            self.files[file].remove(record)

    def weighed_again(self) -> None:
        file, record = self.some("weighing")
        more = self.weighing(record["of"], self.another())
        taken = {one.get("replaces") for records in self.files.values() for one in records}
        if self.chance.random() < 0.5 and record["weighing"] not in taken:
            more["replaces"] = record["weighing"]
        self.files[file].append(more)

    def chosen(self) -> None:
        _, record = self.some("component")
        self.files["choices.yml"] = [*self.files.get("choices.yml", []), {
            "choice": self.another(), "component": record["component"], "by": "keeper", "on": "2026-05-05",
            "reason": "asked", "owner": "keeper", "settle by": "2027-01-01"}]  # fmt: skip

    def other_file(self) -> None:
        file, record = self.some("weighing")
        if len(self.files[file]) > 1:
            self.files[file].remove(record)
            self.files.setdefault("weighed.yml", []).append(record)

    def source(self) -> None:
        self.some("source")[1]["remark"] = self.another()

    def new_source(self) -> None:
        self.files["shop.yml"].append({"source": self.another(), "name": "Slip", "kind": "weighed"})

    def lift(self) -> None:
        unit = self.chance.randrange(6)
        self.some("lift group")[1]["remark"] = f"as in bay {unit}"


EDITS = [name for name in vars(Shop) if name in (
    "figure", "no_figure", "reading", "count", "listed", "named", "called", "line_above", "new_part", "shared_bolt",
    "part_off", "renamed", "new_note", "no_note", "weighed_again", "chosen", "other_file", "source", "new_source",
    "lift",
)]  # fmt: skip


def _with(value: Any, old: str, new: str) -> Any:
    if isinstance(value, dict):
        return {key: _with(item, old, new) for key, item in value.items()}
    if isinstance(value, list):
        return [_with(item, old, new) for item in value]
    return new if value == old else value


KEPT_OF_WORDS = ("note_words_spelled", "note_words_pairs", "note_words_counted")


def tables_of(file: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, in the order of its key."""
    connection = sqlite3.connect(file)
    try:
        held = {
            name: connection.execute(f"select * from {name} order by 1").fetchall()
            for name in (*KEPT_OF_WORDS, "component_words_held", "component_fragments_held")
        }
        return held | {
            table.name: connection.execute(
                f'select * from "{table.name}" order by '
                + ", ".join(f'"{column.name}"' for column in table.columns if column.key)
            ).fetchall()
            for table in described()
            if not table.view
        }
    finally:
        connection.close()


def found_in(file: Path) -> list[Any]:
    """What searches find."""
    connection = open_database(file)
    try:
        return [
            search(connection, words)
            for words in ("case", "pump", "oil sling", "unit", "q1", "u3-ge", "bolt")
        ]
    finally:
        connection.close()


def same(edited: Path, whole: Path) -> None:
    ours, theirs = tables_of(edited), tables_of(whole)
    for name, rows in theirs.items():
        assert ours[name] == rows, name
    assert found_in(edited) == found_in(whole)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2])
def test_random_edits_give_what_a_whole_build_gives(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    shop = Shop(tmp_path / "records", chance)
    edited, whole = tmp_path / "edited.db", tmp_path / "whole.db"
    shop.write()
    assert build_over([shop.folder], edited).because == "it is built for the first time"
    in_parts = 0
    for _ in range(6):
        names = chance.choices(EDITS, k=chance.choice([1, 1, 1, 2, 3]))
        for name in names:
            getattr(shop, name)()
        shop.write()
        told = _build(shop.folder, edited, whole)
        in_parts += told is not None and told.records is not None
        same(edited, whole)
    assert in_parts >= 2  # and not everything built as a whole each time


def _build(folder: Path, edited: Path, whole: Path) -> Built | None:
    """Build both; where the whole is refused, so is the other, for the same faults."""
    try:
        build_database([folder], whole)
    except BuildRefused as refused:
        with pytest.raises(BuildRefused) as ours:
            build_over([folder], edited)
        faults = [str(one) for one in refused.findings if one.verdict == "fault"]
        assert [str(one) for one in ours.value.findings if one.verdict == "fault"] == faults
        return None
    return build_over([folder], edited)
