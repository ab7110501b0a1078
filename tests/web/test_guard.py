"""Read-only at the edge: methods, lengths, closed pages, headers, odd requests."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.anyio


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "OPTIONS"])
@pytest.mark.parametrize("path", ["/", "/component/transfer-box", "/handling", "/handling/component", "/-/x"])
async def test_only_get_and_head(served: Any, method: str, path: str) -> None:
    response = await served.client.request(method, path)
    assert response.status_code == 405
    assert response.headers["allow"] == "GET, HEAD"
    assert "read-only" in response.text


@pytest.mark.parametrize(
    "path",
    [
        "/-/databases",
        "/-/databases.json",
        "/-/threads",
        "/-/settings.json",
        "/-/metadata",
        "/-/versions",
        "/-/plugins",
        "/-/messages",
        "/-/allow-debug",
        "/-/patterns",
        "/-/auth-token",
        "/-/logout",
    ],
)
async def test_pages_that_tell_about_the_machine_are_closed(served: Any, path: str) -> None:
    assert (await served.client.get(path)).status_code == 404


async def test_headers(served: Any) -> None:
    ours = (await served.client.get("/component/transfer-box")).headers
    assert "script-src" not in ours["content-security-policy"]
    assert "default-src 'none'" in ours["content-security-policy"]
    assert ours["x-content-type-options"] == "nosniff"
    stock = (await served.client.get("/handling/component")).headers
    assert "script-src 'self' 'unsafe-inline'" in stock["content-security-policy"]


async def test_too_long_is_refused(served: Any) -> None:
    assert (await served.client.get(f"/find?q={'x' * 2100}")).status_code == 414


ODD = [
    "_sort=nope",
    "_timelimit=abc",
    "_through=%7B",
    "_json_infinity=1",
    "_nocol=code",
    "_facet=%00",
    "id=99999999999999999999999",
    "_next=%27%22",
    "_size=-1",
    "_size=max",
    "_search=%22",
    "_where=1%3D1",
    "q=%22%27%3B--",
    "state=%00",
    "set=",
    "set==",
    "set.discs=",
    "without=",
    "unit=stone",
    "kind=%25",
]


@pytest.mark.slow
@pytest.mark.parametrize("query", ODD)
@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/component/lock-clutch-pack",
        "/find",
        "/notes",
        "/checker",
        "/handling",
        "/handling/component",
        "/handling/component.json",
        "/handling/component/1",
    ],
)
async def test_odd_requests_never_give_a_500(served: Any, path: str, query: str) -> None:
    response = await served.client.get(f"{path}?{query}")
    assert response.status_code < 500, response.text[:300]


async def test_arbitrary_sql_is_off(served: Any) -> None:
    response = await served.client.get("/handling?sql=select+1")
    assert response.status_code == 403


async def test_nothing_can_be_written(served: Any, demo_db: Path) -> None:
    before = demo_db.read_bytes()
    for path in ("/handling/component/-/insert", "/handling/-/create", "/handling/component/1/-/delete"):
        assert (await served.client.post(path)).status_code == 405
    database = served.get_database("handling")
    assert not database.is_mutable
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        await database.execute_fn(lambda connection: connection.execute("delete from component"))
    assert demo_db.read_bytes() == before
