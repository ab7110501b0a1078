"""Asking the view in process: one request, one whole answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote


@dataclass(frozen=True, slots=True)
class Sent:
    """What the view sent.

    Parameters
    ----------
    status : int
    kind : str
        Content type.
    body : bytes
    """

    status: int
    kind: str
    body: bytes


async def ask_view(app: Any, asked: str, host: str = "localhost") -> Sent:
    """Ask for a path with its question.

    Parameters
    ----------
    app : ASGI application
    asked : str
    host : str
        Name under which it is asked.
    """
    path, _, query = asked.partition("?")
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": unquote(path),
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "headers": [(b"host", host.encode())],
        "client": ("127.0.0.1", 0),
        "server": (host, 80),
    }
    status, kind = 0, ""
    parts: list[bytes] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        nonlocal status, kind
        if message["type"] == "http.response.start":
            status = message["status"]
            named = {name.lower(): value for name, value in message.get("headers", [])}
            kind = named.get(b"content-type", b"").decode()
        elif message["type"] == "http.response.body":
            parts.append(message.get("body", b""))

    await app(scope, receive, send)
    return Sent(status, kind, b"".join(parts))
