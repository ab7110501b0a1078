"""The edge of the view: names it answers to, other origins, failures, served CSV, what is said at start."""

from __future__ import annotations

import csv
import io
import logging
from pathlib import Path
from typing import Any

import pytest
from datasette import hookimpl
from datasette.plugins import pm

from handling_db.web import errors
from handling_db.web.csv_cells import QuietCsv
from handling_db.web.guard import host_allowed
from handling_db.web.service.place import ServedAt
from handling_db.web.service.run import Service, run
from handling_db.web.serving import application

pytestmark = pytest.mark.anyio


@pytest.mark.parametrize(
    ("host", "answers"),
    [
        ("localhost", True), ("localhost:8001", True), ("LOCALHOST.", True), ("a.localhost", True),
        ("127.0.0.1:8001", True), ("192.168.1.7", True), ("[::1]:8001", True), ("[::1]", True),
        ("evil.example", False), ("localhost.evil.example", False), ("evil.example:8001", False), ("", False),
        ("127.0.0.1.evil.example", False), ("shop-pc.local", False),
    ],
)  # fmt: skip
def test_names_it_answers_to(host: str, answers: bool) -> None:
    assert host_allowed(host, frozenset()) is answers
    assert host_allowed(host, frozenset({"*"}))


async def test_another_name_is_turned_away_unless_asked_for(served: Any, demo_db: Path) -> None:
    """Every name was answered to: a page on the internet could give its own name this address."""
    turned = await served.client.get("/component/transfer-box.json", headers={"host": "evil.example"})
    assert turned.status_code == 421
    assert turned.json()["error"] == errors.SENTENCES[421]

    named = application(demo_db, hosts=["shop-pc.local"])
    assert (await named.client.get("/", headers={"host": "Shop-PC.local:8001"})).status_code == 200
    assert (await named.client.get("/", headers={"host": "evil.example"})).status_code == 421


@pytest.mark.slow
@pytest.mark.parametrize("path", ["/start.json", "/component/transfer-box.json", "/handling/component.json"])
async def test_other_origins_may_read_only_where_asked_for(served: Any, demo_db: Path, path: str) -> None:
    """Our own JSON said `access-control-allow-origin: *` to everybody."""
    plain = (await served.client.get(path)).headers
    assert "access-control-allow-origin" not in plain
    assert plain["cross-origin-resource-policy"] == "same-origin"
    assert plain["referrer-policy"] == "no-referrer"

    asked = (await application(demo_db, cors=True).client.get(path)).headers
    assert asked["access-control-allow-origin"] == "*"
    assert asked["cross-origin-resource-policy"] == "cross-origin"


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/nope", 404), ("/handling/nope", 404), ("/handling/component/99999", 404), ("/component/nope", 404),
        ("/handling/component?_sort=nope", 400), ("/handling/component.blob", 400), ("/handling?sql=select+1", 403),
        ("/-/static/nope.css", 404), (f"/-/static-plugins/handling_db/{'a' * 300}", 404), (f"/-/static/{'%C3%A9' * 50}", 404), ("/-/threads", 404), (f"/find?q={'x' * 2100}", 414),
    ],
)  # fmt: skip
async def test_every_failure_is_on_our_own_page(served: Any, path: str, status: int, capfd: Any) -> None:
    """Stock pages said it in their own words, and wrote a trace with all values into the log."""
    answer = await served.client.get(path)

    assert answer.status_code == status
    assert 'class="hd"' in answer.text
    assert "Datasette" not in answer.text
    assert "handling-own-page" not in answer.headers
    captured = capfd.readouterr()
    assert "Traceback" not in captured.err + captured.out
    assert "locals" not in captured.out


async def test_a_failure_for_a_program_is_json(served: Any) -> None:
    answer = await served.client.get("/handling/nope.json")

    assert (answer.status_code, answer.json()) == (404, {"error": "There is no such page.", "status": 404})


class _Rude:
    """Another plugin that puts itself before ours and answers failures in its own way."""

    @hookimpl(tryfirst=True)
    def handle_exception(self, datasette: Any, request: Any, exception: Exception) -> Any:
        from datasette.utils.asgi import Response

        return Response.html(f"<h1>RUDE</h1>{exception!r}", status=getattr(exception, "status", 500))


async def test_whatever_else_is_installed(served: Any) -> None:
    pm.register(_Rude(), "rude")
    try:
        for path in ("/nope", "/handling/component?_sort=nope"):
            answer = await served.client.get(path)
            assert "RUDE" not in answer.text
            assert 'class="hd"' in answer.text
    finally:
        pm.unregister(name="rude")


@pytest.mark.parametrize("path", ["/notes", "/notes.json", "/component/transfer-box"])
async def test_a_fault_of_ours_is_one_line_of_log(
    served: Any, path: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, capfd: Any
) -> None:
    async def broken(*args: Any) -> Any:
        raise RuntimeError("no\nwonder")

    monkeypatch.setattr("handling_db.web.pages.sending.ask", broken)
    with caplog.at_level(logging.ERROR, "handling_db.web"):
        answer = await served.client.get(path)

    assert answer.status_code == 500
    assert "This page has failed; that is a fault of the program, please report it." in answer.text
    assert "wonder" not in answer.text
    (record,) = [one for one in caplog.records if one.name == "handling_db.web"]
    assert f"GET {path}: RuntimeError: no wonder at " in record.getMessage()
    assert "\n" not in record.getMessage()
    assert "Traceback" not in capfd.readouterr().err


async def test_even_without_a_database_there_is_a_page(served: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    async def gone(*args: Any) -> Any:
        raise OSError("the file is gone")

    monkeypatch.setattr("handling_db.web.site.ask", gone)
    page = (await errors.error_page(served, 500)).decode()

    assert "<h1>This page has failed</h1>" in page


async def test_served_csv_has_no_formulas(tmp_path: Path) -> None:
    """A name such as =HYPERLINK(...) was served as it stood, and carried out by whoever opened the table."""
    from handling_db.database.building import build_with_bar

    folder = tmp_path / "records"
    folder.mkdir()
    evil = '=HYPERLINK("http://x.example","click")'
    (folder / "a.yml").write_text(
        f"component: a\nname: '{evil}'\nkind: part\nalso called: ['@SUM(1)', '-lid']\n"
    )
    build_with_bar([folder], tmp_path / "x.db")
    answer = await application(tmp_path / "x.db").client.get("/handling/component.csv")

    (row,) = csv.DictReader(io.StringIO(answer.text))
    assert row["name"] == f"'{evil}"
    assert "content-length" not in answer.headers or int(answer.headers["content-length"]) == len(
        answer.content
    )


@pytest.mark.parametrize("size", [1, 2, 3, 7, 1000])
def test_csv_cut_anywhere_says_the_same(size: int) -> None:
    rows = [["a", "=1+1", 'say "x"\nand\r\n=y'], ["é", "-5.2", "+x"], ['"', "@", "\t=1"], ["", "'=1", "x,y"]]
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    raw = out.getvalue().encode()
    quiet = QuietCsv()
    pieces = [quiet.feed(raw[i : i + size], last=False) for i in range(0, len(raw), size)]
    made = b"".join([*pieces, quiet.feed(b"", last=True)]).decode()

    assert list(csv.reader(io.StringIO(made, newline=""))) == [
        ["a", "'=1+1", 'say "x"\nand\r\n=y'], ["é", "-5.2", "'+x"], ['"', "'@", "'\t=1"], ["", "''=1", "x,y"],
    ]  # fmt: skip


def test_what_is_said_at_start(demo_db: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """That the whole database can be downloaded was said nowhere."""
    import uvicorn

    monkeypatch.setattr(uvicorn.Server, "run", lambda self, sockets=None: None)
    said: list[str] = []
    run(Service({"": demo_db}, ServedAt(port=0, cors=True)), said.append)

    assert said[0].startswith("Read it at http://127.0.0.1:")
    assert said[1].startswith("Whoever can read it can download the whole database: http://127.0.0.1:")
    assert said[1].endswith("/handling.db")
    assert said[2].startswith("Pages of any other address may read it")


@pytest.mark.parametrize("path", ["/handling/component", "/handling/component.json"])
async def test_a_table_that_took_too_long_does_not_blame_the_address(demo_db: Path, path: str) -> None:
    """On a busy machine an honest question was told that an option in it made no sense."""
    view = application(demo_db)
    assert (await view.client.get(path)).status_code == 200
    view.sql_time_limit_ms = 0
    answer = await view.client.get(path)

    assert answer.status_code == 400
    assert errors.TOO_LONG in answer.text
    assert errors.SENTENCES[400] not in answer.text
