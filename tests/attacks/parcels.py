"""Parcels of a shop that means harm, or is careless: no answer about anything of ours changes before review.

What a parcel may do is add a warning, marked, or lift the plan of its own piece and of those above it, marked and
with the figure without it beside. Honest parcels about things of their own must be in force at once.
"""

from __future__ import annotations

import asyncio
import datetime
import json
import random
import re
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from handling_db.cli import main
from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import dump_text
from handling_db.records.versions import unreviewed
from handling_db.sharing.make import make_parcel
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import own_collection, take
from handling_db.web.serving import application
from tests.attacks import Counts

DAY = datetime.date(2026, 11, 25)
LOCAL = Path(__file__).with_name("local.yml")

COMPONENTS = (
    "drive-box", "front-section", "rear-section", "front-case", "pump", "rear-case", "carrier", "bolt",
)  # fmt: skip
NAMES = (
    "rear half",
    "Rear Half",
    "differential half",
    "front half",
    "Drive box",
    "DB-100",
    "200-17",
    "Oil pump",
)
# What is asked about, each with every door that tells it: commands, and pages with the JSON beside them.
SUBJECTS: tuple[tuple[str, ...], ...] = (
    *((f"weight {code}", f"/component/{code}", f"/component/{code}.json") for code in COMPONENTS),
    *((f"weight {name}",) for name in NAMES),
    *((f"why {code}",) for code in ("drive-box", "rear-section")),
    ("notes pump", "/notes?component=pump", "/notes.json?component=pump"),
    ("notes drive-box",),
    *((f"{word} drive-box",) for word in ("bounds", "explain", "reconcile", "hands", "fixtures")),
    ("lift rear-up", "/lift/rear-up", "/lift/rear-up.json"),
    ("lift rear-up --serial 7", "/lift/rear-up/sheet", "/lift/rear-up/sheet.json"),
    ("legs rear-up",),
    ("move rear-up", "/move/rear-up", "/move/rear-up.json", "/move/rear-up/card", "/move/rear-up/tag"),
    ("move rear-section", "/component/rear-section?state=dry", "/component/rear-section.json?state=dry"),
    (
        "move rear-section --pallet skid",
        "/move/rear-section?pallet=skid",
        "/move/rear-section.json?pallet=skid",
    ),
    ("hands rear-up", "/hands/rear-up", "/hands/rear-up.json"),
    ("fixtures rear-up", "/fixtures/rear-section", "/fixtures/rear-section.json"),
    ("joint halves", "/joint/halves", "/joint/halves.json"),
    ("shop quay rear-up", "/shop/quay/rear-up", "/shop/quay/rear-up.json"),
    ("stand rear-section", "/job/unit-7", "/job/unit-7.json"),
    (
        "heavier front-section rear-section",
        "/heavier?one=front-section&two=rear-section&state=dry",
        "/heavier.json?one=front-section&two=rear-section&state=dry",
    ),
    ("reading rear-up 400 kg",),
    (
        "level rear-up",
        "/level/rear-up",
        "/level/rear-up.json",
        "/two-hooks/rear-up?head=ear-front&tail=ear-behind",
        "/two-hooks/rear-up.json?head=ear-front&tail=ear-behind",
    ),
    ("doubt floor-scale",),
    ("steps box-apart", "/plan/box-apart", "/plan/box-apart.json", "/plan/box-apart/sheet"),
    ("find rear-section",),
)
QUESTIONS = tuple(door for doors in SUBJECTS for door in doors)
# Rules of the checker whose findings name the parcel: marked warnings.
ABOUT_OTHERS = ("version-waits", "version-beside", "not-reviewed")


def ask(*words: str) -> tuple[int, str]:
    """Exit status and text of one command."""
    result = CliRunner().invoke(main, list(words))
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code != 70, result.stderr  # a fault of the program
    return result.exit_code, result.stdout or result.stderr


def answers(database: Path, questions: Iterable[str] = QUESTIONS) -> dict[str, Any]:
    """What a shop is told about what is its own: by commands, on pages and in the JSON beside them."""
    asked = tuple(questions)
    addresses = tuple(one for one in asked if one.startswith("/"))
    found = {one: answer(database, one) for one in asked if one not in addresses}
    return {**found, **(asyncio.run(pages(database, addresses)) if addresses else {})}


def answer(database: Path, command: str) -> Any:
    """What one command says, without what is marked."""
    words = command.split()
    if words[0] == "weight":
        words = ["weight", command.removeprefix("weight ")]  # a name has blanks
    elif words[0] == "reading":
        words[2:] = [" ".join(words[2:])]
    status, text = ask(*words, "--db", str(database), "--json")
    if words[0] != "weight" and lifts(text):
        return LIFTED
    try:
        return [status, without_stamps(json.loads(text))]
    except ValueError:
        return [status, text]


async def pages(database: Path, addresses: Iterable[str]) -> dict[str, Any]:
    """What pages say, or the JSON beside them; without what is marked."""
    served = application(database)
    found: dict[str, Any] = {}
    for address in addresses:
        page = await served.client.get(address)
        path = address.partition("?")[0]
        if path.endswith(".json"):
            told = [page.status_code, without_stamps(page.json())]
            found[address] = LIFTED if lifts(page.text) and not path.startswith("/component/") else told
        else:
            found[address] = LIFTED if lifts(page.text) else [page.status_code, unmarked_text(page.text)]
    return found


def unmarked_text(page: str) -> str:
    """A page without its stamp and without the paragraphs that are marked.

    What the checker says is compared in the JSON of the same page. What one may choose among is no answer.
    """
    page = re.sub(r"<summary><strong>What the checker says.*?</details>", "", page, flags=re.DOTALL)
    page = re.sub(r"<option[^>]*>[^<]*</option>", "", page)
    kept = [line for line in re.split(r"\n|(?=<p)", page) if not is_marked(line)]
    return re.sub(
        r"(?i)stamp [0-9a-f]+|built [0-9 :-]+|data as of [^;,<]*",
        "",
        "\n".join(line for line in kept if line.strip()),
    )


LIFTED = "a plan is lifted, marked, and the one without stands beside it"


def lifts(text: str) -> bool:
    """Whether an answer says that a figure that waits lifts a plan, and gives the plan without it."""
    return bool(re.search(r"without .{0,200}?waits for review|with it plan with .{0,60}?, without it", text))


def without_stamps(value: Any) -> Any:
    """An answer without what says which build of the database it came from, and without what is marked.

    Where a look-up says that a figure that waits lifts its plan, the plan without it has to be the one before.
    """
    if isinstance(value, dict):
        if value.get("plan_lifted_by"):
            for unit in ("kg", "lb"):
                value = {**value, f"plan_{unit}": value[f"plan_without_{unit}"], f"plan_without_{unit}": None}
            value = {**value, "plan_lifted_by": None}
        return {
            key: without_stamps(item)
            for key, item in value.items()
            if key not in ("stamp", "built", "data_date", "not_reviewed", "waiting")
        }
    if isinstance(value, list):
        return [without_stamps(item) for item in value if not is_marked(item)]
    return value


def is_marked(item: Any) -> bool:
    """Whether a line of an answer says that it comes from elsewhere and nobody here has looked at it."""
    if isinstance(item, dict) and item.get("rule") in ABOUT_OTHERS:
        return True
    if isinstance(item, dict) and "plan_lifted_by" in item:
        return False  # compared by the plan without it
    text = (item if isinstance(item, str) else json.dumps(item)).lower()
    return any(
        words in text for words in ("not yet reviewed", "waits for review", "more: handling-db parcel")
    )


def parcel(file: Path, records: list[dict[str, Any]], sender: str = "far-shed") -> Path:
    """A parcel of these plain records, as a sender's program would make it."""
    reading = read_texts([("sent", dump_text(records))])
    assert not reading.findings, [str(finding) for finding in reading.findings]
    keys = [(kind, record.id) for kind, record in reading.collection.records()]
    about = "what they sent"
    file.write_bytes(make_parcel(reading.collection, keys, about=about, sender=sender, by="foreman", on=DAY))
    return file


# --- what a hostile shop may send; each gives plain records ---------------------------------------------------

Records = list[dict[str, Any]]
SCALE = {"source": "their-scale", "name": "Their scale", "kind": "weighed"}


def part(code: str, name: str, kg: float, **more: Any) -> dict[str, Any]:
    """A component with one figure from their scale."""
    figure = {"printed": f"{kg} kg", "plus or minus": "0.1 kg", "source": "their-scale"}
    return {"component": code, "name": name, "kind": "part", **more, "masses": [figure]}


def under_our_name(rng: random.Random) -> Records:
    """A part that goes by a name, an alias or a part number of ours, written this way or that."""
    name = rng.choice([*NAMES, *COMPONENTS])
    name = rng.choice([str, str.upper, str.title])(name)
    name = rng.choice(
        [name, name.replace(" ", "  ").replace("  ", " "), name.replace("-", " "), name.replace(" ", "-")]
    )
    where = rng.randrange(4)
    if where == 0:
        return [SCALE, part(name, "Bracket", 95)]
    if where == 1:
        return [SCALE, part("their-bracket", name, 95)]
    if where == 2:
        return [SCALE, part("their-bracket", "Bracket", 95, **{"also called": [name]})]
    return [SCALE, part("their-bracket", "Bracket", 95, **{"part number": name})]


def weighing_of_ours(rng: random.Random) -> Records:
    of = rng.choice(COMPONENTS)
    made: dict[str, Any] = {
        "weighing": f"their-weighing-{rng.randrange(99)}", "of": of, "gross": f"{rng.choice([rng.randrange(1, 900), 0.1])} kg",
        "tare": "none", "checked by": "fitter", "counts": "as listed", "without": "none", "state": "dry",
        "plus or minus": "0.1 kg", "source": rng.choice(["their-scale", "floor-scale"]), "on": "2026-11-20",
        "by": "fitter",
    }  # fmt: skip
    if rng.randrange(3) == 0:
        made["replaces"] = "whole-unit"
    return [SCALE, made]


def mover_of_ours(rng: random.Random) -> Records:
    code = rng.choice(["big-forklift", "a-crane", "forklift-two"])
    made: dict[str, Any] = {
        "mover": code, "name": "Big forklift", "kind": "forklift", "rated": "9000 kg",
        "plate": [{"load centre": "600 mm", "capacity": "9000 kg"}],
    }  # fmt: skip
    if rng.randrange(3):
        made["shop"] = "quay"
    return [made]


def shop_first(rng: random.Random) -> Records:
    code = rng.choice(["aaa", "zzz", "quays"])
    return [
        {
            "shop": code,
            "name": "Their shed",
            "first unit": "lb",
            "hand limit": "400 kg",
            "movers": ["forklift"],
        }
    ]


def fixture_of_ours(rng: random.Random) -> Records:
    return [
        {"fixture": "their-stand", "name": "Stand", "kind": "stand", "rated load": "9000 kg",
         "needed by": [{"component": rng.choice(COMPONENTS), "for": "parking"}]}
    ]  # fmt: skip


def packing_of_ours(rng: random.Random) -> Records:
    return [
        {"packing": "their-crate", "name": "Crate", "kind": "crate", "pallet": "skid", "own mass": "900 kg",
         "for components": [rng.choice(COMPONENTS)], "for lift groups": ["rear-up"]}
    ]  # fmt: skip


def joint_of_ours(rng: random.Random) -> Records:
    one, two = rng.sample(COMPONENTS, 2)
    return [
        {"joint": "their-joint", "name": "Joint", "within": "drive-box", "between": [one, two], "ties": "none",
         "ties listed": "all", "checked by": "fitter"}
    ]  # fmt: skip


def lift_of_ours(rng: random.Random) -> Records:
    code = rng.choice(["their-lift", "rear half", "rear-section", "halves"])
    return [
        {
            "lift group": code,
            "name": rng.choice(["Rear half up", "Up"]),
            "root": "drive-box",
            "takes": [["pump"]],
        }
    ]


def note_on_ours(rng: random.Random) -> Records:
    about = rng.choice([{"component": rng.choice(COMPONENTS)}, {"joint": "halves"}, {"tie": "bolts"}])
    made: dict[str, Any] = {
        "note": "their-note", "about": about, "kind": "protect", "text": "Nothing holds it.", "told by": "shop",
        "author": "fitter", "on": "2026-11-20", "status": "draft",
    }  # fmt: skip
    if rng.randrange(2):
        made["replaces"] = "mind-the-pump"
    return [made]


def choice_on_ours(rng: random.Random) -> Records:
    return [
        {"choice": "their-choice", "component": "drive-box", "statement": "whole-unit", "by": "foreman", "on": "2026-11-20",
         "reason": "It is the better one."}
    ]  # fmt: skip


def whole_around_ours(rng: random.Random) -> Records:
    """A unit of theirs that lists a part of ours."""
    lines = [
        {"component": rng.choice(COMPONENTS), "quantity": "1"},
        {"component": "their-bracket", "quantity": "1"},
    ]
    whole = {"component": "their-unit", "name": "Their unit", "kind": "assembly", "parts listed": "all", "parts": lines,
             "masses": [{"printed": "1 kg", "source": "their-scale"}]}  # fmt: skip
    return [SCALE, part("their-bracket", "Bracket", 5), whole]


def id_of_a_figure(rng: random.Random) -> Records:
    """A figure or a part line with the id of one of ours, or that says it replaces one of ours."""
    made = part("a-bracket", "Bracket", 5)
    if rng.randrange(2):
        made["masses"][0]["id"] = "rear-case-weighed"
    else:
        made["masses"][0]["replaces"] = "rear-case-weighed"
    return [SCALE, made]


def another_version(rng: random.Random) -> Records:
    code = rng.choice(["rear-case", "carrier", "bolt"])
    return [
        SCALE,
        part(code, code, rng.choice([rng.randrange(1, 999), 0.1])),
    ]  # one that lifts no plan as well


def own_tree(rng: random.Random) -> Records:
    """An honest parcel about a unit of theirs."""
    lines = [{"component": "their-case", "quantity": "1"}, {"component": "their-shaft", "quantity": "2"}]
    unit = {
        "component": "their-unit",
        "name": "Their unit",
        "kind": "assembly",
        "parts listed": "all",
        "parts": lines,
    }
    note = {"note": "their-note", "about": {"component": "their-case"}, "kind": "protect", "text": "Mind the edge.",
            "told by": "shop", "author": "fitter", "on": "2026-11-20", "status": "draft"}  # fmt: skip
    return [
        SCALE, part("their-case", "Casing of theirs", rng.randrange(1, 99)), part("their-shaft", "Shaft of theirs", 3),
        unit, note,
    ]  # fmt: skip


def trust_in_ours(rng: random.Random) -> Records:
    """How good a figure is: another doubt for a kind of source, another source of ours, another density."""
    kind = rng.choice(["weighed", "maker's manual", "hook reading", "looked at from afar"])
    doubt: dict[str, Any] = {
        "source kind": kind,
        "name": "as they see it",
        "rank": "1",
        "percent": "60",
        "basis": "Theirs.",
    }
    source = {
        "source": rng.choice(["floor-scale", "handbook", "aaa"]),
        "name": "Floor scale",
        "kind": "nobody knows",
    }
    material = {
        "material": rng.choice(["steel", "oil", "grey-iron"]),
        "name": "Steel",
        "density": "20 kg/L",
        "basis": "Theirs.",
    }
    return rng.sample([doubt, source, material], rng.randrange(1, 4))


def gear_of_ours(rng: random.Random) -> Records:
    code = rng.choice(["ring-and-chains", "aaa-chains", "hoist"])
    made: dict[str, Any] = {
        "gear": code, "name": "Ring with chains", "kind": "chain sling", "own mass": "90 kg", "length": "100 mm",
        "legs": "2", "tag": [{"legs": "2", "up to": "60 deg", "rated": "9000 kg"}], "angles from": "vertical",
    }  # fmt: skip
    if rng.randrange(2):
        made["shop"] = "quay"
    return [made]


def job_on_ours(rng: random.Random) -> Records:
    """A unit in hand of ours: what is off, and a tie that is out already."""
    made: dict[str, Any] = {
        "job": rng.choice(["their-job", "unit-7", "drive-box"]), "unit": "drive-box", "serial": str(rng.choice([7, 8])),
        "opened": {"on": "2026-11-20", "by": "fitter"},
        "ties out": [{"joint": "halves", "tie": "bolts", "count": "14", "on": "2026-11-20", "by": "fitter"}],
    }  # fmt: skip
    if rng.randrange(2):
        made["off"] = [{"of": ["rear-section", "carrier"], "on": "2026-11-20", "by": "fitter"}]
    return [made]


def pallet_of_ours(rng: random.Random) -> Records:
    made: dict[str, Any] = {
        "pallet": rng.choice(["skid", "aaa-skid"]), "name": "Skid", "kind": "flat pallet", "own mass": "1 kg",
    }  # fmt: skip
    if rng.randrange(2):
        made["shop"] = "quay"
    return [made]


def plan_on_ours(rng: random.Random) -> Records:
    """A planned job on a unit of ours, or one that says it takes ours back."""
    made: dict[str, Any] = {
        "job plan": rng.choice(["box-apart", "their-plan", "aaa", "drive-box", "unit-7"]), "name": "Drive box apart",
        "unit": "drive-box", "shop": "quay",
        "steps": [{"do": "set down", "what": "Onto the floor", "of": ["rear-section"], "rests": {"on": "floor"}}],
    }  # fmt: skip
    if rng.randrange(2):
        made["reverse of"] = "box-apart"
    return [made]


HOSTILE = (
    plan_on_ours, trust_in_ours, gear_of_ours, job_on_ours, pallet_of_ours,
    under_our_name, weighing_of_ours, mover_of_ours, shop_first, fixture_of_ours, packing_of_ours, joint_of_ours,
    lift_of_ours, note_on_ours, choice_on_ours, whole_around_ours, id_of_a_figure, another_version,
)  # fmt: skip


def mixed(rng: random.Random) -> tuple[Records, list[str]]:
    """One to four attacks in one parcel, sometimes with an honest tree; no id twice."""
    honest = [own_tree] if rng.randrange(2) else []
    kinds = [*rng.sample(HOSTILE, rng.randrange(0 if honest else 1, 4)), *honest]
    return together(kinds, rng), [kind.__name__ for kind in kinds]


def together(kinds: Iterable[Callable[[random.Random], Records]], rng: random.Random) -> Records:
    """What several kinds of attack send in one parcel; of two records with one id the first."""
    made: dict[tuple[str, str], dict[str, Any]] = {}
    for kind in kinds:
        for record in kind(rng):
            first = next(iter(record))
            made.setdefault((first, record[first]), record)
    return list(made.values())


class Shop:
    """A shop with its records, its answers before anything came, and a folder to try in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "own"
        self.folder.mkdir()
        shutil.copy(LOCAL, self.folder / "local.yml")
        self.work = folder
        self.before = self.told()

    def told(self, questions: Iterable[str] = QUESTIONS) -> dict[str, Any]:
        """Build the database and ask."""
        database = self.work / "told.db"
        status, text = ask("build", str(self.folder), "-o", str(database))
        assert status == 0, text
        return answers(database, questions)

    def after(
        self, records: Records, questions: Iterable[str] = QUESTIONS, second: Records | None = None
    ) -> tuple[dict[str, Any], frozenset[tuple[str, str]]]:
        """What is told once a parcel was taken, or one more of another shop after it, and which records came into force.

        The folder is put back.
        """
        try:
            for sender, sent in (("far-shed", records), ("mill", second)):
                if sent is not None:
                    opened = open_parcel(parcel(self.work / "sent.zip", sent, sender)).parcel
                    assert opened is not None
                    take(self.folder, opened, DAY)
            return self.told(questions), unreviewed(own_collection(self.folder))
        finally:
            for name in ("taken", "pictures"):
                shutil.rmtree(self.folder / name, ignore_errors=True)


def drawn(rng: random.Random, records: Records) -> tuple[str, ...]:
    """The questions that one parcel is tried with.

    Of every subject that the parcel names one door, by chance; of the others one in four. Every twentieth parcel
    is tried with everything.
    """
    if rng.randrange(20) == 0:
        return QUESTIONS
    sent = dump_text(records).lower()
    return tuple(
        rng.choice(doors)
        for doors in SUBJECTS
        if rng.randrange(4) == 0 or doors[0].partition(" ")[2].partition(" --")[0].lower() in sent
    )


def changed(before: dict[str, Any], after: dict[str, Any]) -> list[str]:
    """The questions whose answer is another than before."""
    return [words for words, told in after.items() if told not in (before[words], LIFTED)]


def run(rng: random.Random, count: int) -> Counts:
    """Take so many random parcels."""
    seen: Counter[str] = Counter(
        {"wrong in silence": 0, "tracebacks": 0, "honest records held back": 0, "lost": 0}
    )
    with tempfile.TemporaryDirectory() as name:
        shop = Shop(Path(name))
        for _ in range(count):
            records, kinds = mixed(rng)
            second, more = mixed(rng) if rng.randrange(3) == 0 else (None, [])
            kinds += more
            asked = drawn(rng, [*records, *(second or ())])
            try:
                after, in_force = shop.after(records, asked, second)
            except Exception as error:
                seen["tracebacks"] += 1
                print(f"{kinds}: {type(error).__name__}: {error}"[:400])
                continue
            wrong = changed(shop.before, after)
            seen["answers compared"] += len(after)
            seen["parcels that changed nothing"] += not wrong
            seen["answers with a plan lifted, marked"] += sum(told == LIFTED for told in after.values())
            if wrong:
                seen["wrong in silence"] += 1
                print(f"{kinds}: {wrong}: {dump_text(records)}, then {dump_text(second or [])}"[:2500])
            seen["records in force, marked"] += len(in_force)
            if kinds == ["own_tree"] and len(in_force) < len(records):
                seen["honest records held back"] += 1
    return seen
