"""Odd requests to the view: whatever is asked, an answer below 500 with our headers, and no trace in the log."""

from __future__ import annotations

import asyncio
import contextlib
import io
import json
import logging
import random
import tempfile
import time
import urllib.parse
from collections import Counter
from pathlib import Path
from typing import Any

from handling_db.database.building import build_with_bar
from handling_db.files.folders import data_folder
from handling_db.web.serving import application
from tests.attacks import Counts

PATHS = (
    "/", "/start.json", "/find", "/checker", "/notes", "/fixtures", "/shops", "/sources", "/lifts", "/moves",
    "/component/{c}", "/component/{c}.json", "/lift/{l}", "/lift/{l}.json", "/lift/{l}/sheet", "/joint/{j}", "/turn/{l}",
    "/database", "/database.json", "/gaps", "/waiting", "/heavier", "/pallets", "/jobs", "/job/{x}", "/two-hooks/{l}",
    "/level/{l}", "/tilt/{l}", "/move/{c}", "/move/{l}/card", "/move/{l}/tag", "/hands/{c}", "/fixtures/{c}", "/shop/{s}/{l}", "/source/{x}",
    "/handling", "/handling.json", "/handling/component", "/handling/component.csv", "/handling/component.json",
    "/handling/component/{n}", "/handling/{x}", "/handling/weighing.csv", "/handling/note.json", "/picture/{x}.jpg",
    "/-/{x}", "/-/static/{x}", "/-/static-plugins/handling_db/{x}", "/{x}", "/{x}/{x}", "/handling.db",
)  # fmt: skip
KEYS = (
    "q", "state", "set.discs", "set", "without", "unit", "build", "kind", "shop", "job", "serial", "as_of", "pallet",
    "packing", "route", "face", "attitude", "head", "assume", "_sort", "_sort_desc", "_size", "_next", "_facet", "_search",
    "_col", "_nocol", "_shape", "_labels", "_stream", "_dl", "_json", "id", "code__contains", "code__gt", "name__glob",
    "_facet_size", "_facet_array", "_facet_date", "_filter_column", "_filter_op", "_filter_value", "_nl", "_blob_column",
)  # fmt: skip
VALUES = (
    "", "0", "-1", "1e400", "nan", "inf", "99999999999999999999999", "%00", "%", "%ff", "'", '"', "\\", ";--", "1 or 1=1",
    "../../etc/passwd", "..%2f..%2f", "<script>", "{{7*7}}", "é" * 50, "😀", "\u202e", "a" * 900, "null", "[]", "{}", "*",
    "dry", "drained", "filled", "discs=12", "1999-99-99", "2026-11-25", "kg", "lb", "stone", "max", "on", "10 %", "19 kg to 25 kg",
    "transfer-box", "gear-section", "quay-shed-nine", "nope", "\t", "\r\nx: y", "+", "=1+1",
)  # fmt: skip
METHODS = ("GET",) * 20 + ("HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE")
HOSTS = ("localhost",) * 20 + (
    "127.0.0.1:8001",
    "evil.example",
    "",
    "[::1]",
    "localhost:99999",
    "a" * 300,
    "é",
)
PARTS = {
    "c": (
        "transfer-box",
        "gear-section",
        "lock-clutch-pack",
        "differential-section",
        "nope",
        "%2e%2e",
        "~",
        "a~2Fb",
    ),
    "l": (
        "upper-half-lift",
        "lower-half",
        "whole-unit-lift",
        "turn-onto-front-face",
        "section-off-the-truck",
        "nope",
    ),
    "j": ("section-joint", "nope"),
    "s": ("quay-shed-nine", "low-tarrowby", "nope"),
    "n": ("1", "0", "-1", "nope", "9" * 30),
}


def address(rng: random.Random) -> str:
    """A path of ours or of the stock pages, with odd names in it and odd options behind it."""
    path = rng.choice(PATHS)
    for key in "cljsn":
        path = path.replace(f"{{{key}}}", rng.choice(PARTS[key]))
    while "{x}" in path:
        path = path.replace("{x}", urllib.parse.quote(rng.choice(VALUES), safe="%/~")[:300], 1)
    if rng.randrange(20) == 0:
        at = rng.randrange(len(path) + 1)
        path = path[:at] + rng.choice(("/", "//", "%00", "%2f", ".json", "~", "%c3%28", "?", ";")) + path[at:]
    options = [
        f"{rng.choice(KEYS)}={urllib.parse.quote(rng.choice(VALUES), safe=rng.choice(('%', '', '%&=;')))}"
        for _ in range(rng.choice((0, 1, 1, 1, 2, 3, 8)))
    ]
    return path + ("?" + "&".join(options) if options else "")


HANGS = 600  # by the clock, however busy the machine is [s]


async def asked(app: Any, method: str, path: str, host: str) -> tuple[int, dict[str, str], bytes]:
    """One request, straight into the application as a server would make it."""
    bare, _, query = path.partition("?")
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": "http",
        "path": urllib.parse.unquote(bare, errors="replace"), "raw_path": bare.encode("utf-8", "replace"),
        "query_string": query.encode("utf-8", "replace"), "headers": [(b"host", host.encode("utf-8"))],
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 8001), "root_path": "",
    }  # fmt: skip
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    await app(scope, receive, send)
    head = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in sent[0]["headers"]}
    return sent[0]["status"], head, b"".join(one.get("body", b"") for one in sent[1:])


async def _run(rng: random.Random, count: int, database: Path, seen: Counter[str]) -> None:
    served = application(database)
    await served.invoke_startup()
    app = served.app()
    for _ in range(count):
        method, path, host = rng.choice(METHODS), address(rng), rng.choice(HOSTS)
        said = io.StringIO()
        began = time.process_time()
        try:
            with contextlib.redirect_stderr(said), contextlib.redirect_stdout(said):
                status, head, body = await asyncio.wait_for(asked(app, method, path, host), HANGS)
        except Exception as error:
            seen["tracebacks"] += 1
            print(f"{method} {path} {host!r}: {type(error).__name__}: {error}"[:400])
            continue
        seen[f"{status // 100}xx"] += 1
        seen["more than 10 s of computing"] += time.process_time() - began > 10
        wrong = []
        if status >= 500:
            wrong.append("server errors")
        if "Traceback" in said.getvalue() or b"Traceback" in body:
            wrong.append("tracebacks")
        if not head.get("content-security-policy") or "access-control-allow-origin" in head:
            wrong.append("headers missing")
        if status == 200 and path.partition("?")[0].endswith(".json") and method == "GET":
            try:
                json.loads(body)
            except ValueError:
                wrong.append("json broken")
        for word in wrong:
            seen[word] += 1
            print(f"{word}: {method} {path} {host!r}: {status} {said.getvalue()[-300:]}"[:700])


def run(rng: random.Random, count: int) -> Counts:
    """Ask so many odd questions of the demo's view."""
    seen: Counter[str] = Counter(
        {
            "server errors": 0,
            "tracebacks": 0,
            "headers missing": 0,
            "json broken": 0,
            "more than 10 s of computing": 0,
        }
    )
    logging.getLogger("handling_db.web").addHandler(logging.NullHandler())
    with tempfile.TemporaryDirectory() as name:
        database = Path(name) / "handling.db"
        build_with_bar([data_folder() / "demo"], database)
        asyncio.run(_run(rng, count, database, seen))
    return seen
