"""The address that is listened at, and told: as text, and as a code for phones."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Callable, Iterable

from handling_db.errors import HandlingError
from handling_db.web.service.place import ServedAt


def listen(place: ServedAt) -> socket.socket:
    """A socket at the place; nobody listens at it yet.

    Raises
    ------
    HandlingError
        The port is taken, or is none of this machine's.
    """
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


def tell(place: ServedAt, port: int, names: Iterable[str], say: Callable[[str], None]) -> None:
    """Say where it is read, and what whoever reads it can do.

    Parameters
    ----------
    place : ServedAt
    port : int
    names : iterable of str
        Of the collections; one without a name stands directly under the prefix.
    say : function of a text
    """
    host = place.listen
    if ipaddress.ip_address(host).is_unspecified:
        host = local_address()
    here = f"http://{f'[{host}]' if ':' in host else host}:{port}{place.base_url}"
    address = place.public_url or here
    say(f"Read it at {address} (Ctrl-C stops it; nothing can be changed through it)")
    if place.public_url:
        say(f"It listens at {here}")
    downloads = [f"{address}{f'{name}/' if name else ''}handling.db" for name in names]
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
