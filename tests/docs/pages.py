"""Pages of docs as tests see them: their files and rows, the commands they show and what those print.

A page may hold, each right after a comment that says what the block is::

    <!-- file: parts.csv -->      a block with the whole file
    <!-- rows: parts.csv -->      a block with rows that replace those with the same second cell, or come new

and blocks fenced as ``console``: lines that start with ``$`` are run in one folder, in the order of the page, and
what follows is what they print. ``console server`` is a command that does not end by itself: its first lines are
compared and it is stopped.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import re
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner

from handling_db.cli import main

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"

_BLOCK = re.compile(
    r"(?:<!-- (?P<act>file|rows): (?P<file>[\w./-]+) -->\n)?^```(?P<info>[^\n]*)\n(?P<body>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block of a page: where its text stands, what it is and what it holds."""

    start: int
    end: int
    act: str
    file: str
    info: str
    body: str


def blocks(text: str) -> Iterator[Block]:
    """The fenced blocks of a page, in order."""
    for match in _BLOCK.finditer(text):
        yield Block(
            match.start("body"),
            match.end("body"),
            match["act"] or "",
            match["file"] or "",
            match["info"].strip(),
            match["body"],
        )


def steps(body: str) -> list[tuple[str, str]]:
    """The commands of a console block, each with what it printed."""
    out: list[tuple[str, str]] = []
    for line in body.splitlines(keepends=True):
        if line.startswith("$ "):
            out.append((line[2:].rstrip("\n"), ""))
        elif out:
            out[-1] = (out[-1][0], out[-1][1] + line)
    return out


def apply(block: Block, folder: Path) -> None:
    """Write the file of a block, or put its rows into the table that is there."""
    target = folder / block.file
    target.parent.mkdir(parents=True, exist_ok=True)
    if block.act == "file":
        target.write_text(block.body, encoding="utf-8")
        return
    rows = target.read_text(encoding="utf-8").splitlines()
    children = [row.split(",")[1] for row in rows]
    for row in block.body.splitlines():
        child = row.split(",")[1]
        if child in children:
            rows[children.index(child)] = row
        else:
            rows.append(row)
    target.write_text("\n".join(rows) + "\n", encoding="utf-8")


def run(command: str, folder: Path) -> str:
    """What a command prints, both streams, with what differs from machine to machine made the same."""
    environment = _environment(folder)
    before = _worked(command, folder, environment) if command.count("handling-db ") == 1 else ""
    done = subprocess.run(
        ["bash", "-c", before + command],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=120,
        check=False,
    )
    return plain(done.stdout, folder)


def _worked(command: str, folder: Path, environment: dict[str, str]) -> str:
    """The program's own part of a line, run in this process, as a function for the shell that runs the line.

    A process of its own for each would load the program again each time; that one starts is for the commands of
    `run_server` and for tests of the command line to show.
    """
    own = shlex.shlex(command[command.index("handling-db ") :], posix=True, punctuation_chars=True)
    own.whitespace_split = True
    words = list(itertools.takewhile(lambda word: not set(word) <= set("();<>|&"), own))[1:]
    with contextlib.chdir(folder):
        result = CliRunner().invoke(main, words, env=environment)
    (folder / ".printed").write_text(result.output, encoding="utf-8")
    return f"handling-db() {{ cat .printed; rm .printed; return {result.exit_code}; }}\n"


def run_server(command: str, folder: Path, lines: int) -> str:
    """The first lines of a command that does not end by itself; it is stopped after them."""
    with subprocess.Popen(
        ["bash", "-c", f"exec {command} --port 0"],  # any free port: another may run here
        cwd=folder,
        env=_environment(folder),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        assert process.stdout is not None
        got = "".join(process.stdout.readline() for _ in range(lines))
        time.sleep(0.5)  # until it listens for the signal
        process.send_signal(signal.SIGINT)
        try:
            process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            process.kill()
            raise
    return plain(got, folder)


def plain(text: str, folder: Path) -> str:
    """Folders, addresses and build stamps as they stand on the pages."""
    text = text.replace(f"{folder}/", "")
    text = re.sub(r"stamp [0-9a-f]{6,}", "stamp 0123456789ab", text)
    text = re.sub(r"[\d,]+ bytes", "9,999 bytes", text)
    return re.sub(r"http://[\d.]+:\d+/", "http://192.0.2.10:8001/", text)


def _environment(folder: Path) -> dict[str, str]:
    """Commands of this environment first; no database but the one in the folder; lines as long as they come."""
    return {
        **os.environ,
        "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}",
        "HANDLING_DB_HOME": str(folder / "own"),
        "COLUMNS": "200",
    }


def played(text: str, folder: Path) -> str:
    """The page with every console block as it comes out now.

    Parameters
    ----------
    text : str
        The page.
    folder : Path
        An empty folder to work in.
    """
    out: list[str] = []
    at = 0
    for block in blocks(text):
        if block.act:
            apply(block, folder)
            continue
        if block.info == "console":
            now = "".join(f"$ {command}\n{run(command, folder)}" for command, _ in steps(block.body))
        elif block.info == "console server":
            now = "".join(
                f"$ {command}\n{run_server(command, folder, max(1, len(shown.splitlines())))}"
                for command, shown in steps(block.body)
            )
        else:
            continue
        out += [text[at : block.start], now]
        at = block.end
    return "".join([*out, text[at:]])
