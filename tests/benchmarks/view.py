"""The view over connections that are kept open: one page again and again, and many clients at once."""

from __future__ import annotations

import asyncio
import contextlib
import os
import random
import re
import sqlite3
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from handling_db.web.service.processes import usual_processes
from tests.benchmarks.clock import Line
from tests.soak.served import family

COMPONENT = "/component/differential-section"
_EACH = 100  # answers between two looks at a clock that counts hundredths of a second
# What a shop asks, each time at an address that nobody asked before; {c} a component, {p} a part, {l} a lift, {j} a joint.
MIX = (
    ("/component/{c}?n={n}", 45),
    ("/component/{c}.json?n={n}", 10),
    ("/lift/{l}?n={n}", 10),
    ("/joint/{j}?n={n}", 10),
    ("/move/{l}?n={n}", 5),
    ("/hands/{p}?n={n}", 5),
    ("/find?q=gear&n={n}", 10),
    ("/notes?n={n}", 5),
)


class Connection:
    """A connection that is kept open."""

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._reader, self._writer = reader, writer

    @classmethod
    async def to(cls, port: int) -> Connection:
        """A new one to this machine; the address is said a moment before anybody listens."""
        for _ in range(200):
            with contextlib.suppress(ConnectionRefusedError):
                return cls(*await asyncio.open_connection("127.0.0.1", port))
            await asyncio.sleep(0.05)
        raise AssertionError(f"nothing listens on port {port}")

    async def get(self, path: str) -> float:
        """Ask for one address. [s]"""
        start = time.perf_counter()
        self._writer.write(f"GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n".encode())
        head = (await self._reader.readuntil(b"\r\n\r\n")).decode("latin-1").lower()
        length = re.search(r"content-length: (\d+)", head)
        if length is not None:
            await self._reader.readexactly(int(length[1]))
        else:
            assert "transfer-encoding: chunked" in head, head
            while size := int(await self._reader.readline(), 16):
                await self._reader.readexactly(size + 2)
            await self._reader.readline()
        assert head.startswith("http/1.1 200"), (path, head.splitlines()[0])
        return time.perf_counter() - start

    def close(self) -> None:
        """Hang up."""
        self._writer.close()


@contextlib.contextmanager
def running(file: Path, *more: str) -> Iterator[tuple[int, int]]:
    """A view in a process of its own; its port and the number of the process."""
    command = [sys.executable, "-m", "tests.benchmarks.served", str(file), *more]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    try:
        found = None
        for line in process.stderr:
            if found := re.search(r"http://127\.0\.0\.1:(\d+)/", line):
                break
        assert found, "the view did not start"
        yield int(found[1]), process.pid
    finally:
        process.terminate()
        process.wait(20)


class Mixed:
    """Draws addresses of the mix about what a database file holds."""

    def __init__(self, file: Path, seed: int) -> None:
        connection = sqlite3.connect(f"file:{file}?mode=ro", uri=True)
        tables = {
            "c": "component", "p": "component where kind = 'part'", "l": "lift", "j": "joint"
        }  # fmt: skip
        self._codes = {
            key: [row[0] for row in connection.execute(f"select code from {table} order by code")]
            for key, table in tables.items()
        }
        connection.close()
        self._chance = random.Random(seed)
        self._asked = 0

    def every(self) -> list[str]:
        """Each address of the mix once."""
        return [
            self._at(path, key, code)
            for path, _ in MIX
            for key, codes in self._codes.items()
            for code in codes
            if f"{{{key}}}" in path
        ]

    def draw(self) -> str:
        """An address that nobody asked before."""
        (path,) = self._chance.choices([one for one, _ in MIX], [many for _, many in MIX])
        for key, codes in self._codes.items():
            if f"{{{key}}}" in path:
                path = self._at(path, key, self._chance.choice(codes))
        return self._at(path, "", "")

    def _at(self, path: str, key: str, code: str) -> str:
        self._asked += 1
        return path.replace(f"{{{key}}}", code).replace("{n}", str(self._asked))


async def _turns(port: int, turns: int) -> tuple[float, float, float]:
    one = await Connection.to(port)
    times: tuple[list[float], ...] = ([], [], [])
    for turn in range(turns):
        for path, kept in zip((COMPONENT, "/nothing", f"{COMPONENT}?n={turn}"), times, strict=True):
            kept.append(await one.get(path))
    one.close()
    kept, nothing, anew = (statistics.median(several[turns // 10 :]) for several in times)
    return kept, nothing, anew


def _worked(process: int) -> float:
    """Processor time of a process and those it started so far, where the system tells it by file. [s]"""
    ticks = 0
    for one in family(process):
        figures = Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()
        ticks += int(figures[11]) + int(figures[12])
    return ticks / os.sysconf("SC_CLK_TCK")


async def _work(port: int, process: int, turns: int) -> dict[str, float]:
    """Processor time of the service for an answer: the clock waits for whatever else the machine does. [s]"""
    one = await Connection.to(port)
    asked = 10_000  # no address of these was asked before
    took = {"kept": 0.0, "nothing": 0.0, "other": 0.0}
    for _ in range(turns):
        for what in took:
            before = _worked(process)
            for _ in range(_EACH):
                asked += 1
                path = {"kept": COMPONENT, "nothing": "/nothing", "other": f"{COMPONENT}?n={asked}"}[what]
                await one.get(path)
            took[what] += _worked(process) - before
    one.close()
    return {what: seconds / turns / _EACH for what, seconds in took.items()}


async def _asked(port: int, mixed: Mixed, clients: int, seconds: float) -> tuple[float, Sequence[float]]:
    """Seconds for each answer that came, and how long each client waited for one."""
    waited: list[float] = []
    end = time.perf_counter() + seconds

    async def client() -> None:
        connection = await Connection.to(port)
        while time.perf_counter() < end:
            waited.append(await connection.get(mixed.draw()))
        connection.close()

    start = time.perf_counter()
    await asyncio.gather(*(client() for _ in range(clients)))
    return (time.perf_counter() - start) / len(waited), sorted(waited)


def rows_of_the_view(file: Path, seed: int, seconds: float = 6.0) -> Iterator[Line]:
    """One client over a connection kept open, then 1, 8 and 32 that ask for pages that nothing kept answers."""
    mixed = Mixed(file, seed)
    with running(file) as (port, process):
        kept, nothing, anew = asyncio.run(_turns(port, 120))
        nothing_there = "route that does nothing, on the same connection"
        yield Line("component page asked before, connection kept open", nothing_there, kept, nothing, 2)
        yield Line("component page at another address, connection kept open", nothing_there, anew, nothing, 5)
        if Path("/proc/self/stat").exists():
            worked = asyncio.run(_work(port, process, 6))
            for what, told in (("kept", "asked before"), ("other", "at another address")):
                name = f"component page {told}, connection kept open, CPU of the service"
                reach = 2 if what == "kept" else 5
                yield Line(name, nothing_there, worked[what], worked["nothing"], reach)

        async def first() -> None:
            # One connection each: the service spreads them evenly over its processes.
            several = [await Connection.to(port) for _ in range(usual_processes())]
            for path in mixed.every():
                await asyncio.gather(*(one.get(path) for one in several))
            for one in several:
                one.close()

        asyncio.run(first())  # lifts and moves are worked out once in each process
        each: dict[int, list[float]] = {1: [], 8: [], 32: []}
        waits: dict[int, list[float]] = {1: [], 8: [], 32: []}
        for _ in range(3):
            for clients, took in each.items():
                per_answer, waited = asyncio.run(_asked(port, mixed, clients, seconds / 3))
                took.append(per_answer)
                waits[clients] += waited
    alone = statistics.median(each[1])
    for clients in (8, 32):
        took = statistics.median(each[clients])
        yield Line(
            f"mixed pages not kept, {clients} clients, time for each answer", "1 client", took, alone, 1
        )
    for clients in (1, 8, 32):
        waited = sorted(waits[clients])
        p99, p50 = waited[int(0.99 * len(waited))], statistics.median(waited)
        yield Line(f"mixed pages not kept, {clients} clients, p99", "p50", p99, p50, 4)
