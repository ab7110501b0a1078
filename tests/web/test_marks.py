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
