"""What stands before every page: methods, lengths, closed addresses and headers.

The view is read-only. Only GET and HEAD pass; addresses that would tell about the machine are closed;
every answer carries a content policy.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

Scope = dict[str, Any]
Receive = Callable[[], Awaitable[Any]]
Send = Callable[[dict[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MAX_QUERY = 2000
MAX_PATH = 1000

# Stock addresses that tell about files, threads, settings and plugins, or that belong to signing in.
CLOSED = frozenset(
    {
        "/-/databases",
        "/-/threads",
        "/-/settings",
        "/-/metadata",
        "/-/versions",
        "/-/plugins",
        "/-/actor",
        "/-/allow-debug",
        "/-/permissions",
        "/-/messages",
        "/-/patterns",
        "/-/auth-token",
        "/-/create-token",
        "/-/logout",
    }
)

# Query names of the stock table pages that raise errors there instead of answering (odd values give a
# plain 400 here), or that are of no use on a curated view.
_REFUSED_NAMES = ("_through", "_json_infinity", "_timelimit", "_nofacet", "_where", "_trace")

_OURS = "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; "
_STOCK = (
    "default-src 'none'; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; connect-src 'self'; form-action 'self'; "
)
_FRAME = "frame-ancestors 'none'; base-uri 'none'"


def guard(app: App, base_url: str, is_stock: Callable[[str], bool]) -> App:
    """Wrap the application.

    Parameters
    ----------
    app : ASGI application
    base_url : str
        Prefix under which the view is served, such as ``/w/``.
    is_stock : function of path
        Whether an address belongs to the stock table pages, which need inline scripts.
    """
    base = base_url.rstrip("/")

    async def inner(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        path = scope["path"].removeprefix(base) or "/"
        refused = refusal(scope["method"], path, scope.get("query_string", b""))
        if refused is not None:
            await _plain(send, *refused)
            return
        policy = (_STOCK if is_stock(path) else _OURS) + _FRAME

        async def send_with_headers(message: dict[str, Any]) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message.get("headers", []), *_headers(policy)]}
            await send(message)

        await app(scope, receive, send_with_headers)

    return inner


def refusal(method: str, path: str, query: bytes) -> tuple[int, str] | None:
    """The status and words with which a request is turned away, or None to let it pass."""
    if method not in {"GET", "HEAD"}:
        return 405, "This view is read-only: only GET and HEAD."
    if len(query) > MAX_QUERY or len(path) > MAX_PATH:
        return 414, "The address is too long."
    if "\x00" in path or b"%00" in query.lower():
        return 400, "A zero byte has no place in an address."
    bare = path.split(".")[0].rstrip("/").lower()
    if bare in CLOSED:
        return 404, "There is no such page."
    names = {part.split(b"=")[0].decode("ascii", "replace").lower() for part in query.split(b"&")}
    if any(name == bad or name.startswith(f"{bad}_") for name in names for bad in _REFUSED_NAMES):
        return 400, "This view does not take that option."
    return None


def _headers(policy: str) -> list[tuple[bytes, bytes]]:
    return [
        (b"content-security-policy", policy.encode()),
        (b"x-content-type-options", b"nosniff"),
        (b"x-frame-options", b"DENY"),
        (b"permissions-policy", b"camera=(), geolocation=(), microphone=()"),
        (b"cross-origin-opener-policy", b"same-origin"),
    ]


async def _plain(send: Send, status: int, text: str) -> None:
    headers = [(b"content-type", b"text/plain; charset=utf-8"), *_headers(_OURS + _FRAME)]
    if status == 405:
        headers.append((b"allow", b"GET, HEAD"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": f"{text}\n".encode()})
