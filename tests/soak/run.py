"""The run: clients that ask and wait, a build every so often, and what is seen of errors, times, memory, figures."""

from __future__ import annotations

import http.client
import json
import random
import re
import statistics
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.soak.marker import Marked, number_in
from tests.soak.questions import Questions
from tests.soak.served import memory_of, served


@dataclass(frozen=True, slots=True)
class Setting:
    """How a run is made. Minutes, seconds between builds, seconds a client waits between questions at most."""

    minutes: float = 60
    every: float = 120
    clients: int = 16
    pause: float = 0.5
    seed: int = 20261125


@dataclass(slots=True)
class Period:
    """What was seen between two builds; times in seconds, memory in MB."""

    began: float
    times: list[float] = field(default_factory=list)
    memory: list[float] = field(default_factory=list)
    build: float = 0.0

    def at(self, share: float) -> float:
        """The time that so large a share of the answers took at most."""
        ordered = sorted(self.times)
        return ordered[min(int(share * len(ordered)), len(ordered) - 1)] if ordered else 0.0


@dataclass(slots=True)
class Seen:
    """What a run has seen.

    Parameters
    ----------
    wrong : list of str
        Each an error: no answer, an answer of the 500s, a trace.
    stale : list of str
        Answers with figures older than the last build that was done before they were asked for.
    fresh : set of int
        Builds whose figures were seen.
    kinds : dict of str to list of float
        Times by kind of question. [s]
    """

    periods: list[Period] = field(default_factory=list)
    asked: int = 0
    odd: int = 0
    wrong: list[str] = field(default_factory=list)
    stale: list[str] = field(default_factory=list)
    fresh: set[int] = field(default_factory=set)
    builds: int = 0
    kinds: dict[str, list[float]] = field(default_factory=dict)


class Run:
    """One run over a copy of some records."""

    def __init__(self, records: Path, room: Path, setting: Setting) -> None:
        self.setting, self.seen = setting, Seen()
        self._marked = Marked(records, room)
        self._room = room
        self._lock = threading.Lock()
        self._over = threading.Event()
        self._built = 0  # the last build that is done
        self._building = 0  # the last one that was begun

    def go(self) -> Seen:
        """Build, serve, ask, build again and again; until the time is over."""
        self._marked.build(0)
        with served(self._marked.file, self._room) as (process, port, said):
            clients = [
                threading.Thread(target=self._client, args=(port, n)) for n in range(self.setting.clients)
            ]
            self.seen.periods.append(Period(time.monotonic()))
            for client in clients:
                client.start()
            try:
                self._keep_building(process)
            finally:
                self._over.set()
                for client in clients:
                    client.join(60)
            log = said.read_text(encoding="utf-8")
        if "Traceback" in log:
            self.seen.wrong.append("a trace in what the service said: " + log[log.index("Traceback") :][:400])
        return self.seen

    def _keep_building(self, process: int) -> None:
        end = last = time.monotonic() + 60 * self.setting.minutes
        due = time.monotonic() + self.setting.every
        while (now := time.monotonic()) < end:
            self.seen.periods[-1].memory.append(memory_of(process))
            if due <= now < last:  # none is begun later, or builds that take long would never let it end
                due = now + self.setting.every
                self._building += 1
                self._marked.build(self._building)
                self._built = self._building
                self.seen.builds += 1
                self.seen.periods[-1].build = time.monotonic() - now
                with self._lock:
                    self.seen.periods.append(Period(time.monotonic()))
                end = max(end, time.monotonic() + self.setting.every / 2)  # the last one shall be seen, too
            time.sleep(min(1.0, max(end - time.monotonic(), 0)))

    def _client(self, port: int, number: int) -> None:
        questions = Questions(self._marked.file, self.setting.seed + number)
        chance = random.Random(number)
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        while not self._over.is_set():
            kind, method, path = questions.draw()
            built, start = self._built, time.perf_counter()
            try:
                connection.request(method, path)
                answer = connection.getresponse()
                body = answer.read()
                took, status = time.perf_counter() - start, answer.status
            except (http.client.HTTPException, OSError, ValueError) as error:
                connection.close()
                connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
                # What a client library will not send is no fault of the service.
                unsent = isinstance(error, http.client.InvalidURL | UnicodeError)
                if not unsent and not (kind == "odd" and isinstance(error, http.client.BadStatusLine)):
                    self._note(f"{method} {path}: {type(error).__name__}: {error}")
                continue
            self._seen(kind, f"{method} {path}", status, body, took, built)
            time.sleep(chance.uniform(0, self.setting.pause))

    def _seen(self, kind: str, asked: str, status: int, body: bytes, took: float, built: int) -> None:
        with self._lock:
            self.seen.asked += 1
            self.seen.odd += kind == "odd"
            self.seen.periods[-1].times.append(took)
            self.seen.kinds.setdefault(kind, []).append(took)
        if status >= 500 or b"Traceback" in body or (kind != "odd" and status != 200):
            text = re.sub(rb"<[^>]+>|\s+", b" ", body).decode("utf-8", "replace")
            self._note(f"{asked}: {status}: {' '.join(text.split())[:300]}")
        elif kind == "marker":
            shown = number_in(json.loads(body))
            with self._lock:
                self.seen.fresh.add(shown)
                if shown < built or shown > self._building:
                    self.seen.stale.append(f"figures of build {shown} after build {built} was done")

    def _note(self, what: str) -> None:
        with self._lock:
            self.seen.wrong.append(what)


@dataclass(frozen=True, slots=True)
class Judged:
    """What is demanded, each with the figures it rests on and whether it is so."""

    demand: str
    figures: str
    met: bool


MEMORY = 1.10  # of its start
STEADY = 1.5  # of the second half's p99 against the first half's


def judged(seen: Seen) -> Sequence[Judged]:
    """Hold what was seen against what is demanded."""
    # Its start is what it is once every kind of page was asked: when a tenth of the builds, or one, are done.
    warm = min(max(1, len(seen.periods) // 10), len(seen.periods) - 1)
    start = _level(seen.periods[warm].memory[-10:])
    end = _level(seen.periods[-1].memory[-10:])
    whole = [period for period in seen.periods if len(period.times) > 50] or seen.periods
    middle = (len(whole) + 1) // 2
    first, second = (
        [period.at(0.99) for period in half] or [0.0] for half in (whole[:middle], whole[middle:])
    )
    before, after = statistics.median(first), statistics.median(second)
    shown = len(seen.fresh - {0})
    return (
        Judged("no error", f"{len(seen.wrong)} of {seen.asked:,} answers, {seen.odd:,} of them to odd questions",
               not seen.wrong),
        Judged("memory within 10 % of its start", f"{start:.0f} MB in period {warm + 1}, {end:.0f} MB at the end",
               end <= start * MEMORY),
        Judged("the newest figures after each build", f"{shown} of {seen.builds} builds seen, {len(seen.stale)} answers "
               "with older figures", not seen.stale and shown == seen.builds),
        Judged("p99 steady", f"median of the periods {1000 * before:.0f} ms in the first half, {1000 * after:.0f} ms in "
               "the second", after <= before * STEADY),
    )  # fmt: skip


def _level(values: Sequence[float]) -> float:
    return statistics.median(values) if values else 0.0
