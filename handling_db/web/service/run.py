"""Serving until stopped, on this machine or, when asked, for others."""

from __future__ import annotations

import ipaddress
import re
import signal
import socket
import threading
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.web.service.copies import Copies
from handling_db.web.service.front import Front
from handling_db.web.service.place import ServedAt
from handling_db.web.service.ready import begin_to_make_ready
from handling_db.web.service.watched import Watched
from handling_db.web.serving import application

_COLLECTION = re.compile(r"^[a-z0-9][a-z0-9-]{0,59}$")
# Addresses of the page that lists the collections.
_KEPT = frozenset({"start"})


def front(
    databases: Mapping[str, Path], place: ServedAt, copies: Copies, say: Callable[[str], None]
) -> Front:
    """The application over one database file without a name, or several with names.

    Parameters
    ----------
    databases : mapping of name to file
    place : ServedAt
    copies : Copies
    say : function of a text
        Told which of several collections cannot be shown yet.

    Raises
    ------
    HandlingError
        A name that cannot stand in an address; no file that can be served.
    """
    served, trouble = {}, []
    for name, file in databases.items():
        if name and (_COLLECTION.match(name) is None or name in _KEPT):
            raise HandlingError(
                f"{name!r} cannot stand in an address: small letters, figures and hyphens, such as "
                "bench-one, and none of: " + ", ".join(sorted(_KEPT))
            )
        watched = Watched(file, _maker(place, name), copies)
        try:
            watched.begin()
        except HandlingError as error:
            trouble.append(str(error))
        served[name] = watched
    if len(trouble) == len(served):
        raise HandlingError("\n".join(trouble) or "no collection was named")
    for text in trouble:  # the others are served meanwhile
        say(f"{text}. It is looked for again at each request.")
    return Front(served, place)


def _maker(place: ServedAt, name: str) -> Callable[[Path], Any]:
    below = f"{name}/" if name else ""
    public = f"{place.public_url}{below}" if place.public_url else ""

    def make(copy: Path) -> Any:
        return application(
            copy, base_url=f"{place.base_url}{below}", hosts=place.names, cors=place.cors, public_url=public
        )

    return make


def run(databases: Mapping[str, Path], place: ServedAt, say: Callable[[str], None]) -> None:
    """Serve until stopped.

    Parameters
    ----------
    databases : mapping of name to file
    place : ServedAt
    say : function of a text

    Raises
    ------
    HandlingError
        The port is taken, or no file can be served.
    """
    import uvicorn

    copies = Copies()
    listening = None
    if threading.current_thread() is threading.main_thread():
        # What stops a service ends it as Ctrl-C does: the server passes the signal on when it is done, and
        # the copies would stay.
        signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        served = front(databases, place, copies, say)
        listening = _listen(place)
        _tell(place, listening.getsockname()[1], databases, say)
        begin_to_make_ready()
        # What is under way when it is stopped is ended first.
        config = uvicorn.Config(
            served,
            log_level="warning",
            lifespan="on",
            timeout_graceful_shutdown=10,
            # Somebody reads a page for longer than the usual 5 s and then taps on: no new connection for it,
            # and none that is closed just as the next question is on its way.
            timeout_keep_alive=75,
        )
        uvicorn.Server(config).run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        if listening is not None:
            listening.close()
        copies.close()


def _listen(place: ServedAt) -> socket.socket:
    six = ipaddress.ip_address(place.listen).version == 6
    # The protocol is named so that the loop sends each piece of an answer at once: otherwise what follows the
    # head waits for the browser's acknowledgement, 40 ms on a connection kept open.
    family = socket.AF_INET6 if six else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((place.listen, place.port))
    except OSError as error:
        listening.close()
        import errno

        if error.errno == errno.EADDRINUSE:
            raise HandlingError(f"port {place.port} is taken; give another with --port") from None
        raise HandlingError(
            f"cannot listen at {place.listen} port {place.port}: {error.strerror or error}"
        ) from None
    return listening


def _tell(place: ServedAt, port: int, databases: Mapping[str, Path], say: Callable[[str], None]) -> None:
    host = place.listen
    if ipaddress.ip_address(host).is_unspecified:
        host = local_address()
    here = f"http://{f'[{host}]' if ':' in host else host}:{port}{place.base_url}"
    address = place.public_url or here
    say(f"Read it at {address} (Ctrl-C stops it; nothing can be changed through it)")
    if place.public_url:
        say(f"It listens at {here}")
    downloads = [f"{address}{f'{name}/' if name else ''}handling.db" for name in databases]
    whole = "the whole database" if len(downloads) == 1 else "every whole database"
    say(f"Whoever can read it can download {whole}: {', '.join(downloads)}")
    if place.cors:
        say("Pages of any other address may read it, in the browser of whoever can reach it.")
    if place.for_others:
        say("Anyone on this network can read it while it runs.")
        say(qr_text(address))


def local_address() -> str:
    """This machine's address on its network, as far as it can be told without sending anything."""
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(("192.0.2.1", 9))  # a documentation address (RFC 5737); UDP connect sends nothing
        return str(probe.getsockname()[0])
    except OSError:
        return "127.0.0.1"
    finally:
        probe.close()


def qr_text(address: str) -> str:
    """A QR code for the terminal, dark on light."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="m").terminal(out=out, compact=True)
    return out.getvalue()
