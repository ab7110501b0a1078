"""The application that is served: one collection, or several under their names and a page of them all."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Mapping
from typing import Any
from urllib.parse import unquote

from handling_db.lookup.as_json import plain
from handling_db.lookup.words import FIGURES_NOT_PERMISSION
from handling_db.web.errors import HTML, JSON, sentence_for
from handling_db.web.guard import host_allowed, host_of, refusal, safe_headers
from handling_db.web.plain.asking import ask_view
from handling_db.web.service.place import ServedAt
from handling_db.web.service.watched import Watched, refuse
from handling_db.web.site import environment
from handling_db.web.ways import below

Scope = dict[str, Any]
Receive = Callable[[], Awaitable[Any]]
Send = Callable[[dict[str, Any]], Awaitable[None]]


class Front:
    """What answers every request.

    Parameters
    ----------
    collections : mapping of name to Watched
        One without a name stands directly under the prefix.
    place : ServedAt
    """

    def __init__(self, collections: Mapping[str, Watched], place: ServedAt) -> None:
        self.collections = dict(collections)
        self.place = place
        self._beginning: asyncio.Task[None] | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, or the beginning and the end of the service."""
        if scope["type"] == "lifespan":
            await self._live(receive, send)
        elif scope["type"] == "http":
            await self._answer(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close"})

    async def _live(self, receive: Receive, send: Send) -> None:
        while True:
            message = await receive()
            await send({"type": f"{message['type']}.complete"})
            if message["type"] == "lifespan.startup":
                self._beginning = asyncio.create_task(self._begin())
            if message["type"] == "lifespan.shutdown":
                if self._beginning is not None:
                    self._beginning.cancel()
                for watched in self.collections.values():
                    watched.close()
                return

    async def _begin(self) -> None:
        """Work out the first page of each collection before anybody asks: its figures take a second."""
        for watched in self.collections.values():
            await ask_view(watched, "/")

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        base = self.place.base_url
        path = _raw_path(scope)
        if path == base.rstrip("/") and base != "/":
            await self._send_on(scope, base, send)
            return
        inside = below(path, base)
        if "" in self.collections:
            await self.collections[""](_at(scope, inside), receive, send)
            return
        name, slash, rest = inside[1:].partition("/")
        if name in self.collections and slash:
            await self.collections[name](_at(scope, f"/{rest}"), receive, send)
        elif name in self.collections:
            await self._send_on(scope, f"{base}{name}/", send)
        else:
            await self._list(scope, inside, send)

    async def _send_on(self, scope: Scope, address: str, send: Send) -> None:
        query = scope.get("query_string", b"")
        to = address.encode() + (b"?" + query if query else b"")
        headers = [(b"location", to), *safe_headers(cors=self.place.cors)]
        await send({"type": "http.response.start", "status": 308, "headers": headers})
        await send({"type": "http.response.body", "body": b""})

    async def _list(self, scope: Scope, path: str, send: Send) -> None:
        """The page of all collections; anything else is not here."""
        status = refusal(scope["method"], path, scope.get("query_string", b""))
        if status is None and not host_allowed(host_of(scope), self.place.names):
            status = 421
        if status is None and path not in ("/", "/start", "/start.json"):
            status = 404
        if status is not None:
            await refuse(scope, send, status, sentence_for(status))
            return
        found: list[dict[str, Any]] = []
        for name, watched in self.collections.items():
            await watched.look()
            found.append({"name": name, "stamp": watched.stamp, "notice": watched.notice})
        if path.endswith(".json"):
            listed = [{**one, "stamp": plain(one["stamp"])} for one in found]
            kind, body = JSON, json.dumps({"collections": listed}).encode()
        else:
            kind, body = HTML, self._page(found).encode()
        headers = [(b"content-type", kind.encode()), *safe_headers(cors=self.place.cors)]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else body})

    def _page(self, found: list[dict[str, Any]]) -> str:
        base = self.place.base_url
        styled = next((one["name"] for one in found if one["stamp"]), None)
        sheet = f"{base}{styled}/-/static-plugins/handling_db/site.css" if styled else ""
        context = {"found": found, "base": base, "stylesheet": sheet, "cautions": FIGURES_NOT_PERMISSION}
        return environment().get_template("collections.html").render(context)


def _raw_path(scope: Scope) -> str:
    """The path as it was sent: what is encoded in it stays so."""
    raw = scope.get("raw_path")
    return raw.decode("latin-1").partition("?")[0] if raw else str(scope["path"])


def _at(scope: Scope, path: str) -> Scope:
    """The same request for an address below the prefix: the stock pages put it before some links twice."""
    return {**scope, "path": unquote(path), "raw_path": path.encode("latin-1")}
