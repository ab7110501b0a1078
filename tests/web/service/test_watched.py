"""A rebuilt file is shown on the next request; a broken, missing or half-written one never is."""

from __future__ import annotations

import asyncio
import gc
import random
import re
import shutil
import sqlite3
import threading
import time
import weakref
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from handling_db.database.build import build_database
from handling_db.database.cache import LastAnswers
from handling_db.errors import HandlingError
from handling_db.web.service import watched as watched_module
from handling_db.web.service.copies import Copies, ServedLook, remove_left
from handling_db.web.service.front import Front
from handling_db.web.service.place import ServedAt
from handling_db.web.service.run import front
from handling_db.web.service.shared_copies import SharedCopies

pytestmark = [
    pytest.mark.slow,
    pytest.mark.anyio,
    # `SystemExit` ends a thread without a word; pytest has its say about it nevertheless.
    pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning"),
]

KG = (134, 144, 157)


@pytest.fixture(scope="module", autouse=True)
def only_what_is_served_here() -> None:
    """Garbage is collected for every file that is let go: not among what the tests before these keep."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="module")
def editions(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The same collection built thrice, the case weighed anew each time; the last is much longer."""
    room = tmp_path_factory.mktemp("editions")
    made = []
    for kg in KG:
        records = room / f"r{kg}"
        records.mkdir()
        (records / "case.yml").write_text(
            "component: case\nname: Gear case\nkind: part\nmasses:\n"
            f"  - {{printed: {kg} kg, plus or minus: 1 kg, state: dry, source: scale}}\n"
        )
        (records / "scale.yml").write_text("source: scale\nname: Floor scale\nkind: weighed\n")
        for n in range(30 if kg == KG[-1] else 0):
            (records / f"c-{n}.yml").write_text(f"component: c-{n}\nname: Cover {n}\nkind: part\n")
        build_database([records], room / f"{kg}.db")
        made.append(room / f"{kg}.db")
    return made


@pytest.fixture(params=[Copies, SharedCopies])
def copies(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Copies]:
    (tmp_path / "copies").mkdir()
    held = request.param(tmp_path / "copies")
    yield held
    held.close()


def rooms(copies: Copies) -> list[Path]:
    """The copies that lie there; what several processes share beside them is one file more for each file."""
    return [one for one in copies.folder.iterdir() if one.is_dir()]


def place_in(target: Path, edition: Path) -> None:
    """As `build` puts a file in place: by one rename."""
    beside = target.with_name(".next")
    shutil.copyfile(edition, beside)
    beside.replace(target)


@pytest.fixture
def file(tmp_path: Path, editions: list[Path]) -> Path:
    target = tmp_path / "shop.db"
    place_in(target, editions[0])
    return target


def client_of(served: Front) -> httpx.AsyncClient:
    return httpx.AsyncClient(transport=httpx.ASGITransport(app=served), base_url="http://localhost")


def opened(file: Path, copies: Copies) -> Front:
    return front({"": file}, ServedAt(), copies, lambda text: None)


def case_of(text: str) -> int:
    found = re.search(r"Plan with (\d+) kg", text)
    assert found, text[:400]
    return int(found[1])


def stamp_of(file: Path) -> str:
    connection = sqlite3.connect(file)
    found = connection.execute("select stamp from built").fetchone()[0]
    connection.close()
    return str(found)


def plan_of(kg: int) -> int:
    return kg + 1  # as stated


async def test_of_a_file_that_is_served_no_more_nothing_is_kept(
    file: Path, editions: list[Path], copies: Copies
) -> None:
    """Under load the service grew by some megabytes with every file that was built."""
    served = opened(file, copies)
    async with client_of(served) as client:
        await client.get("/find?q=case")
        await client.get("/component/case")
        edition = served.collections[""]._edition
        assert edition is not None
        old = weakref.ref(edition.datasette)
        del edition
        place_in(file, editions[1])
        await client.get("/component/case")
        for _ in range(100):
            if old() is None:
                break
            await asyncio.sleep(0.05)
    assert old() is None


async def test_rebuilt_file_is_shown_on_the_next_request(
    file: Path, editions: list[Path], copies: Copies
) -> None:
    """A case went from 134 to 144 kg and pages still planned with 135."""
    async with client_of(opened(file, copies)) as client:
        for kg, edition in [*zip(KG, editions, strict=True)] * 2:
            place_in(file, edition)
            page = await client.get("/component/case")
            assert case_of(page.text) == plan_of(kg)
            assert stamp_of(edition) in page.text
            answer = await client.get("/component/case.json")
            assert answer.json()["stamp"]["stamp"] == stamp_of(edition)
            table = await client.get("/handling/statement.json?_shape=array")
            assert table.json()[0]["printed"] == f"{kg} kg"
            assert "max-age" not in table.headers.get("cache-control", "")


async def test_many_who_ask_at_once_after_a_build_are_all_answered(
    file: Path, editions: list[Path], copies: Copies
) -> None:
    """While the first request started the new view, others got a stock table from it half started: refused."""
    async with client_of(opened(file, copies)) as client:
        for edition in editions:
            place_in(file, edition)
            paths = ["/handling/statement", "/component/case", "/handling/component.json"] * 4
            answers = await asyncio.gather(*(client.get(path) for path in paths))
            assert [answer.status_code for answer in answers] == [200] * len(paths)


def writers() -> int:
    names = [thread.name for thread in threading.enumerate()]
    return sum("execute_writes" in name or name.startswith("pages") for name in names)


async def test_views_of_old_files_leave_no_thread(file: Path, editions: list[Path], copies: Copies) -> None:
    """Each build left a thread behind once a stock table was looked at, and some megabytes with it."""
    before = writers()
    async with client_of(opened(file, copies)) as client:
        for n in range(5):
            place_in(file, editions[n % 2])
            assert (await client.get("/handling/statement")).status_code == 200
            assert (await client.get("/component/case")).status_code == 200
    for _ in range(200):
        if writers() <= before + 2:
            break
        time.sleep(0.02)
    assert writers() <= before + 2  # of the last view: one of the stock table, one of our pages


async def test_copies_of_old_files_are_let_go(file: Path, editions: list[Path], copies: Copies) -> None:
    async with client_of(opened(file, copies)) as client:
        for n in range(6):
            place_in(file, editions[n % 2])
            await client.get("/component/case")
    for _ in range(100):
        left = rooms(copies)
        if len(left) == 1:
            break
        time.sleep(0.02)
    assert len(left) == 1
    assert len(list(copies.folder.glob("*.*_*"))) == isinstance(copies, SharedCopies)


async def test_a_request_under_way_ends_on_the_old_file(
    file: Path, editions: list[Path], copies: Copies, monkeypatch: pytest.MonkeyPatch
) -> None:
    served = opened(file, copies)
    begun, go_on = threading.Event(), threading.Event()
    from handling_db.database import queries
    from handling_db.web.pages.piece import facts

    real = queries.stored_answer

    def slow(*args: Any) -> Any:
        if not begun.is_set():
            begun.set()
            assert go_on.wait(10)
        return real(*args)

    monkeypatch.setattr(facts, "_answers", LastAnswers(10))  # no test before this one has asked already
    monkeypatch.setattr(queries, "stored_answer", slow)
    async with client_of(served) as client:
        old = asyncio.create_task(client.get("/component/case"))
        assert await asyncio.to_thread(begun.wait, 10)
        place_in(file, editions[1])
        assert case_of((await client.get("/component/case")).text) == plan_of(KG[1])
        go_on.set()
        page = await old
    assert page.status_code == 200
    assert case_of(page.text) == plan_of(KG[0])
    assert stamp_of(editions[0]) in page.text


def _cut(file: Path) -> None:
    with file.open("r+b") as out:
        out.truncate(file.stat().st_size // 2)


def _garbled(file: Path) -> None:
    data = bytearray(file.read_bytes())
    data[4096:12288] = bytes(8192)
    file.with_name(".bad").write_bytes(data)
    file.with_name(".bad").replace(file)


def _other_program(file: Path) -> None:
    file.unlink()
    connection = sqlite3.connect(file)
    connection.execute("create table boats (name text)")
    connection.commit()
    connection.close()


def _other_version(file: Path) -> None:
    connection = sqlite3.connect(file)
    connection.execute("pragma user_version = 3")
    connection.commit()
    connection.close()


def _folder(file: Path) -> None:
    file.unlink()
    file.mkdir()


BROKEN = [
    (Path.unlink, "shop.db is not there any more."),
    (_cut, "shop.db is not whole"),
    (_garbled, "damaged"),
    (lambda file: file.write_bytes(b""), "shop.db: not a database of this program"),
    (lambda file: file.write_text("no database" * 100), "shop.db: not a database of this program"),
    (_other_program, "shop.db: not a database of this program"),
    (_other_version, "shop.db: built by another version of this program"),
    (_folder, "shop.db cannot be read"),
]


@pytest.mark.parametrize(("spoil", "words"), BROKEN)
async def test_a_broken_file_is_said_on_every_page_and_the_old_one_stays(
    file: Path, editions: list[Path], copies: Copies, spoil: Any, words: str
) -> None:
    served = opened(file, copies)
    async with client_of(served) as client:
        await client.get("/")
        spoil(file)
        await asyncio.sleep(0.35)  # what was written in place is quiet by then
        for path in ("/", "/component/case", "/notes", "/handling/component", "/nope"):
            page = await client.get(path)
            assert page.status_code == (404 if path == "/nope" else 200)
            assert words in page.text.replace("&#39;", "'"), path
            assert stamp_of(editions[0]) in page.text
            assert str(file.parent) not in page.text
        answer = await client.get("/component/case.json")
        assert words in answer.json()["notice"]
        assert "handling-notice" in answer.headers
        if file.is_dir():
            file.rmdir()
        place_in(file, editions[1])
        page = await client.get("/component/case")
        assert case_of(page.text) == plan_of(KG[1])
        assert "database file" not in page.text
        assert "notice" not in (await client.get("/component/case.json")).json()


async def test_a_file_written_in_place_is_shown_when_it_is_quiet(
    file: Path, editions: list[Path], copies: Copies
) -> None:
    served = opened(file, copies)
    new = editions[2].read_bytes()
    async with client_of(served) as client:
        with file.open("wb") as out:  # as `cp` does: the same file, emptied and filled again
            step = len(new) // 6
            for at in range(0, len(new), step):
                out.write(new[at : at + step])
                out.flush()
                if at + step >= len(new):  # whole by now
                    break
                page = await client.get("/component/case")
                assert page.status_code == 200
                assert case_of(page.text) == plan_of(KG[0])
        await asyncio.sleep(watched_module.QUIET)
        assert case_of((await client.get("/component/case")).text) == plan_of(KG[2])


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[SharedCopies]:
    held = SharedCopies(tmp_path)
    yield held
    held.close()


@pytest.mark.parametrize("spoil", [Path.unlink, _cut, _garbled, _other_program])
async def test_what_one_process_has_shown_the_others_show_where_the_file_is_broken(
    file: Path, editions: list[Path], shared: SharedCopies, spoil: Any
) -> None:
    """Two fronts over the same copies, as two processes have them; the second is asked too late."""
    async with client_of(opened(file, shared)) as one, client_of(opened(file, shared)) as other:
        place_in(file, editions[1])
        assert case_of((await one.get("/component/case")).text) == plan_of(KG[1])
        spoil(file)
        await asyncio.sleep(0.35)  # what was written in place is quiet by then
        page = (await other.get("/component/case")).text
        assert "The database file shop.db" in page
        assert case_of(page) == plan_of(KG[1])


async def test_what_one_process_has_shown_the_others_show_later_too(
    file: Path, editions: list[Path], shared: SharedCopies
) -> None:
    """The file came and went between two questions to the second one, which knew it as gone before and after."""
    async with client_of(opened(file, shared)) as one, client_of(opened(file, shared)) as other:
        file.unlink()
        assert case_of((await other.get("/component/case")).text) == plan_of(KG[0])
        place_in(file, editions[1])
        assert case_of((await one.get("/component/case")).text) == plan_of(KG[1])
        file.unlink()
        assert case_of((await other.get("/component/case")).text) == plan_of(KG[1])


def test_a_copy_that_one_process_took_is_not_taken_again(
    file: Path, editions: list[Path], shared: SharedCopies
) -> None:
    first, second = shared.take(file), shared.take(file)
    assert first != second
    assert first.samefile(second)
    place_in(file, editions[1])
    third = shared.take(file)
    assert not third.samefile(second)
    shared.drop(third)
    assert shared.newest(file, ServedLook.of(file)) is None
    newest = shared.newest(file, None)
    assert newest is not None
    assert newest[0].read_bytes() == editions[1].read_bytes()


def test_a_file_that_cannot_be_served_is_refused_at_the_start(tmp_path: Path, copies: Copies) -> None:
    with pytest.raises(HandlingError, match=r"no\.db: there is no such database; build it with"):
        opened(tmp_path / "no.db", copies)
    (tmp_path / "text.db").write_text("x")
    with pytest.raises(HandlingError, match=r"text\.db: not a database of this program"):
        opened(tmp_path / "text.db", copies)
    assert rooms(copies) == []


def test_what_killed_services_left_is_removed(tmp_path: Path, editions: list[Path]) -> None:
    held = Copies(tmp_path)
    left = tmp_path / "handling-db-served-gone"
    left.mkdir()
    remove_left(tmp_path)
    assert left.exists(), "it may have begun just now"
    remove_left(tmp_path, young=-1)
    assert not left.exists()
    assert held.folder.exists()
    assert ServedLook.of(held.take(editions[0])) is not None
    held.close()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2))
async def test_random_replacing_while_many_read(
    file: Path, editions: list[Path], copies: Copies, seed: int
) -> None:
    """Whatever happens to the file: every answer is whole, of one edition, and never older than one seen whole."""
    rng = random.Random(f"replacing {seed}")
    served = opened(file, copies)
    known = {stamp_of(edition): plan_of(kg) for kg, edition in zip(KG, editions, strict=True)}
    stop = threading.Event()
    trouble: list[str] = []

    def replacing() -> None:
        while not stop.is_set():
            edition = rng.choice(editions)
            act = rng.randrange(6)
            if act == 0:
                file.unlink(missing_ok=True)
            elif act == 1:
                shutil.copyfile(edition, file)
            elif act == 2 and file.exists():
                with file.open("r+b") as out:
                    out.truncate(rng.randrange(file.stat().st_size + 1))
            elif act == 3:
                data = bytearray(edition.read_bytes())
                at = rng.randrange(len(data) - 5000)
                data[at : at + 5000] = rng.randbytes(5000)
                file.with_name(".bad").write_bytes(data)
                file.with_name(".bad").replace(file)
            else:
                place_in(file, edition)
            time.sleep(rng.random() * 0.02)

    async def reading(client: httpx.AsyncClient) -> None:
        for _ in range(25):
            page = await client.get("/component/case")
            stamp = re.search(r"; stamp ([0-9a-f]{12})\.", page.text)
            if page.status_code != 200 or stamp is None or case_of(page.text) != known.get(stamp[1]):
                trouble.append(f"{page.status_code}: {page.text[:300]}")
                return

    thread = threading.Thread(target=replacing)
    thread.start()
    try:
        async with client_of(served) as client:
            await asyncio.gather(*(reading(client) for _ in range(4)))
    finally:
        stop.set()
        thread.join()
    assert trouble == []
    async with client_of(served) as client:
        for n in (1, 2, 0):
            place_in(file, editions[n])
            assert case_of((await client.get("/component/case")).text) == plan_of(KG[n])
