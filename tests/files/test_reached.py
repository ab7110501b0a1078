"""What a folder of records holds: read, or a fault with its path; never passed over."""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from handling_db.errors import HandlingError
from handling_db.files import reached
from handling_db.files.folders import read_collection
from handling_db.files.reached import reach

SHOP = "shop: {0}\nname: {0}\n"
UNIT = """
- {source: scale, name: Scale, kind: weighed}
- component: unit
  name: Unit
  kind: part
  masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]
"""
WEIGHING = (
    "{weighing: later, of: unit, gross: 130 kg, tare: none, checked by: fitter, state: dry, counts: as listed, "
    "without: none, plus or minus: 1 kg, source: scale, on: 2026-11-01, by: fitter}\n"
)


def told(folder: Path) -> list[str]:
    return [str(finding).replace(str(folder), "F") for finding in reach(folder).findings]


def test_a_weighing_behind_a_link_is_not_lost_in_silence(tmp_path: Path) -> None:
    """The plan fell from 131 to 101 kg without a word."""
    from click.testing import CliRunner

    from handling_db.cli import main

    elsewhere = tmp_path / "scale-room"
    elsewhere.mkdir()
    (elsewhere / "later.yml").write_text(WEIGHING)
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "unit.yml").write_text(UNIT)
    (folder / "weighings").symlink_to(elsewhere)

    built = CliRunner().invoke(main, ["build", str(folder), "-o", str(tmp_path / "x.db")])

    assert built.exit_code == 2
    assert f"{folder}/weighings:1: is a link to a folder outside, {elsewhere};" in built.stderr
    assert not (tmp_path / "x.db").exists()


def test_every_kind_of_thing_that_hides_records(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    (folder / "deep").mkdir(parents=True)
    outside = tmp_path / "outside.yml"
    outside.write_text(SHOP.format("a"))
    (folder / "out.yml").symlink_to(outside)
    (folder / "gone.yml").symlink_to(tmp_path / "gone")
    (folder / "old-records").symlink_to(tmp_path / "gone")
    (folder / "ring.yml").symlink_to(folder / "ring.yml")
    os.mkfifo(folder / "deep" / "pipe.yml")
    (folder / "photo.jpg").symlink_to(tmp_path / "gone.jpg")  # hides no record

    lost = "what it holds would be missing without a word, so nothing is worked out before it can be read."
    assert told(folder) == [
        f"F/deep/pipe.yml:1: has a record file's name and is no plain file; rename it, or take it away; {lost}",
        f"F/gone.yml:1: is a link that leads nowhere; mend it, or take it away; {lost}",
        f"F/old-records:1: is a link that leads nowhere; mend it, or take it away; {lost}",
        f"F/out.yml:1: is a link that leads out of the folder, to {outside}; copy the file here; {lost}",
        f"F/ring.yml:1: is a link that leads nowhere; mend it, or take it away; {lost}",
    ]


def test_a_link_to_a_file_in_the_folder_is_that_file(tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_text(SHOP.format("a"))
    (tmp_path / "b.yml").symlink_to("a.yml")

    reading = read_collection([tmp_path], reference=False)

    assert reading.findings == ()
    assert set(reading.collection.shops) == {"a"}


def test_capitals_in_the_ending_make_no_difference(tmp_path: Path) -> None:
    """A file saved as .YML was passed over."""
    (tmp_path / "A.YML").write_text(SHOP.format("a"))
    (tmp_path / "b.Yaml").write_text(SHOP.format("b"))

    assert set(read_collection([tmp_path], reference=False).collection.shops) == {"a", "b"}
    assert set(read_collection([tmp_path / "A.YML"], reference=False).collection.shops) == {"a"}


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs users")
def test_a_folder_that_may_not_be_read_is_a_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It was passed over, with everything in it."""
    (tmp_path / "seen.yml").write_text(SHOP.format("a"))
    closed = tmp_path / "closed"
    closed.mkdir()
    scan = os.scandir

    def refuse(path: Path):
        if Path(path) == closed:
            raise PermissionError(13, "Permission denied")
        return scan(path)

    monkeypatch.setattr(reached.os, "scandir", refuse)

    (finding,) = reach(tmp_path).findings

    assert str(finding).startswith(
        f"{closed}:1: this folder cannot be read (Permission denied); see who may read it;"
    )


def test_a_real_folder_without_permission_read_by_an_ordinary_user(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("only the superuser may become somebody else")
    (tmp_path / "closed").mkdir(mode=0o700)
    code = (
        "import os; from pathlib import Path; from handling_db.files.reached import reach; os.setuid(65534)\n"
        f"print(*reach(Path({str(tmp_path)!r})).findings)"
    )
    for parent in [tmp_path, *tmp_path.parents][:-1]:
        parent.chmod(parent.stat().st_mode | 0o055)
    done = subprocess.run(
        [sys.executable, "-B", "-c", code],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
    )

    assert "closed:1: this folder cannot be read (Permission denied)" in done.stdout, done.stderr


@pytest.mark.parametrize("what", ["fifo", "link"])
def test_what_is_given_by_name_and_is_no_file(what: str, tmp_path: Path) -> None:
    odd = tmp_path / "odd.yml"
    if what == "fifo":
        os.mkfifo(odd)
        told = "neither a folder nor a plain file"
    else:
        odd.symlink_to(tmp_path / "gone")
        told = "leads to nothing that is there"

    with pytest.raises(HandlingError, match=told):
        reach(odd)


def test_tidy_tells_what_it_cannot_reach(tmp_path: Path) -> None:
    importlib.import_module("ruamel.yaml")
    from click.testing import CliRunner

    from handling_db.cli import main

    (tmp_path / "gone.yml").symlink_to(tmp_path / "gone")
    done = CliRunner().invoke(main, ["tidy", str(tmp_path)])

    assert done.exit_code == 2
    assert "gone.yml:1: is a link that leads nowhere;" in done.stdout
