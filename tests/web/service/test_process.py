"""The service as a process: told where it is, killed, stopped, started again."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from handling_db.database.build import build_database

pytestmark = pytest.mark.slow


def start(file: Path, room: Path, *more: str) -> tuple[subprocess.Popen[str], str]:
    command = [sys.executable, "-c", "from handling_db.cli import main; main()", "serve", "--db", str(file)]
    served = subprocess.Popen(
        [*command, "--port", "0", *more],
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "TMPDIR": str(room), "PYTHONUNBUFFERED": "1"},
        start_new_session=True,  # all its processes can be killed at once
    )
    assert served.stderr is not None
    lines = [served.stderr.readline() for _ in range(3 if "--public-url" in more else 2)]
    at = re.search(r"http://127\.0\.0\.1:\d+/\S*", "".join(lines))
    assert at, lines
    return served, at[0]


def read(address: str) -> str:
    for _ in range(100):
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except ConnectionError:
            time.sleep(0.05)
        except OSError as error:
            if "refused" not in str(error):
                raise
            time.sleep(0.05)
    raise AssertionError(f"nothing at {address}")


@pytest.mark.parametrize("processes", ["1", "2"])
def test_killed_and_started_again(tmp_path: Path, processes: str) -> None:
    """A killed service leaves a folder of copies; the next one removes it; a stopped one leaves none."""
    records, room = tmp_path / "records", tmp_path / "temporary"
    records.mkdir()
    room.mkdir()
    (records / "winch.yml").write_text("component: winch\nname: Quay winch\nkind: part\n")
    build_database([records], tmp_path / "w.db")

    served, address = start(tmp_path / "w.db", room, "--processes", processes)
    assert "Quay winch" in read(f"{address}component/winch")
    os.killpg(served.pid, signal.SIGKILL)
    served.wait(10)
    (left,) = room.iterdir()
    long_ago = time.time() - 3600
    os.utime(left, (long_ago, long_ago))

    served, address = start(
        tmp_path / "w.db", room, "--public-url", "https://bench.example/w/", "--processes", processes
    )
    assert not left.exists()
    (records / "winch.yml").write_text("component: winch\nname: Winch of the slip\nkind: part\n")
    build_database([records], tmp_path / "w.db")
    assert "Winch of the slip" in read(f"{address}component/winch")
    assert address.endswith("/w/")
    served.send_signal(signal.SIGTERM)
    served.wait(10)
    assert list(room.iterdir()) == []


def test_answers_are_sent_piece_by_piece_without_waiting() -> None:
    """Each connection that is taken sends at once: else what follows a head waits for the other side's word."""
    import asyncio
    import socket

    from handling_db.web.service.address import listen
    from handling_db.web.service.place import ServedAt

    listening = listen(ServedAt(port=0))
    at_once: list[int] = []

    def taken(_reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        taken = writer.get_extra_info("socket")
        at_once.append(taken.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
        writer.close()

    async def ask() -> None:
        server = await asyncio.start_server(taken, sock=listening)
        async with server:
            reader, writer = await asyncio.open_connection(*listening.getsockname())
            assert await reader.read() == b""
            writer.close()

    asyncio.run(ask())
    assert len(at_once) == 1
    assert all(at_once)
