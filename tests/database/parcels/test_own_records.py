"""A parcel made or looked at with a database in place of all records says what all records say."""

from __future__ import annotations

import datetime
import random
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from handling_db.database.build import BuildRefused
from handling_db.database.edited.build import build_over
from handling_db.database.parcels.own_records import own_to_hold_against, own_to_send
from handling_db.errors import HandlingError
from handling_db.files.folders import data_folder, read_collection
from handling_db.files.new_id import new_id
from handling_db.files.yaml_text import dump_text
from handling_db.sharing.contents import everything
from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.parcel import Parcel
from handling_db.sharing.read import open_parcel
from handling_db.sharing.review import Grounds, decide, record
from handling_db.sharing.take_in import TAKEN, look_at, own_collection, take
from tests.benchmarks.shop import write_shop
from tests.database.edited.test_random_edits import EDITS, Shop

pytestmark = pytest.mark.slow

DAY = datetime.date(2026, 11, 25)


def packed(collection: Any, component: str | None) -> bytes:
    keys, about = chosen_keys(collection, component=component)
    return make_parcel(collection, keys, about=about, sender="quay", by="foreman", on=DAY)


def built(folder: Path, database: Path) -> Path:
    build_over([folder], database)
    return database


class Sender:
    """Another shop's records: some like ours, some beside ours, some that meddle with ours."""

    def __init__(self, shop: Shop, chance: random.Random) -> None:
        self.chance = chance
        own = [one for records in shop.files.values() for one in records]
        self.codes = [one["component"] for one in own if "component" in one]
        units = chance.sample(["u0", "u1", "u2", "u3", "u4", "u5"], chance.randrange(1, 3))
        some = [
            one for one in own if next(iter(one.values())).startswith(tuple(units)) or chance.random() < 0.03
        ]
        for old in units:  # a unit under ids of its own, or partly so
            new, share = chance.choice(["w1", "w2", "u9", old]), chance.choice([0.7, 1])
            some = [self._renamed(one, old, new) if chance.random() < share else one for one in some]
        if chance.random() < 0.7:  # and names of its own
            some = [{**one, "name": f"{one['name']} {self.code()}"} if "name" in one else one for one in some]
        self.records = some
        for _ in range(chance.randrange(4)):
            self.records.append(getattr(self, chance.choice(MEDDLES))())

    def _renamed(self, value: Any, old: str, new: str) -> Any:
        if isinstance(value, dict):
            return {key: self._renamed(item, old, new) for key, item in value.items()}
        if isinstance(value, list):
            return [self._renamed(item, old, new) for item in value]
        return new + value.removeprefix(old) if isinstance(value, str) and value.startswith(old) else value

    def code(self) -> str:
        return f"x{self.chance.randrange(10_000)}"

    def part(self) -> dict[str, Any]:
        names = ["CASE", "Re-ar half", "Lump", "Shaft", "Shaft 2", "u1-case", "Gears", "Ring"]
        made: dict[str, Any] = {"component": self.code(), "name": self.chance.choice(names), "kind": "part"}
        if self.chance.random() < 0.4:
            made["part number"] = self.chance.choice(["A-17", "a17", "B 9"])
        if self.chance.random() < 0.6:
            made["masses"] = [{"printed": f"{self.chance.uniform(1, 60):.1f} kg", "source": "list"}]
        if self.chance.random() < 0.3:
            made["also called"] = [self.chance.choice(["unit", "rear half", "cas"])]
        if self.chance.random() < 0.3:
            made["masses"] = [
                {"id": self.chance.choice(["u1-bolts", "m1"]), "printed": "3 kg", "source": "list"}
            ]
        return made

    def assembly(self) -> dict[str, Any]:
        lines = [{"component": code, "quantity": "1"} for code in self.chance.sample(self.codes, 2)]
        return {
            "component": self.code(),
            "name": "Stack",
            "kind": "assembly",
            "parts listed": "all",
            "parts": lines,
        }

    def weighed(self) -> dict[str, Any]:
        return {"weighing": self.code(), "of": self.chance.choice(self.codes), "gross": "33.0 kg", "tare": "none",
                "checked by": "foreman", "counts": "as listed", "without": "none", "source": "scale",
                "on": "2026-05-05", "by": "fitter"}  # fmt: skip

    def told(self) -> dict[str, Any]:
        about = self.chance.choice([{"tie": "u1-bolts"}, {"component": self.chance.choice(self.codes)},
                                    {"fixture": "stand"}, {"joint": "u2-joint"}])  # fmt: skip
        return {"note": self.code(), "about": about, "kind": "order", "text": "turn", "told by": "shop",
                "author": "fitter", "on": "2026-04-02", "status": "draft"}  # fmt: skip

    def chosen(self) -> dict[str, Any]:
        return {"choice": self.code(), "component": self.chance.choice(self.codes), "by": "keeper", "on": "2026-05-05",
                "reason": "asked", "owner": "keeper", "settle by": "2027-01-01"}  # fmt: skip

    def joined(self) -> dict[str, Any]:
        within, *sides = self.chance.sample(self.codes, 3)
        return {"joint": self.code(), "name": "Joint", "within": within, "between": sides, "ties listed": "some",
                "ties": [{"id": self.chance.choice(["u3-bolts", "y"]), "kind": "bolts", "what": "bolts"}]}  # fmt: skip

    def bay(self) -> dict[str, Any]:
        return {"shop": self.code(), "name": "Yard", "first unit": "lb", "scales": ["scale"]}

    def beam(self) -> dict[str, Any]:
        return {"gear": self.chance.choice(["sling", "beam"]), "name": "Beam", "kind": "web sling"}

    def rack(self) -> dict[str, Any]:
        return {
            "fixture": self.code(),
            "name": "Rack",
            "kind": "stand",
            "only for": [self.chance.choice(self.codes)],
        }


MEDDLES = ("part", "part", "assembly", "weighed", "told", "chosen", "joined", "bay", "beam", "rack")


def sent(sender: Sender, folder: Path) -> Parcel | None:
    """The parcel, or None where its records have faults by themselves."""
    folder.mkdir()
    first: dict[tuple[str, str], Any] = {}
    for one in sender.records:
        first.setdefault((next(iter(one)), one[next(iter(one))]), one)
    (folder / "r.yml").write_text(dump_text([*first.values()]), encoding="utf-8")
    reading = read_collection([folder], reference=False, settled=False)
    if not first or any(one.verdict == "fault" for one in reading.findings):
        return None
    own = reading.collection
    data = make_parcel(own, everything(own), about="news", sender="far", by="foreman", on=DAY)
    (folder / "p.zip").write_bytes(data)
    return open_parcel(folder / "p.zip").parcel


def files_in(folder: Path) -> dict[str, bytes]:
    return {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def held_apart(shop: Shop, tmp_path: Path, parcel: Parcel, database: Path) -> int:
    """How many records of a parcel were looked at, each the same both ways; and the same is taken."""
    held, why = own_to_hold_against(shop.folder, parcel, database)
    assert why == ""
    own = own_collection(shop.folder)
    part = look_at(held.own, parcel, shop.folder, beside=held.beside)
    whole = look_at(own, parcel, shop.folder)
    assert part == whole
    for folder, near in (("a", None), ("b", (held.own, held.beside))):
        shutil.rmtree(tmp_path / folder, ignore_errors=True)
        shutil.copytree(shop.folder, tmp_path / folder)
        take(tmp_path / folder, parcel, DAY, None if near is None else (lambda near=near: near))
    assert files_in(tmp_path / "a" / TAKEN) == files_in(tmp_path / "b" / TAKEN)
    return len(part.incoming)


def decided(folder: Path, chance: random.Random) -> Iterator[None]:
    """Some of what came is accepted or refused."""
    from handling_db.records.versions import questions

    for question in questions(own_collection(folder)):
        if chance.random() < 0.4:
            own = own_collection(folder)
            if question in questions(own):
                grounds = Grounds("keeper", "asked", DAY)
                made = decide(own, question, chance.choice(["accept", "refuse"]), grounds, new_id)
                record(folder, [made])
                yield


@pytest.mark.parametrize("seed", range(2))
def test_what_is_said_of_a_parcel_is_what_all_records_say(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    shop = Shop(tmp_path / "records", chance)
    shop.write()
    database = built(shop.folder, tmp_path / "shop.db")
    looked, number = 0, 0
    for _ in range(4):
        for name in chance.choices(EDITS, k=chance.randrange(3)):
            getattr(shop, name)()
        write_own(shop)
        number += 1
        parcel = sent(Sender(shop, chance), tmp_path / f"sent{number}")
        try:
            built(shop.folder, database)
        except BuildRefused:
            return
        if parcel is None:
            continue
        looked += held_apart(shop, tmp_path, parcel, database)
        for code in chance.sample(sorted(own_collection(shop.folder).components), 4):
            own, why = own_to_send(shop.folder, code, database)
            assert why == ""
            assert packed(own, code) == packed(own_collection(shop.folder, reference=False), code)
        if chance.random() < 0.6:
            take(shop.folder, parcel, DAY)
            for _ in decided(shop.folder, chance):
                pass
    assert looked


def write_own(shop: Shop) -> None:
    """Write the shop's own files and leave alone what was taken and decided."""
    for name, records in shop.files.items():
        file = shop.folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(shop.heads.get(name, "") + dump_text(records), encoding="utf-8")


@pytest.fixture(scope="module")
def apart(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Six units of which none goes by a name of another, and their database."""
    folder = tmp_path_factory.mktemp("apart")
    shop = Shop(folder / "records", random.Random(1))
    shop.files["shop.yml"] = [one for one in shop.files["shop.yml"] if "fixture" not in one]
    for records in shop.files.values():
        for one in records:
            code = one[next(iter(one))]
            if "component" in one or "joint" in one or "lift group" in one:
                one["name"] = code[::-1] * 2
            if code == "u4-gear":
                one |= {"also called": ["Ölrad 7"], "part number": "K-9 a", "masses": [{"id": "geared", "printed": "5 kg",
                        "source": "list"}]}  # fmt: skip
            if code == "u4-note":
                one["hazard"] = "spoken-of"
    shop.write()
    return shop.folder, built(shop.folder, folder / "shop.db")


PART = {"component": "new", "name": "Quite another thing", "kind": "part"}
DOORS = {
    "name": ({**PART, "name": "ÖL-RAD  7"}, "It goes by 'ÖL-RAD  7', and so does our component u4-gear."),
    "part number": ({**PART, "also called": ["k9a"]}, "It goes by 'k9a', and so does our component u4-gear."),
    "id": ({**PART, "component": "u4-note"}, "Its id is taken here: note u4-note."),
    "part": ({**PART, "kind": "assembly", "parts": [{"component": "u4-case", "quantity": "1"}]},
             "It names our component u4-case."),
    "tie": ({**PART, "component": "u4-bolts"}, "Its id is taken here: joint u4-joint."),
    "figure": ({**PART, "remark": "geared"}, "It names our component u4-gear (geared)."),
    "spoken of": ({**PART, "component": "spoken-of"},
                  "Our note u4-note speaks of spoken-of, which nobody here has recorded."),
    "mover": ({"mover": "far-hoist", "name": "Hoist", "kind": "hoist"}, "A mover counts for lifts and moves of ours."),
}  # fmt: skip


@pytest.mark.parametrize("door", DOORS)
def test_what_is_meant_in_one_unit_is_found_there(
    apart: tuple[Path, Path], tmp_path: Path, door: str
) -> None:
    folder, database = apart
    one, why = DOORS[door]
    (tmp_path / "r.yml").write_text(dump_text([one]), encoding="utf-8")
    reading = read_collection([tmp_path], reference=False, settled=False)
    assert [str(finding) for finding in reading.findings] == []
    sent_as = everything(reading.collection)
    data = make_parcel(reading.collection, sent_as, about="one", sender="far", by="foreman", on=DAY)
    (tmp_path / "p.zip").write_bytes(data)
    parcel = open_parcel(tmp_path / "p.zip").parcel
    assert parcel is not None
    held, told = own_to_hold_against(folder, parcel, database)
    assert told == ""
    assert len({code.split("-")[0] for code in held.own.components} - {"bolt"}) <= 1
    part = look_at(held.own, parcel, folder, beside=held.beside)
    assert part == look_at(own_collection(folder), parcel, folder)
    assert [each.why for each in part.incoming] == [why]


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Three units like the demo's, and their database."""
    folder = tmp_path_factory.mktemp("drawn")
    write_shop(folder / "records", 276, 7)
    return folder / "records", built(folder / "records", folder / "shop.db")


def test_a_unit_is_sent_and_looked_at_and_no_other_is_read(drawn: tuple[Path, Path], tmp_path: Path) -> None:
    folder, database = drawn
    every, whole = own_collection(folder, reference=False), own_collection(folder)
    for code in ("transfer-box", "u0001-saw-gearbox", "u0001-transfer-box"):
        own, why = own_to_send(folder, code, database)
        assert why == ""
        data = packed(own, code)
        assert data == packed(every, code)
        (tmp_path / "p.zip").write_bytes(data)
        parcel = open_parcel(tmp_path / "p.zip").parcel
        assert parcel is not None
        held, why = own_to_hold_against(folder, parcel, database)
        assert why == ""
        assert look_at(held.own, parcel, folder, beside=held.beside) == look_at(whole, parcel, folder)
    other = [code for code in own.components if code.startswith(("u0002-", "u0000-"))]
    assert not other
    assert sum(code.startswith("u0001-") for code in held.own.components) > 50
    assert not any(code.startswith("u0002-") for code in held.own.components)


def test_a_changed_file_means_that_all_records_are_read(drawn: tuple[Path, Path], tmp_path: Path) -> None:
    folder = tmp_path / "records"
    shutil.copytree(data_folder() / "demo", folder)
    database = built(folder, tmp_path / "shop.db")
    assert own_to_send(folder, "transfer-box", database)[1] == ""
    file = folder / "components" / "lock-clutch-pack.yml"
    file.write_text(file.read_text(encoding="utf-8") + "# looked at\n", encoding="utf-8")
    assert own_to_send(folder, "transfer-box", database)[1] == f"{file} changed"
    (folder / "more.yml").write_text("- {source: slip, name: Slip, kind: weighed}\n", encoding="utf-8")
    assert own_to_send(folder, "transfer-box", database)[1] == f"{file} changed (and 1 more)"
    assert own_to_send(folder, "transfer-box", drawn[1])[1] == "it was not built of this folder alone"
    (tmp_path / ".shop.db.kept").unlink()
    assert own_to_send(folder, "transfer-box", database)[1] == "nothing was kept beside it when it was built"


def test_ids_that_are_one_thing_mean_that_all_records_are_read(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    parts = [{"component": code, "name": code, "kind": "part"} for code in ("a", "b")]
    pair = {
        "pairing": "p",
        "keep": "a",
        "same": "b",
        "by": "foreman",
        "on": "2026-11-25",
        "reason": "one casting",
    }
    (folder / "r.yml").write_text(dump_text([*parts, pair]), encoding="utf-8")
    database = built(folder, tmp_path / "shop.db")
    own, why = own_to_send(folder, "b", database)
    assert why.startswith("ids are joined here")
    assert set(own.components) == {"a", "b"}


def test_a_component_that_is_not_there_is_told_alike(drawn: tuple[Path, Path]) -> None:
    folder, database = drawn
    for asked in (database, None):
        with pytest.raises(HandlingError, match="there is no component 'u0001-nothing' here; write its id"):
            packed(own_to_send(folder, "u0001-nothing", asked)[0], "u0001-nothing")
