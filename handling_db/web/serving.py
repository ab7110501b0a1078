"""Serving a database file with the careful settings, on this machine or, when asked, on the local network."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError

SETTINGS: dict[str, Any] = {
    "default_allow_sql": False,
    "suggest_facets": False,
    "allow_facet": True,
    "allow_csv_stream": True,
    "allow_download": True,
    "sql_time_limit_ms": 1000,
    "max_returned_rows": 1000,
    "default_page_size": 50,
    "max_csv_mb": 10,
    "default_cache_ttl": 60,
    "truncate_cells_html": 0,
}


def metadata_file() -> Path:
    """The titles, column texts and canned queries of the stock pages."""
    package = Path(__file__).resolve().parent.parent
    for file in (package / "_data" / "metadata.yml", package.parent / "metadata.yml"):
        if file.is_file():
            return file
    raise HandlingError("metadata.yml, which comes with the program, is not there; install it again")


def application(database: Path, *, base_url: str = "/", hosts: Iterable[str] = (), cors: bool = False) -> Any:
    """A Datasette over one file, read-only and immutable, the database always called `handling`.

    Parameters
    ----------
    database : Path
    base_url : str
        Prefix under which it is served.
    hosts : iterable of str
        Names it answers to besides `localhost` and addresses in figures; ``*`` for every name.
    cors : bool
        Whether pages of other addresses may read it.

    Raises
    ------
    HandlingError
        The file is not there or was not built by this program.
    """
    import yaml
    from datasette.app import Datasette
    from datasette.database import Database

    from handling_db.database.queries import open_database

    open_database(database).close()
    metadata = yaml.safe_load(metadata_file().read_text(encoding="utf-8"))
    served = Datasette([], metadata=metadata, settings={**SETTINGS, "base_url": base_url}, cors=cors)
    served.remove_database("_memory")  # added by itself where no file is named; there is nothing in it
    served.handling_hosts = frozenset(hosts)
    served.add_database(Database(served, path=str(database), is_mutable=False), name="handling")
    return served


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


def run(
    database: Path,
    *,
    port: int,
    lan: bool,
    say: Callable[[str], None],
    hosts: Iterable[str] = (),
    cors: bool = False,
) -> None:
    """Serve until stopped.

    Raises
    ------
    HandlingError
        The port is taken, or the file cannot be served.
    """
    import uvicorn

    served = application(database, hosts=hosts, cors=cors)
    host = "0.0.0.0" if lan else "127.0.0.1"
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except OSError:
        listening.close()
        raise HandlingError(f"port {port} is taken; give another with --port") from None
    address = f"http://{local_address() if lan else '127.0.0.1'}:{listening.getsockname()[1]}/"
    say(f"Read it at {address} (Ctrl-C stops it; nothing can be changed through it)")
    say(f"Whoever can read it can download the whole database: {address}handling.db")
    if cors:
        say("Pages of any other address may read it, in the browser of whoever can reach it.")
    if lan:
        say("Anyone on this network can read it while it runs.")
        say(qr_text(address))
    config = uvicorn.Config(served.app(), log_level="warning", lifespan="on")
    try:
        uvicorn.Server(config).run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        listening.close()


def qr_text(address: str) -> str:
    """A QR code for the terminal, dark on light."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="m").terminal(out=out, compact=True)
    return out.getvalue()
