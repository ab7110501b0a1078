"""The service as people start it, as a process of its own, and what it holds of memory."""

from __future__ import annotations

import contextlib
import os
import re
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

COMMAND = [sys.executable, "-c", "from handling_db.cli import main; main()"]


@contextlib.contextmanager
def served(file: Path, room: Path) -> Iterator[tuple[int, int, Path]]:
    """Serve a database file; its process, its port, and the file that takes what it says."""
    said = room / "service.log"
    with said.open("w", encoding="utf-8") as log:
        process = subprocess.Popen(
            [*COMMAND, "serve", "--db", str(file), "--port", "0"],
            stdout=log,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1", "TMPDIR": str(room)},
        )
        assert process.stderr is not None
        try:
            port = 0
            for line in process.stderr:
                log.write(line)
                if found := re.search(r"http://127\.0\.0\.1:(\d+)/", line):
                    port = int(found[1])
                    break
            assert port, said.read_text(encoding="utf-8")
            with _drained(process.stderr, log):
                _listening(port)
                yield process.pid, port, said
        finally:
            process.terminate()
            process.wait(20)


def _listening(port: int) -> None:
    """Wait until it takes a connection: the address is said a moment before."""
    for _ in range(600):
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 5):
            return
        time.sleep(0.1)
    raise AssertionError(f"nothing listens on port {port}")


@contextlib.contextmanager
def _drained(stream: object, log: object) -> Iterator[None]:
    """Keep reading what the service says, so that it never waits for somebody to listen."""

    def read() -> None:
        for line in stream:  # type: ignore[attr-defined]
            log.write(line)  # type: ignore[attr-defined]

    thread = threading.Thread(target=read, daemon=True)
    thread.start()
    yield


def family(process: int) -> list[int]:
    """A process and all that it started, those that these started among them."""
    found = [process]
    for one in found:
        with contextlib.suppress(OSError):
            for task in Path(f"/proc/{one}/task").iterdir():
                found += [int(word) for word in (task / "children").read_text().split()]
    return found


def memory_of(process: int) -> float:
    """What a process and those it started hold; of what several hold together each has its share. [MB]"""
    held = 0
    for one in family(process):
        with contextlib.suppress(OSError):
            share = re.search(
                r"^Pss: +(\d+) kB$", Path(f"/proc/{one}/smaps_rollup").read_text(), re.MULTILINE
            )
            held += int(share[1]) if share else 0
    return held * 1024 / 1e6
