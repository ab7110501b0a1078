"""Pages say of everything that came from another shop: from whom, signed or not, looked at or not."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path
from typing import Any

import pytest

from handling_db.database.building import build_with_bar
from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import own_collection, take
from handling_db.web.serving import application
from tests.cli.test_marks import NOTE_ON_OURS
from tests.sharing.received import HEAVY
from tests.sharing.received import received as taken_in

pytestmark = pytest.mark.anyio

DAY = datetime.date(2026, 11, 25)
WORDS = "From quay-shed-nine (not signed), not yet reviewed."


@pytest.fixture(scope="module")
def received(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The database of a shop that took a parcel in and has not looked at it."""
    base = tmp_path_factory.mktemp("shops")
    sender, receiver = base / "quay", base / "tarrowby"
    shutil.copytree(demo_folder, sender)
    receiver.mkdir()
    own = own_collection(sender, reference=False)
    keys, about = chosen_keys(own, component="lock-clutch-pack")
    parcel = base / "out.zip"
    parcel.write_bytes(make_parcel(own, keys, about=about, sender="quay-shed-nine", by="foreman", on=DAY))
    read = open_parcel(parcel)
    assert read.findings == ()
    take(receiver, read.parcel, DAY)
    build_with_bar([receiver], base / "handling.db")
    return base / "handling.db"


async def test_component_and_its_notes_say_where_they_came_from(received: Path) -> None:
    page: Any = await application(received).client.get("/component/lock-clutch-pack")
    assert page.status_code == 200
    assert page.text.count(WORDS) >= 2
    notes = await application(received).client.get("/notes")
    assert WORDS in notes.text


async def test_own_records_carry_no_such_words(served: Any) -> None:
    page = await served.client.get("/component/lock-clutch-pack")
    assert "not yet reviewed" not in page.text


OF_THEIRS = "Not yet reviewed: component their-unit, from far-shed (not signed)."
WAITS = "Waits for review and is in no sum: note pump-note, from far-shed (not signed)"


@pytest.fixture(scope="module")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop of its own with a tree of another shop in force, and a note and a figure for a part of ours that wait."""
    folder = taken_in(tmp_path_factory.mktemp("mixed") / "own", NOTE_ON_OURS, HEAVY)
    build_with_bar([folder], folder.parent / "handling.db")
    return folder.parent / "handling.db"


@pytest.mark.parametrize(
    "address",
    ["/component/their-unit", "/move/their-unit", "/move/their-unit/card", "/move/their-unit/tag", "/hands/their-unit",
     "/fixtures/their-unit", "/shop/quay/their-unit", "/notes?component=their-unit"],
)  # fmt: skip
async def test_every_page_about_theirs_is_marked(address: str, mixed: Path) -> None:
    """Only the page of the component and the notes said it; no print did."""
    client = application(mixed).client
    page = await client.get(address)
    assert page.status_code == 200
    assert OF_THEIRS in page.text or OF_THEIRS.removesuffix(".") + " (and " in page.text

    path, sign, question = address.partition("?")
    if not path.endswith(("/card", "/tag")):
        told = (await client.get(f"{path}.json{sign}{question}")).json()
        assert "component their-unit" in " ".join(told["not_reviewed"])


@pytest.mark.parametrize(
    ("address", "marked"),
    [("/component/front-section", WAITS), ("/component/pump", WAITS), ("/component/carrier", ""),
     ("/lift/rear-up", "Rear case 520 kg"), ("/lift/rear-up/sheet", "Rear case 520 kg"), ("/move/rear-up/card", "Rear case 520 kg"),
     ("/move/rear-up/tag", "Rear case 520 kg"), ("/joint/halves", "pump-note")],
)  # fmt: skip
async def test_a_page_about_ours_says_what_waits_about_it(address: str, marked: str, mixed: Path) -> None:
    page = (await application(mixed).client.get(address)).text
    assert marked in page
    assert ("Waits for review" in page) == bool(marked)
    assert "Not yet reviewed" not in page


async def test_the_heavier_plan_stands_with_the_one_without_it(mixed: Path) -> None:
    page = (await application(mixed).client.get("/component/rear-section")).text
    assert "with it plan with 569 kg (1253 lb), without it 358 kg (789 lb)" in page
    told = (await application(mixed).client.get("/component/rear-section.json")).json()
    assert "with it plan with 569 kg" in " ".join(told["waiting"])


async def test_pages_about_everything_count_what_is_marked(mixed: Path) -> None:
    for address in ("/start", "/lifts", "/shops", "/fixtures", "/sources", "/checker", "/moves"):
        page = (await application(mixed).client.get(address)).text
        assert page.count("Not yet reviewed:") == 2, address
        assert "And 3 more: handling-db parcel review." in page, address
    found = (await application(mixed).client.get("/find?q=their+unit")).text
    assert "From far-shed (not signed), not yet reviewed." in found
