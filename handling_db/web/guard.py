"""What stands before every page: methods, lengths, names, closed addresses and headers.

The view is read-only. Only GET and HEAD pass; addresses that would tell about the machine are closed; it
answers to this machine's own names only; every answer carries a content policy, and every failure is our own
page.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Awaitable, Callable
from typing import Any

from handling_db.web.csv_cells import QuietCsv
from handling_db.web.errors import HTML, JSON, error_json, error_page, log
from handling_db.web.own import OWN, alone
from handling_db.web.ways import below

Scope = dict[str, Any]
Receive = Callable[[], Awaitable[Any]]
Send = Callable[[dict[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MAX_QUERY = 2000
MAX_PATH = 1000
MAX_FILE = 80  # of a file served as it is; three times as long where every byte is written as %XX [bytes]

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


def guard(app: App, datasette: Any, is_ours: Callable[[str], bool]) -> App:
    """Wrap the application.

    Where databases of others are served too, what is not a page of ours passes as it is.

    Parameters
    ----------
    app : ASGI application
    datasette : Datasette
        Asked for the prefix under which the view is served, the names it answers to, and its pages.
    is_ours : function of path
        Whether an address belongs to a page of ours; the stock table pages need inline scripts.
    """
    base = str(datasette.setting("base_url"))

    async def inner(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        path = below(scope["path"], base)
        page = is_ours(path)
        by_itself = alone(datasette)
        if not page and not by_itself:
            await app(scope, receive, send)
            return
        answer = _Answer(datasette, path, send, (_OURS if page else _STOCK) + _FRAME)
        refused = refusal(scope["method"], path, scope.get("query_string", b""))
        # Among databases of others the same file is there to read under any name: turning a name away at some
        # pages would protect nothing.
        if refused is None and by_itself and not host_allowed(host_of(scope), allowed_hosts(datasette)):
            refused = 421
        if refused is not None:
            await answer.fail(refused)
            return
        try:
            await app(scope, receive, answer.send)
        except Exception as error:
            log(f"{scope['method']} {path}", error)
            await answer.fail(500)

    return inner


class _Answer:
    """One answer on its way out: headers added, failures on our own page, CSV without formulas."""

    def __init__(self, datasette: Any, path: str, send: Send, policy: str) -> None:
        self.datasette = datasette
        self.path = path
        self.out = send
        self.policy = policy
        self.started = False
        self.failed = 0  # status of a failure whose body is swallowed
        self.csv: QuietCsv | None = None

    async def send(self, message: dict[str, Any]) -> None:
        """Pass a message of the application on."""
        if message["type"] == "http.response.start":
            await self._start(message)
        elif message["type"] != "http.response.body" or not (self.failed or self.csv):
            await self.out(message)
        elif self.failed:
            if not message.get("more_body"):
                await self.fail(self.failed)
        elif self.csv is not None:
            last = not message.get("more_body", False)
            body = self.csv.feed(message.get("body", b""), last=last)
            await self.out({**message, "body": body})

    async def _start(self, message: dict[str, Any]) -> None:
        headers = [(name.lower(), value) for name, value in message.get("headers", [])]
        named = dict(headers)
        # What fails elsewhere (stock pages, other plugins) is said on our own page.
        if message["status"] >= 400 and OWN not in named:
            self.failed = message["status"]
            return
        drop = {OWN} if getattr(self.datasette, "cors", False) else {OWN, b"access-control-allow-origin"}
        if self.path.endswith(".csv") or named.get(b"content-type", b"").startswith(b"text/csv"):
            self.csv = QuietCsv()
            drop |= {b"content-length"}  # it may grow by some apostrophes
        ours = self._headers()
        drop |= {name for name, _ in ours}
        kept = [(name, value) for name, value in headers if name not in drop]
        self.started = True
        await self.out({**message, "headers": [*kept, *ours]})

    async def fail(self, status: int) -> None:
        """Answer with our own page, unless something was sent already."""
        if self.started:
            return
        self.started, self.failed = True, 0
        if self.path.endswith(".json"):
            kind, body = JSON, error_json(status)
        else:
            kind, body = HTML, await error_page(self.datasette, status)
        headers = [(b"content-type", kind.encode()), *self._headers(_OURS + _FRAME)]
        if status == 405:
            headers.append((b"allow", b"GET, HEAD"))
        await self.out({"type": "http.response.start", "status": status, "headers": headers})
        await self.out({"type": "http.response.body", "body": body})

    def _headers(self, policy: str = "") -> list[tuple[bytes, bytes]]:
        return safe_headers(policy or self.policy, cors=bool(getattr(self.datasette, "cors", False)))


def safe_headers(policy: str = _OURS + _FRAME, *, cors: bool = False) -> list[tuple[bytes, bytes]]:
    """What every answer tells the browser not to do with it.

    Parameters
    ----------
    policy : str
        Content policy; that of our own pages unless given.
    cors : bool
        Whether pages of other addresses may use what is served here.
    """
    return [
        (b"content-security-policy", policy.encode()),
        (b"x-content-type-options", b"nosniff"),
        (b"x-frame-options", b"DENY"),
        (b"referrer-policy", b"no-referrer"),
        (b"permissions-policy", b"camera=(), geolocation=(), microphone=()"),
        (b"cross-origin-opener-policy", b"same-origin"),
        (b"cross-origin-resource-policy", b"cross-origin" if cors else b"same-origin"),
    ]


def host_of(scope: Scope) -> str:
    """The name in the address that was asked for."""
    for name, value in scope.get("headers", []):
        if name.lower() == b"host":
            return str(value.decode("latin-1"))
    return ""


def host_allowed(host: str, allowed: frozenset[str]) -> bool:
    """Whether the view answers to the name in an address.

    A page on the internet can give its own name this machine's address and then read what is served here as
    if it were its own. It cannot do that with an address in figures, nor with `localhost`.

    Parameters
    ----------
    host : str
        As the browser sent it, with a port or without.
    allowed : frozenset of str
        Further names; ``*`` allows every one.
    """
    name = host.strip().lower()
    if name.startswith("["):
        name = name[1:].partition("]")[0]
    elif name.count(":") == 1:
        name = name.partition(":")[0]
    name = name.rstrip(".")
    if "*" in allowed or name in allowed or name == "localhost" or name.endswith(".localhost"):
        return True
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def allowed_hosts(datasette: Any) -> frozenset[str]:
    """Further names the view answers to: given to `serve`, or as `hosts` in the settings of this plugin."""
    given = getattr(datasette, "handling_hosts", None)
    if given is None:
        given = (datasette.plugin_config("handling_db") or {}).get("hosts", ())
    return frozenset(str(name).lower() for name in ([given] if isinstance(given, str) else given))


def refusal(method: str, path: str, query: bytes) -> int | None:
    """The status with which a request is turned away, or None to let it pass."""
    if method not in {"GET", "HEAD"}:
        return 405
    if len(query) > MAX_QUERY or len(path) > MAX_PATH:
        return 414
    if "\x00" in path or b"%00" in query.lower():
        return 400
    if path.startswith("/-/static") and any(len(step.encode()) > MAX_FILE for step in path.split("/")):
        return 404  # the system itself fails on so long a name, instead of finding no such file
    bare = path.split(".")[0].rstrip("/").lower()
    if bare in CLOSED:
        return 404
    names = {part.split(b"=")[0].decode("ascii", "replace").lower() for part in query.split(b"&")}
    if any(name == bad or name.startswith(f"{bad}_") for name in names for bad in _REFUSED_NAMES):
        return 400
    return None
