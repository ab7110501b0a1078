"""Serving until stopped, on this machine or, when asked, for others."""

from __future__ import annotations

import contextlib
import gc
import os
import re
import select
import signal
import socket
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.web.service.address import listen, tell
from handling_db.web.service.copies import Copies
from handling_db.web.service.front import Front
from handling_db.web.service.place import ServedAt
from handling_db.web.service.processes import BUILT, Handed, Parent, Process, end_all
from handling_db.web.service.ready import begin_to_make_ready, make_ready
from handling_db.web.service.rebuilding import Rebuilding
from handling_db.web.service.shared_copies import SharedCopies
from handling_db.web.service.watched import Watched
from handling_db.web.serving import application

_COLLECTION = re.compile(r"^[a-z0-9][a-z0-9-]{0,59}$")
# Addresses of the page that lists the collections.
_KEPT = frozenset({"start"})
_WAITING = 2048  # connections that nobody has taken yet


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
    served, trouble = _watched(databases, place, copies), []
    for watched in served.values():
        try:
            watched.begin()
        except HandlingError as error:
            trouble.append(str(error))
    if len(trouble) == len(served):
        raise HandlingError("\n".join(trouble) or "no collection was named")
    for text in trouble:  # the others are served meanwhile
        say(f"{text}. It is looked for again at each request.")
    return Front(served, place)


def _watched(databases: Mapping[str, Path], place: ServedAt, copies: Copies) -> dict[str, Watched]:
    for name in databases:
        if name and (_COLLECTION.match(name) is None or name in _KEPT):
            raise HandlingError(
                f"{name!r} cannot stand in an address: small letters, figures and hyphens, such as "
                "bench-one, and none of: " + ", ".join(sorted(_KEPT))
            )
    return {name: Watched(file, _maker(place, name), copies) for name, file in databases.items()}


def _maker(place: ServedAt, name: str) -> Callable[[Path], Any]:
    below = f"{name}/" if name else ""
    public = f"{place.public_url}{below}" if place.public_url else ""

    def make(copy: Path) -> Any:
        return application(
            copy, base_url=f"{place.base_url}{below}", hosts=place.names, cors=place.cors, public_url=public
        )

    return make


@dataclass(frozen=True, slots=True)
class Service:
    """What is served, where, and by how many.

    Parameters
    ----------
    databases : mapping of name to file
    place : ServedAt
    processes : int
        That serve.
    rebuilding : Rebuilding, optional
        Builds the file anew meanwhile.
    """

    databases: Mapping[str, Path]
    place: ServedAt
    processes: int = 1
    rebuilding: Rebuilding | None = None


def run(service: Service, say: Callable[[str], None]) -> None:
    """Serve until stopped.

    Parameters
    ----------
    service : Service
    say : function of a text

    Raises
    ------
    HandlingError
        The port is taken, no file can be served, or none can be built.
    """
    if threading.current_thread() is threading.main_thread():
        # What stops a service ends it as Ctrl-C does: the server passes the signal on when it is done, and
        # the copies would stay.
        signal.signal(signal.SIGTERM, signal.default_int_handler)
    if service.processes > 1:
        _run_several(service, say)
    else:
        _run_one(service, say)


def _run_one(service: Service, say: Callable[[str], None]) -> None:
    if service.rebuilding is not None:
        service.rebuilding.start()
    copies = Copies()
    listening = None
    try:
        served = front(service.databases, service.place, copies, say)
        listening = listen(service.place)
        tell(service.place, listening.getsockname()[1], service.databases, say)
        begin_to_make_ready()
        _serve(served, listening)
    except KeyboardInterrupt:
        pass
    finally:
        if listening is not None:
            listening.close()
        copies.close()
        if service.rebuilding is not None:
            service.rebuilding.stop()


def _run_several(service: Service, say: Callable[[str], None]) -> None:
    copies = SharedCopies()
    listening = None
    processes: list[Process] = []

    def serve(handed: socket.socket) -> None:
        served = Front(_watched(service.databases, service.place, copies), service.place)
        with copies.outliving():
            _serve(served, Handed(fileno=handed.detach()))

    try:
        if service.rebuilding is not None:
            builder = Process("The process that builds", partial(_build_on, service.rebuilding, copies))
            processes.append(builder)
            builder.start(lambda: None)
            if (told := builder.hear()) != BUILT:
                raise HandlingError(told)
        front(service.databases, service.place, copies, say)  # what has a fault is told once
        copies.forget(os.getpid())
        listening = listen(service.place)
        # What is loaded before the processes part is theirs together as long as nobody writes to it, as a
        # collection of garbage would.
        make_ready()
        gc.freeze()
        listening.listen(_WAITING)
        tell(service.place, listening.getsockname()[1], service.databases, say)
        processes += [Process("A serving process", serve, takes=True) for _ in range(service.processes)]
        Parent(listening, processes, say, copies.forget).run()
    except KeyboardInterrupt:
        if listening is None:
            raise
    finally:
        if listening is not None:
            listening.close()
        end_all(processes)
        copies.close()


def _build_on(rebuilding: Rebuilding, copies: SharedCopies, end: socket.socket) -> None:
    """Build, tell that it is done or why not, and build on until the other end closes."""

    def take_copy() -> None:
        """For all: here it is known that the new file was looked over."""
        with contextlib.suppress(HandlingError):
            copies.drop(copies.take(rebuilding.out))

    rebuilding.after = take_copy
    try:
        rebuilding.begin()
    except HandlingError as error:
        end.sendall(str(error).encode())
        return
    end.sendall(BUILT.encode())
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)  # what is being built is finished first
    with copies.outliving():
        rebuilding.look_on(lambda rest: bool(select.select([end], [], [], rest)[0]))


def _serve(served: Front, listening: socket.socket) -> None:
    import uvicorn

    # What is under way when it is stopped is ended first.
    config = uvicorn.Config(
        served,
        loop="asyncio",  # any other takes no connections that were handed over
        log_level="warning",
        lifespan="on",
        timeout_graceful_shutdown=10,
        # Somebody reads a page for longer than the usual 5 s and then taps on: no new connection for it,
        # and none that is closed just as the next question is on its way.
        timeout_keep_alive=75,
    )
    uvicorn.Server(config).run(sockets=[listening])
