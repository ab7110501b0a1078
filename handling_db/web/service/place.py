"""Where the view is served: what it listens on, its prefix, and the address that others use."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlsplit

from handling_db.errors import HandlingError

_PREFIX = re.compile(r"^(/[A-Za-z0-9_.~-]+)*/?$")
_NAME = re.compile(r"^(\*|[A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9])?)$")


@dataclass(frozen=True, slots=True)
class ServedAt:
    """Where the view is served.

    Parameters
    ----------
    listen : str
        Address in figures that connections are taken at.
    port : int
        0 for any that is free.
    base_url : str
        Prefix of every address, with a slash at both ends.
    public_url : str
        Address under which others reach it, with a slash at the end; empty where none was given.
    names : frozenset of str
        Names it answers to besides ``localhost`` and addresses in figures.
    cors : bool
        Whether pages of other addresses may read it.
    """

    listen: str = "127.0.0.1"
    port: int = 8001
    base_url: str = "/"
    public_url: str = ""
    names: frozenset[str] = frozenset()
    cors: bool = False

    @property
    def for_others(self) -> bool:
        """Whether other machines can reach it."""
        return not ipaddress.ip_address(self.listen).is_loopback


def read_place(
    hosts: Sequence[str], *, port: int, lan: bool, base_url: str, public_url: str, cors: bool = False
) -> ServedAt:
    """Read what was asked for.

    Parameters
    ----------
    hosts : sequence of str
        At most one address in figures, to listen on, and names to answer to.
    port : int
    lan : bool
        Listen to the whole network.
    base_url, public_url : str
        Empty where not given. The path of the public address is the prefix unless one is given.
    cors : bool

    Raises
    ------
    HandlingError
        A host, prefix or address that cannot be; a prefix that is not the path of the public address.
    """
    figures = [host for host in hosts if _is_figures(host)]
    names = [host for host in hosts if not _is_figures(host)]
    for name in names:
        if _NAME.match(name) is None:
            raise HandlingError(
                f"--host {name!r} is neither a name, such as shop-pc.local, nor an address in figures, "
                "such as 0.0.0.0"
            )
    if len(figures) > 1:
        raise HandlingError(f"--host: it listens on one address, not on {' and '.join(figures)}")
    public = _public(public_url) if public_url else ""
    path = urlsplit(public).path
    if public and base_url and _prefix(base_url) != path:
        raise HandlingError(
            f"--base-url {base_url} is not the path of --public-url {public_url}: every link would lead "
            "elsewhere; leave --base-url out, or give both the same path"
        )
    if public:
        names.append(str(urlsplit(public).hostname))
    return ServedAt(
        listen=figures[0].strip("[]") if figures else "0.0.0.0" if lan else "127.0.0.1",
        port=port,
        base_url=_prefix(base_url) if base_url else path or "/",
        public_url=public,
        names=frozenset(name.lower() for name in names),
        cors=cors,
    )


def _is_figures(host: str) -> bool:
    try:
        ipaddress.ip_address(host.strip("[]"))
    except ValueError:
        return False
    return True


def _prefix(text: str) -> str:
    if _PREFIX.match(text) is None or "/../" in f"{text}/" or "/./" in f"{text}/":
        raise HandlingError(f"--base-url {text!r} is no prefix; write it like /weights/")
    return text if text.endswith("/") else f"{text}/"


def _public(text: str) -> str:
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        parts, port = urlsplit(""), None
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.query or parts.fragment:
        raise HandlingError(
            f"--public-url {text!r} is no address that others can open; write it like "
            "https://bench.example/weights/"
        )
    if parts.username is not None or parts.password is not None:
        raise HandlingError("--public-url: a password in it would stand on every tag; leave it out")
    if only_here(parts.hostname):
        raise HandlingError(
            f"--public-url {text!r} leads everyone to their own machine; give the address that others use"
        )
    host = f"[{parts.hostname}]" if ":" in parts.hostname else parts.hostname
    return f"{parts.scheme}://{host}{f':{port}' if port else ''}{_prefix(parts.path or '/')}"


def only_here(host: str) -> bool:
    """Whether a host, with a port or without, means on every machine that machine itself."""
    name = host.strip().lower()
    if name.startswith("["):
        name = name[1:].partition("]")[0]
    elif name.count(":") == 1:
        name = name.partition(":")[0]
    name = name.rstrip(".")
    if name == "localhost" or name.endswith(".localhost") or not name:
        return True
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return False
    return address.is_loopback or address.is_unspecified
