"""A line on top of every answer while the database file itself cannot be read."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from typing import Any

from markupsafe import escape

Send = Callable[[dict[str, Any]], Awaitable[None]]

_BODY = re.compile(rb"<body[^>]*>")
HEADER = b"handling-notice"


class Noticed:
    """An answer on its way out with the line put on top of a page; other answers have it in a header.

    Parameters
    ----------
    send : ASGI send
    notice : str
        The line.
    """

    def __init__(self, send: Send, notice: str) -> None:
        self._send = send
        self._line = f'<p class="warn" role="alert"><strong>{escape(notice)}</strong></p>'.encode()
        self._words = notice.encode("ascii", "replace")
        self._start: dict[str, Any] | None = None
        self._body = b""

    async def __call__(self, message: dict[str, Any]) -> None:
        """Pass a message on."""
        if message["type"] == "http.response.start":
            headers = [*message.get("headers", []), (HEADER, self._words)]
            message = {**message, "headers": headers}
            kinds = [value for name, value in headers if name.lower() == b"content-type"]
            if any(kind.startswith(b"text/html") for kind in kinds):
                self._start = message  # held back: its length changes with the body
                return
        elif message["type"] == "http.response.body" and self._start is not None:
            self._body += message.get("body", b"")
            if message.get("more_body"):
                return
            start, self._start = self._start, None
            body = _BODY.sub(lambda found: found[0] + self._line, self._body, count=1)
            kept = [(name, value) for name, value in start["headers"] if name.lower() != b"content-length"]
            await self._send({**start, "headers": kept})
            message = {**message, "body": body}
        await self._send(message)
