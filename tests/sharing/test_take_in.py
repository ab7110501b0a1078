"""Taking a parcel in: whole or not at all, also when the process is killed, and never over what is there."""

from __future__ import annotations

import datetime
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from handling_db.errors import HandlingError
from handling_db.files import atomic as settle
from handling_db.files.atomic import only_one, write_file, write_folder
from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import TAKEN, own_collection, take
from tests.sharing import killed

DEMO = Path(__file__).parents[2] / "data" / "demo"
DAY = datetime.date(2026, 11, 25)


@pytest.fixture(scope="module")
def parcel(tmp_path_factory):
    own = own_collection(DEMO, reference=False)
    keys, about = chosen_keys(own)
    file = tmp_path_factory.mktemp("parcel") / "all.zip"
    file.write_bytes(make_parcel(own, keys, about=about, sender="quay-shed-nine", by="foreman", on=DAY))
    return file


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """One component and all it needs: taken in by the same steps as everything."""
    own = own_collection(DEMO, reference=False)
    keys, about = chosen_keys(own, component="lock-clutch-pack")
    file = tmp_path_factory.mktemp("parcel") / "one.zip"
    file.write_bytes(make_parcel(own, keys, about=about, sender="quay-shed-nine", by="foreman", on=DAY))
    return file


@pytest.fixture(scope="module")
def opened(small):
    return open_parcel(small).parcel


@pytest.fixture
def shop(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "own.yml").write_text("- {source: our-scale, name: Our scale, kind: weighed}\n")
    return folder


@pytest.mark.skipif(os.name != "posix", reason="kill -9 is of POSIX systems")
@pytest.mark.slow
def test_kills_at_random_moments(shop, small, tmp_path):
    work = tmp_path / "work"
    work.mkdir()

    seen = killed.kill_while_taking(shop, small, work, times=8, seed=20261125)

    assert sum(seen.values()) == 8
    assert seen["nothing"] > 0, "no run was killed before it was done; the test tests nothing"


@pytest.mark.slow
@pytest.mark.parametrize("step", ["_write", "force", "rename"])
def test_a_failure_at_any_step_takes_nothing(step, shop, opened, monkeypatch):
    """A full disk instead of a kill: the first, a middle and the last thing that is done."""
    before = killed.inventory(shop)

    def fail(*args, **kwargs):
        raise OSError(28, "No space left on device")

    if step == "rename":
        monkeypatch.setattr(Path, "rename", fail)
    else:
        monkeypatch.setattr(settle, step, fail)
    with pytest.raises(HandlingError, match="No space left"):
        take(shop, opened, DAY)

    assert killed.inventory(shop) == before
    monkeypatch.undo()
    assert not take(shop, opened, DAY).taken


def test_one_writer_at_a_time(shop):
    with only_one(shop):
        # another process gives up at once here, and after a minute otherwise
        code = f"from pathlib import Path; from handling_db.files.atomic import only_one\nwith only_one(Path({str(shop)!r}), 0): pass"
        run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)

    assert "another command has been writing to it for 0 s; wait until it is done" in run.stderr


def test_a_collection_with_faults_takes_nothing(shop, parcel):
    (shop / "bad.yml").write_text("- {source: x}\n- {sorce: y}\n")

    with pytest.raises(HandlingError) as caught:
        take(shop, open_parcel(parcel).parcel, DAY)

    assert "the records here have faults, put them right first: " in str(caught.value)
    assert "and 2 more" in str(caught.value)
    assert not (shop / TAKEN).exists()


def test_no_folder_no_taking(tmp_path, parcel):
    with pytest.raises(HandlingError, match="no such folder"):
        take(tmp_path / "nowhere", open_parcel(parcel).parcel, DAY)


def test_nothing_is_ever_written_over(tmp_path):
    (tmp_path / "there").mkdir()
    (tmp_path / "file").write_text("mine")

    with pytest.raises(HandlingError, match="is there already"):
        write_folder(tmp_path / "there", {})
    with pytest.raises(HandlingError, match="is there already"):
        write_file(tmp_path / "file", b"other")
    assert (tmp_path / "file").read_text() == "mine"


def test_pictures_come_along_by_their_content(shop, tmp_path):
    import hashlib

    from handling_db.sharing.make import pictures_of

    data = b"\xff\xd8\xff" + b"picture"
    name = f"pictures/{hashlib.sha256(data).hexdigest()}.jpg"
    other = tmp_path / "other"
    (other / "pictures").mkdir(parents=True)
    (other / name).write_bytes(data)
    (other / "loose.jpg").write_bytes(data)
    (other / "case.yml").write_text(
        f"component: case\nname: Case\nkind: part\npictures:\n- {{file: {name}, caption: As found}}\n"
        "- {file: loose.jpg, caption: Loose}\n- {file: ../out.jpg, caption: Outside}\n"
    )
    own = own_collection(other, reference=False)
    keys, about = chosen_keys(own, component="case")
    found, said = pictures_of(own, keys, other)
    assert list(found) == [name]
    assert said == [
        f"component case: the picture 'loose.jpg' is not sent; name it {name!r}",
        "component case: the picture '../out.jpg' is not in the collection's folder",
    ]
    file = tmp_path / "p.zip"
    file.write_bytes(make_parcel(own, keys, about=about, sender="a", by="foreman", on=DAY, pictures=found))

    take(shop, open_parcel(file).parcel, DAY)

    assert (shop / name).read_bytes() == data


def test_what_a_component_needs_goes_along_and_what_contains_it_stays():
    own = own_collection(DEMO, reference=False)

    keys, about = chosen_keys(own, component="lock-clutch-pack")

    assert about == "component lock-clutch-pack"
    assert {("component", "lock-clutch-pack"), ("component", "friction-disc")} <= keys
    assert ("component", "differential-section") not in keys
    assert ("note", "discs-stick-after-heat") in keys
    assert ("source", "quay-counter-scale") in keys
    assert ("shop", "low-tarrowby") in keys
    assert ("weighing", "transfer-box-1187-floor") not in keys


def test_the_news_since_a_day():
    own = own_collection(DEMO, reference=False)

    keys, _ = chosen_keys(own, day=datetime.date(2026, 9, 18))

    assert ("note", "book-figure-too-small") in keys
    assert ("note", "cap-ports") not in keys
    assert ("source", "pt34-handbook") in keys, "a note of that day names it"


@pytest.mark.slow
def test_the_news_since_another_parcel(tmp_path, parcel):
    from handling_db.records.versions import versions

    shutil.copytree(DEMO, tmp_path / "shop")
    (tmp_path / "shop" / "new.yml").write_text(
        "- {source: new-list, name: New list, kind: supplier's list}\n"
    )
    own = own_collection(tmp_path / "shop", reference=False)

    keys, _ = chosen_keys(own, known=versions(open_parcel(parcel).parcel.collection))

    assert keys == {("source", "new-list")}


def test_nothing_chosen_is_no_parcel():
    own = own_collection(DEMO, reference=False)

    with pytest.raises(HandlingError, match="there is nothing to send"):
        make_parcel(own, frozenset(), about="x", sender="a", by="foreman", on=DAY)
    with pytest.raises(HandlingError, match="there is no component 'nothing' here"):
        chosen_keys(own, component="nothing")
