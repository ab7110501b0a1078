"""Pictures of variants side by side, with what to do; content types that the first bytes prove."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import Any

import pytest

from handling_db.database.building import build_with_bar
from handling_db.database.queries import open_database
from handling_db.database.queries.pictures import pictures_of
from handling_db.web.serving import application

pytestmark = pytest.mark.anyio

PNG = b"\x89PNG\r\n\x1a\n" + bytes(40)


async def test_variants_side_by_side_and_what_to_do(served: Any) -> None:
    page = (await served.client.get("/component/rear-cover")).text
    assert "Stop. Photograph it. Which of these is it?" in page
    addresses = re.findall(r'<img src="([^"]+)" alt="[^"]+"', page)
    assert len(addresses) == 2
    for address in addresses:
        answer = await served.client.get(address)
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "image/png"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert hashlib.sha256(answer.content).hexdigest() in address


async def test_without_a_picture_it_says_nobody_took_one(served: Any) -> None:
    page = (await served.client.get("/component/oil-pump")).text
    assert "No picture of a variant is recorded: nobody took one." in page


@pytest.mark.parametrize(
    "path", [f"/picture/{'0' * 64}.png", "/picture/x.png", "/picture/%2e%2e%2fhandling.db"]
)
async def test_what_is_not_there(served: Any, path: str) -> None:
    assert (await served.client.get(path)).status_code in (302, 400, 404)  # 302: spelled anew, then not there


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A part with four pictures: a good one, a page in disguise, one outside the folder, one not there."""
    home = tmp_path / "records"
    (home / "pictures").mkdir(parents=True)
    (home / "pictures" / "good.png").write_bytes(PNG)
    (home / "pictures" / "script.png").write_bytes(b"<script>alert(1)</script>")
    (tmp_path / "outside.png").write_bytes(PNG)
    lines = [
        f"    - {{file: {file}, caption: {caption}}}"
        for file, caption in (
            ("pictures/good.png", "good"),
            ("pictures/script.png", "in disguise"),
            ("../outside.png", "outside"),
            ("pictures/none.png", "not there"),
        )
    ]
    text = "component: pump\nname: Pump\nkind: part\npictures:\n" + "\n".join(lines) + "\n"
    (home / "pump.yml").write_text(text)
    return home


async def test_only_what_is_a_picture_inside_the_folder_is_taken(folder: Path, tmp_path: Path) -> None:
    build_with_bar([folder], tmp_path / "handling.db")
    found = pictures_of(open_database(tmp_path / "handling.db"), "pump")
    assert [(one.caption, bool(one.name)) for one in found] == [
        ("good", True),
        ("in disguise", False),
        ("outside", False),
        ("not there", False),
    ]
    page = (await application(tmp_path / "handling.db").client.get("/component/pump")).text
    assert page.count("is not there.") == 3
    assert page.count("<img ") == 1


def test_another_picture_gives_another_stamp_and_the_same_one_the_same_file(
    folder: Path, tmp_path: Path
) -> None:
    one, two, three = (tmp_path / f"{n}.db" for n in "abc")
    build_with_bar([folder], one)
    build_with_bar([folder], two)
    assert one.read_bytes() == two.read_bytes()
    (folder / "pictures" / "good.png").write_bytes(PNG + b"x")
    build_with_bar([folder], three)
    stamps = {open_database(db).execute("select stamp from built").fetchone()[0] for db in (one, three)}
    assert len(stamps) == 2


@pytest.fixture
def photographed(tmp_path: Path) -> Path:
    """A small collection whose notes about a pick point, a joint, a tie and another piece have photographs."""
    home = tmp_path / "shop"
    (home / "pictures").mkdir(parents=True)
    small = Path(__file__).resolve().parents[1] / "attacks" / "local.yml"
    (home / "all.yml").write_text(small.read_text())
    notes = []
    for about in ("pick point: ear-front", "joint: halves", "lift group: rear-up", "component: bolt"):
        name = about.replace(": ", "-").replace(" ", "-")
        (home / "pictures" / f"{name}.png").write_bytes(PNG + name.encode())
        notes.append(
            f"- {{note: photo-{name}, about: {{{about}}}, kind: access, text: Seen at {name}., told by: shop, "
            f"author: fitter, on: 2026-03-01, status: checked, checked by: foreman, photo: pictures/{name}.png}}\n"
        )
    notes.append(notes[1].replace("photo-joint", "lost-joint").replace("halves.png", "lost.png"))
    (home / "notes.yml").write_text("".join(notes))
    build_with_bar([home], tmp_path / "shop.db")
    return tmp_path / "shop.db"


async def test_photographs_of_pick_points_and_joints_are_on_lift_joint_and_sheet(photographed: Path) -> None:
    client = application(photographed).client

    async def shown(path: str) -> set[str]:
        text = (await client.get(path)).text
        found = re.findall(r'<img src="(/picture/[^"]+)" alt="[^"]*Seen at ([^"]+?)\."', text)
        for address, name in found:
            assert (await client.get(address)).content == PNG + name.encode()
        return {name for _, name in found}

    every = {"pick-point-ear-front", "joint-halves", "lift-group-rear-up"}
    assert await shown("/lift/rear-up") >= every
    assert await shown("/lift/rear-up/sheet") >= every
    assert await shown("/joint/halves") == {"joint-halves", "component-bolt"}, "bolts are of the joint"
    assert "The picture pictures/joint-lost.png is not there." in (await client.get("/joint/halves")).text


async def test_without_a_photograph_nothing_is_said_of_one(served: Any) -> None:
    for path in ("/lift/whole-unit-lift", "/lift/whole-unit-lift/sheet", "/joint/section-joint"):
        assert 'class="pictures"' not in (await served.client.get(path)).text


async def test_the_sketch_of_an_ear_is_on_the_lift_that_hangs_on_it_and_on_its_sheet(served: Any) -> None:
    for path in ("/lift/upper-half-lift", "/lift/upper-half-lift/sheet"):
        text = (await served.client.get(path)).text
        address = re.search(
            r'<img src="([^"]+)" alt="Sketch from behind: the ear at 90 degrees is the one on top"', text
        )
        assert address
        assert (await served.client.get(address[1])).headers["content-type"] == "image/png"


@pytest.fixture
def pointed_at(tmp_path: Path) -> Path:
    """A small collection whose used pick point and joint name pictures themselves; one of them is lost."""
    home = tmp_path / "shop"
    (home / "pictures").mkdir(parents=True)
    for name in ("ear", "face"):
        (home / "pictures" / f"{name}.png").write_bytes(PNG + name.encode())
    text = (Path(__file__).resolve().parents[1] / "attacks" / "local.yml").read_text()
    joint = "- joint: halves\n"
    assert text.count(joint) == 1
    assert text.count("id: ear-front") == 1
    text = text.replace(
        "id: ear-front",
        "id: ear-front, pictures: [{file: pictures/ear.png, caption: The ear from above}, {file: pictures/none.png, caption: The ear from below}]",
    )
    text = text.replace(
        joint, f"{joint}  pictures:\n    - {{file: pictures/face.png, caption: The face opened}}\n"
    )
    (home / "all.yml").write_text(text)
    return home


async def test_pick_points_and_joints_have_pictures_of_their_own(pointed_at: Path, tmp_path: Path) -> None:
    build_with_bar([pointed_at], tmp_path / "shop.db")
    client = application(tmp_path / "shop.db").client
    for path, captions in (
        ("/lift/rear-up", {"The ear from above", "The face opened"}),
        ("/lift/rear-up/sheet", {"The ear from above", "The face opened"}),
        ("/joint/halves", {"The face opened"}),
    ):
        text = (await client.get(path)).text
        found = dict(re.findall(r'<img src="(/picture/[^"]+)" alt="([^"]+)"', text))
        assert set(found.values()) == captions, path
        for address in found:
            assert (await client.get(address)).content.startswith(PNG)
        lost = "The picture pictures/none.png is not there." in text
        assert lost == (path != "/joint/halves"), path


@pytest.mark.parametrize(("before", "after"), [
    ("{file: pictures/ear.png, caption: The ear from above}", "{file: pictures/ear.png}"),
    ("    - {file: pictures/face.png, caption: The face opened}", "    - {picture: pictures/face.png, caption: The face opened}"),
])  # fmt: skip
def test_a_picture_of_a_place_without_its_words_is_refused(pointed_at: Path, before: str, after: str) -> None:
    from handling_db.files.folders import read_collection

    file = pointed_at / "all.yml"
    assert read_collection([pointed_at]).findings == ()
    assert file.read_text().count(before) == 1
    file.write_text(file.read_text().replace(before, after))
    said = [one.told if hasattr(one, "told") else str(one) for one in read_collection([pointed_at]).findings]
    assert any("pictures" in text for text in said), said


async def test_pictures_of_places_travel_in_a_parcel(pointed_at: Path) -> None:
    from handling_db.files.folders import read_collection
    from handling_db.sharing.make import pictures_of as sent

    collection = read_collection([pointed_at]).collection
    codes = [code for code, one in collection.components.items() if one.pick_points]
    found, said = sent(
        collection, [("joint", "halves"), *(("component", code) for code in codes)], pointed_at
    )
    named = " ".join(said)
    for name in ("ear", "face"):  # not named by their content, so they are named in what could not be sent
        assert f"pictures/{name}.png" in named
    assert found == {}
