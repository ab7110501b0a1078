"""Building over a database: what is said of it, what stops it, and the demo edited like a shop's own records."""

from __future__ import annotations

import os
import shutil
import sqlite3
import zlib
from pathlib import Path

import pytest
from click.testing import CliRunner

from handling_db.cli import main
from handling_db.database import held
from handling_db.database.build import BuildRefused, build_database
from handling_db.database.edited import kept
from handling_db.database.edited.build import build_over
from handling_db.database.edited.kept import kept_file
from handling_db.database.file import looked_over
from handling_db.errors import HandlingError
from handling_db.files.folders import data_folder
from handling_db.files.yaml_text import YamlText, load_text
from handling_db.web.service.copies import Copies
from tests.database.edited.test_random_edits import same

UNIT = """
- {{component: {u}, name: Unit {u}, kind: assembly, parts listed: all, parts: [{{component: {u}-a, quantity: 2}}],
   masses: [{{printed: 9.0 kg, source: scale, counts: as listed, without: none, checked by: foreman}}]}}
- {{component: {u}-a, name: Half {u}, kind: part, masses: [{{printed: 4.5 kg, source: scale}}]}}
"""
SCALE = "- {source: scale, name: Scale, kind: weighed, instrument: {name: Scale, step: 100 g}}\n"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "shop.yml").write_text(SCALE, encoding="utf-8")
    for number in range(6):
        (folder / f"u{number}.yml").write_text(UNIT.format(u=f"u{number}"), encoding="utf-8")
    return folder


def write(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.slow
def test_the_demo_edited_in_several_ways(tmp_path: Path) -> None:
    folder, out, whole = tmp_path / "records", tmp_path / "edited.db", tmp_path / "whole.db"
    shutil.copytree(data_folder() / "demo", folder)
    build_over([folder], out)
    write(folder / "components" / "lock-clutch-pack.yml", "printed: 0.", "printed: 1.")
    write(folder / "notes" / "inside.yml", "two levers in its place", "two bars in its place")
    assert build_over([folder], out).records is not None
    build_database([folder], whole)
    same(out, whole)
    write(
        folder / "notes" / "inside.yml",
        "- note: return-springs-push",
        "# a line more\n- note: return-springs-push",
    )
    (folder / "components" / "new.yml").write_text(
        "- {component: aa-new, name: New part, kind: part, also called: [thing]}\n", encoding="utf-8"
    )
    assert build_over([folder], out).records == 1  # moved lines are no change of a record
    build_database([folder], whole)
    same(out, whole)


def test_one_figure_reads_its_unit_only(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "shop.db"
    assert build_over([shop], out).because == "it is built for the first time"
    write(shop / "u3.yml", "4.5 kg", "4.6 kg")
    assert build_over([shop], out).records == 2
    assert build_over([shop], out).records == 0  # nothing changed since


def test_a_fault_leaves_the_file_and_is_told_alone(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "shop.db"
    build_over([shop], out)
    before = out.read_bytes()
    write(shop / "u3.yml", "source: scale}]}", "source: scales}]}")
    with pytest.raises(
        BuildRefused, match=r"1 fault, nothing was built:\n.*u3.yml:4: .*there is no source 'scales'"
    ):
        build_over([shop], out)
    assert out.read_bytes() == before
    write(shop / "u3.yml", "source: scales}]}", "source: scale}]}")
    assert build_over([shop], out).records == 0


def test_a_program_that_calculates_otherwise_builds_the_whole(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A copy that is worked on keeps its version number; half of the rows would be those of yesterday's code."""
    out = tmp_path / "shop.db"
    build_over([shop], out)
    write(shop / "u2.yml", "4.5 kg", "4.4 kg")
    monkeypatch.setattr(kept, "program", lambda: "another")

    assert build_over([shop], out).because == "it was built from other paths or by another version"


@pytest.mark.parametrize(
    ("spoil", "because"),
    [
        (lambda out, shop: kept_file(out).unlink(), "nothing was kept beside it"),
        (lambda out, shop: kept_file(out).write_bytes(b"x" * 5000), "nothing was kept beside it"),
        (lambda out, shop: build_database([shop], out), "the database is not the one that this was kept for"),
        (lambda out, shop: write(shop / "shop.yml", "name: Scale,", "name: Floor scale,"),
         "source scale changed, and records of every unit may rest on it"),
    ],
)  # fmt: skip
def test_the_whole_is_built_where_that_is_surer(shop: Path, tmp_path: Path, spoil, because: str) -> None:
    out, whole = tmp_path / "shop.db", tmp_path / "whole.db"
    build_over([shop], out)
    spoil(out, shop)
    write(shop / "u2.yml", "4.5 kg", "4.4 kg")
    told = build_over([shop], out)
    assert (told.records, told.because) == (None, because)
    build_database([shop], whole)
    assert out.read_bytes() == whole.read_bytes()


def test_an_id_that_is_taken_in_another_unit_is_told(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "shop.db"
    build_over([shop], out)
    write(shop / "u2.yml", "component: u2-a, name", "component: u3-a, name")
    with pytest.raises(BuildRefused, match="the id 'u3-a' is taken"):
        build_over([shop], out)


def test_the_command_says_how_much_was_done(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "shop.db"
    run = CliRunner().invoke
    assert run(main, ["build", str(shop), "-o", str(out)]).exit_code == 0
    write(shop / "u2.yml", "4.5 kg", "4.4 kg")
    said = run(main, ["build", str(shop), "-o", str(out)])
    assert said.stderr == "Read, checked and written anew: 2 records.\n"
    assert run(main, ["build", str(shop), "-o", str(out), "--whole"]).stderr == ""
    write(shop / "shop.yml", "Scale", "Plate")
    said = run(main, ["build", str(shop), "-o", str(out)])
    assert (
        said.stderr == "Built as a whole: source scale changed, and records of every unit may rest on it.\n"
    )


class _Read:
    """Counts the files of which the YAML is read."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.names: list[str] = []
        monkeypatch.setattr(held, "load_text", self)

    def __call__(self, text: str, name: str) -> YamlText:
        self.names.append(Path(name).name)
        return load_text(text, name)


def test_files_that_are_the_same_are_not_read_as_yaml_again(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out, whole = tmp_path / "shop.db", tmp_path / "whole.db"
    build_over([shop], out)
    write(shop / "shop.yml", "100 g", "200 g")  # all units rest on it
    read = _Read(monkeypatch)
    assert "source scale changed" in build_over([shop], out).because
    assert read.names == ["shop.yml"]
    build_database([shop], whole)
    assert out.read_bytes() == whole.read_bytes()


@pytest.mark.parametrize("how", ["program", "other database", "damaged", "wrong shape", "no table"])
def test_what_was_kept_of_files_is_used_where_it_surely_is_theirs(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    out, whole = tmp_path / "shop.db", tmp_path / "whole.db"
    build_over([shop], out)
    connection = sqlite3.connect(kept_file(out))
    if how == "program":
        connection.execute("update kept set value = 'another' where name = 'program'")
    elif how == "damaged":
        connection.execute("update form set form = substr(form, 1, length(form) - 4)")
    elif how == "wrong shape":
        connection.execute("update form set form = ?", (zlib.compress(b'[[1, 2], {"component": 7}]'),))
    elif how == "no table":
        connection.execute("drop table form")
    connection.commit()
    connection.close()
    if how == "other database":
        os.utime(out, ns=(1, 1))
    write(shop / "shop.yml", "100 g", "200 g")
    read = _Read(monkeypatch)
    build_over([shop], out)
    assert {"u0.yml", "u5.yml"} <= set(read.names)
    build_database([shop], whole)
    assert out.read_bytes() == whole.read_bytes()


def test_a_build_that_is_refused_leaves_what_was_kept(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "shop.db"
    build_over([shop], out)
    kept_before = kept_file(out).read_bytes()
    write(shop / "shop.yml", "kind: weighed", "kind: guessed at")
    with pytest.raises(BuildRefused):
        build_over([shop], out)
    assert kept_file(out).read_bytes() == kept_before
    assert {file.name for file in tmp_path.iterdir()} == {"records", "shop.db", kept_file(out).name}


def test_room_that_an_edit_leaves_is_given_back(shop: Path, tmp_path: Path) -> None:
    out, whole = tmp_path / "shop.db", tmp_path / "whole.db"
    build_over([shop], out)
    before = out.stat().st_size
    part = "- {{component: x{}, name: Cover, kind: part, remark: {}}}\n"
    parts = [part.format(number, "a long remark " * 280) for number in range(120)]
    (shop / "more.yml").write_text("".join(parts), encoding="utf-8")
    assert build_over([shop], out).records == 120
    assert out.stat().st_size > 2 * before
    (shop / "more.yml").unlink()
    assert build_over([shop], out).records == 120
    build_database([shop], whole)
    same(out, whole)
    assert out.stat().st_size < 1.3 * before


def test_a_file_built_here_is_known_until_anything_of_it_changes(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "shop.db"
    build_over([shop], out)
    assert looked_over(out)
    write(shop / "u3.yml", "4.5 kg", "4.6 kg")
    build_over([shop], out)
    assert looked_over(out)
    told = out.stat()
    with out.open("r+b") as opened:
        opened.seek(3 * 4096)
        opened.write(b"\xff" * 4096)
    os.utime(out, ns=(told.st_atime_ns, told.st_mtime_ns))  # its times as before
    assert not looked_over(out)
    copies = Copies(tmp_path)
    try:
        with pytest.raises(HandlingError, match="damaged"):
            copies.take(out)
    finally:
        copies.close()
