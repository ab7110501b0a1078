"""Several processes behind one port: spread, the newest figures from each, and what becomes of them when one dies."""

from __future__ import annotations

import http.client
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from handling_db.cli import main
from handling_db.database.build import build_database
from handling_db.web.service.processes import usual_processes

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="tells processes apart by /proc"),
]
COUNT = 2
WATCH = ("serve", "--processes", str(COUNT), "--watch")


def until(true: Callable[[], object]) -> None:
    ends = time.monotonic() + 60
    while not true():
        assert time.monotonic() < ends
        time.sleep(0.05)


class Shop:
    """Records of one pump, their file, and what serves it."""

    def __init__(self, room: Path) -> None:
        self.records, self.file, self.temporary = room / "records", room / "shop.db", room / "temporary"
        self.records.mkdir()
        self.temporary.mkdir()
        self.said = ""
        self._running: list[subprocess.Popen[str]] = []

    def write(self, kg: int) -> None:
        """The pump weighs so much from now on."""
        text = f"masses: [{{printed: {kg} kg, plus or minus: 1 kg, state: dry, source: scale}}]"
        (self.records / "pump.yml").write_text(f"component: pump\nname: Pump\nkind: part\n{text}\n")
        (self.records / "scale.yml").write_text("source: scale\nname: Floor scale\nkind: weighed\n")

    def build(self, kg: int) -> None:
        self.write(kg)
        build_database([self.records], self.file)

    def started(self, *words: str) -> subprocess.Popen[str]:
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.web.service.saying_who", *words],
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "TMPDIR": str(self.temporary), "PYTHONUNBUFFERED": "1"},
            start_new_session=True,
        )
        self._running.append(process)
        threading.Thread(target=self._hear, args=(process,), daemon=True).start()
        return process

    def _hear(self, process: subprocess.Popen[str]) -> None:
        assert process.stderr is not None
        for line in process.stderr:
            self.said += line

    def serve(self, *words: str) -> tuple[subprocess.Popen[str], int]:
        """The parent, and its port."""
        process = self.started(*(words or ("serve", "--db", str(self.file), "--processes", str(COUNT))))
        until(lambda: "/handling.db" in self.said or process.poll() is not None)
        at = re.search(r"http://127\.0\.0\.1:(\d+)/", self.said)
        assert at, self.said
        return process, int(at[1])

    def left(self) -> list[Path]:
        return list(self.temporary.iterdir())

    def end(self) -> None:
        for process in self._running:
            if process.poll() is None:
                process.kill()  # what it started ends with it
                process.wait(20)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    made = Shop(tmp_path)
    yield made
    made.end()


class Client:
    """A connection that stays open."""

    def __init__(self, port: int) -> None:
        self._to = http.client.HTTPConnection("127.0.0.1", port, timeout=60)

    def get(self, path: str) -> str:
        self._to.request("GET", path)
        return self._to.getresponse().read().decode()

    def who(self) -> int:
        return int(self.get("/who"))

    def kg(self) -> int:
        found = re.search(r"Plan with (\d+) kg", self.get("/component/pump"))
        assert found
        return int(found[1]) - 1


def one_each(port: int) -> list[Client]:
    """A connection to each of the processes."""
    several = [Client(port) for _ in range(COUNT)]
    assert len({client.who() for client in several}) == COUNT
    return several


def threads_of(process: int) -> int:
    return len(list(Path(f"/proc/{process}/task").iterdir()))


def test_connections_that_stay_open_are_spread_evenly(shop: Shop) -> None:
    shop.build(140)
    parent, port = shop.serve()
    several = [Client(port) for _ in range(4 * COUNT)]
    answered = [client.who() for client in several]
    assert {answered.count(one) for one in answered} == {4}
    assert [client.who() for client in several] == answered
    assert parent.pid not in answered
    assert threads_of(parent.pid) == 1  # else it could not fork again


def test_every_process_shows_the_newest_figures_and_none_goes_back(shop: Shop) -> None:
    shop.build(140)
    _, port = shop.serve()
    one, other = one_each(port)
    assert (one.kg(), other.kg()) == (140, 140)
    for kg in (150, 160):
        shop.build(kg)
        assert (one.kg(), other.kg()) == (kg, kg)

    shop.build(170)
    assert one.kg() == 170
    shop.file.unlink()
    assert "shop.db is not there any more" in other.get("/component/pump")
    assert other.kg() == 170  # which only the first had seen while the file was there

    shop.build(180)
    assert other.kg() == 180
    shop.file.with_name("spoilt").write_text("no database" * 100)
    shop.file.with_name("spoilt").replace(shop.file)
    assert "not a database of this program" in one.get("/component/pump")
    assert one.kg() == 180


def test_one_that_dies_is_started_again_and_nothing_is_left(shop: Shop) -> None:
    shop.build(140)
    parent, port = shop.serve()
    one, other = one_each(port)
    died, stays = one.who(), other.who()
    (folder,) = shop.left()
    until(lambda: list(folder.glob(f"{died}-*")))
    os.kill(died, signal.SIGKILL)
    until(lambda: "A serving process ended by signal 9; another is started in 1 s." in shop.said)
    assert not list(folder.glob(f"{died}-*"))
    assert Client(port).who() == stays == Client(port).who()  # the other takes what comes meanwhile
    until(lambda: Client(port).who() not in (died, stays))
    assert Client(port).kg() == 140

    parent.send_signal(signal.SIGTERM)
    assert parent.wait(20) == 0
    assert shop.left() == []
    assert shop.said.count("Read it at") == 1


def test_all_end_with_the_parent(shop: Shop) -> None:
    shop.build(140)
    parent, port = shop.serve()
    numbers = [client.who() for client in one_each(port)]
    parent.kill()
    until(lambda: not any(Path(f"/proc/{number}").exists() for number in numbers))
    until(lambda: shop.left() == [])


def test_ctrl_c_ends_all_at_once(shop: Shop) -> None:
    shop.build(140)
    parent, port = shop.serve()
    numbers = [client.who() for client in one_each(port)]
    os.killpg(parent.pid, signal.SIGINT)  # as a terminal does
    assert parent.wait(20) == 0
    assert not any(Path(f"/proc/{number}").exists() for number in numbers)
    assert shop.left() == []
    assert "Traceback" not in shop.said
    assert "another is started" not in shop.said


def test_what_is_saved_is_built_in_a_process_of_its_own(shop: Shop) -> None:
    shop.write(140)
    parent, port = shop.serve(*WATCH, str(shop.records), "--db", str(shop.file))
    one, other = one_each(port)
    assert (one.kg(), other.kg()) == (140, 140)
    shop.write(150)
    until(lambda: one.kg() == 150)
    assert other.kg() == 150
    children = Path(f"/proc/{parent.pid}/task/{parent.pid}/children").read_text().split()
    (builder,) = {int(child) for child in children} - {one.who(), other.who()}
    os.kill(builder, signal.SIGKILL)
    until(lambda: "The process that builds ended by signal 9; another is started" in shop.said)
    shop.write(160)
    until(lambda: other.kg() == 160)
    assert one.kg() == 160
    assert shop.said.count("shop.db: built") == 3

    parent.send_signal(signal.SIGTERM)
    assert parent.wait(20) == 0
    assert shop.left() == []


@pytest.mark.skipif(usual_processes() == 1, reason="on one processor one process serves")
def test_the_demo_builds_and_checks_and_forks_without_threads_all_the_same(shop: Shop) -> None:
    parent, port = shop.serve("demo", str(shop.records.parent / "demo"))
    several = [Client(port) for _ in range(usual_processes())]
    assert len({client.who() for client in several} - {parent.pid}) == usual_processes()
    assert threads_of(parent.pid) == 1


def test_records_that_cannot_be_built_end_it_as_one_process_does(shop: Shop) -> None:
    shop.write(140)
    (shop.records / "scale.yml").unlink()
    process = shop.started(*WATCH, str(shop.records), "--db", str(shop.file))
    assert process.wait(60) == 2
    until(lambda: "there is no source 'scale'" in shop.said)
    assert shop.said.count("there is no source 'scale'") == 1
    assert "Traceback" not in shop.said
    assert shop.left() == []


DYING = """
import os, signal, socket, sys
from handling_db.web.service.processes import Parent, Process
listening = socket.create_server(("127.0.0.1", 0))
def say(text):
    print(text, flush=True)
    if "2 s" in text:
        os.kill(os.getpid(), signal.SIGTERM)
Parent(listening, [Process("It", lambda end: os._exit(3), takes=True)], say, lambda number: None).run()
"""


def test_what_dies_at_once_is_started_less_and_less_often() -> None:
    told = subprocess.run([sys.executable, "-c", DYING], check=True, capture_output=True, text=True)
    assert told.stdout.splitlines() == [
        "It ended with status 3; another is started in 1 s.",
        "It ended with status 3; another is started in 2 s.",
    ]


def test_one_for_each_processor_up_to_four(monkeypatch: pytest.MonkeyPatch) -> None:
    for processors, count in ((1, 1), (2, 2), (16, 4)):
        monkeypatch.setattr(os, "sched_getaffinity", lambda _, many=processors: set(range(many)))
        assert usual_processes() == count
    monkeypatch.setattr(sys, "platform", "darwin")
    assert usual_processes() == 1


def test_several_are_refused_where_a_process_cannot_part(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "any.db").write_bytes(b"")
    monkeypatch.delattr(os, "fork")
    told = CliRunner().invoke(main, ["serve", "--db", str(tmp_path / "any.db"), "--processes", "2"])
    assert told.exit_code == 2
    assert "--processes 2: one process serves on a system without fork; leave it out" in told.output
