"""Every example in every ``--help``: read off for the suite, and run as printed with ``python -m tests.cli.examples``."""

from __future__ import annotations

import os
import shlex
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import click
from click.testing import CliRunner

from handling_db.cli import main as program

# Examples that ask, serve, or need what only a person has.
LEFT_OUT = {
    "serve": "runs until it is stopped",
    "demo": "serves",
    "add-weighing": "asks",
    "add-note": "asks",
    "parcel": "needs the parcels and the reviews that its own page walks through",
    "job confirm": "needs the id of a weighing that waits, which nobody knows beforehand",
    "job close": "is refused while temporary ties are in, as it should be",
}


def commands(
    group: click.Group, context: click.Context, path: tuple[str, ...] = ()
) -> Iterator[tuple[str, click.Command]]:
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            yield from commands(command, context, (*path, name))
        else:
            yield " ".join((*path, name)), command


def examples() -> list[tuple[str, list[str]]]:
    """Name of the command and the words of each example behind the program's name; pipes and redirections cut off."""
    context = click.Context(program)
    found = []
    for name, command in commands(program, context):
        told = (command.help or "").partition("Example")[2]
        for line in told.replace("\\\n", " ").splitlines():
            text = line.strip()
            if text.startswith("handling-db "):
                words = shlex.split(text.split(" > ")[0].split(" | ")[0])
                found.append((name, words[1:]))
    return found


def set_up(folder: Path) -> None:
    """What the examples name: records, tables, a database."""
    from handling_db.files.folders import data_folder

    shutil.copytree(data_folder(), folder / "data")
    shutil.copytree(data_folder() / "demo", folder / "my-records")
    (folder / "parts.csv").write_text(
        "parent,child,quantity,mass kg\nrig,frame,1,120.5\nrig,bolt M20,8,0.35\n"
    )
    shutil.copytree(data_folder() / "demo", folder.parent / "before")
    os.chdir(folder)
    for words in (
        ["template", "parts.xlsx"],
        [
            "parcel",
            "make",
            "my-records",
            "--all",
            "--shop",
            "quay-shed-nine",
            "--by",
            "foreman",
            "-o",
            "in.zip",
        ],
        ["build", "my-records", "-o", "fleet.db"],
        ["export", "--parquet", "fleet/quay", "--shop", "quay-shed-nine", "--db", "fleet.db"],
        ["export", "--parquet", "fleet/tarrowby", "--shop", "low-tarrowby", "--db", "fleet.db"],
    ):
        CliRunner().invoke(program, words)
    import openpyxl

    book = openpyxl.load_workbook("parts.xlsx")
    for row in (["Description", "Qty", "Weight each kg", "Assy"], ["Case", 1, 348, "Box"]):
        (book["Weights"] if "Weights" in book.sheetnames else book.create_sheet("Weights")).append(row)
    book.save("parts.xlsx")


def _first(command: str) -> int:
    """Of what is written into one job, opening it and naming its plan come first."""
    return {"job open": 0, "job follow": 1}.get(command, 2)


def refused() -> list[str]:
    """Run them one after the other in an empty folder; what is said of each that its command refuses."""
    told = []
    here = Path.cwd()
    with tempfile.TemporaryDirectory() as name:
        (Path(name) / "here").mkdir()
        os.environ["HANDLING_DB_HOME"] = name
        try:
            set_up(Path(name) / "here")
            CliRunner().invoke(program, ["demo", "--no-serve"])
            for command, words in sorted(examples(), key=lambda one: _first(one[0])):
                if command in LEFT_OUT or command.split()[0] in LEFT_OUT or "--site" in words:
                    continue  # --site writes every page: tests of the view do
                if "parts-columns.yml" in words:
                    shown = CliRunner().invoke(
                        program, ["sheet", "parts.xlsx", "--sheet", "Weights", "--show-mapping"]
                    )
                    Path("parts-columns.yml").write_text(shown.stdout)
                done = CliRunner().invoke(program, words)
                if done.exit_code not in (0, 1, 3):
                    said = (done.stderr or done.stdout)[:300]
                    told.append(f"handling-db {shlex.join(words)}: {done.exit_code}: {said}")
        finally:
            os.chdir(here)
    return told


def main() -> None:
    """Run them; 1 where one of them is refused."""
    told = refused()
    for line in told:
        print(line)
    sys.exit(bool(told))


if __name__ == "__main__":
    main()
