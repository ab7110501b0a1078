"""``handling-db serve``: the read-only view."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import database_option, demo_database, own_database
from handling_db.errors import HandlingError


@click.command()
@database_option
@click.option("--port", type=click.IntRange(0, 65535), default=8001, show_default=True)
@click.option(
    "--lan", is_flag=True, help="Let others on this network read; prints the address and a QR code."
)
@click.option(
    "--host",
    "hosts",
    multiple=True,
    metavar="NAME",
    help="Answer to this name too, such as shop-pc.local; repeat for more. Otherwise to localhost and to "
    "addresses in figures only.",
)
@click.option("--cors", is_flag=True, help="Let pages of other addresses read it in a browser.")
def command(database: Path | None, port: int, hosts: tuple[str, ...], *, lan: bool, cors: bool) -> None:
    """Serve a database file as a read-only view for browser and phone.

    Listens on this machine only, unless --lan is given: then anyone on the network can read.
    Nothing can be changed through it. Whoever can read it can download the whole database.

    \b
    Example:
      handling-db serve
      handling-db serve --db handling.db --lan
    """
    serve(database or _one_there_is(), port=port, lan=lan, hosts=hosts, cors=cors)


def _one_there_is() -> Path:
    for file in (own_database(), demo_database()):
        if file.exists():
            return file
    raise HandlingError(
        "there is no database yet; run 'handling-db demo', or 'handling-db build FOLDER' for your own"
    )


def serve(database: Path, *, port: int, lan: bool, hosts: tuple[str, ...] = (), cors: bool = False) -> None:
    """Say the address and serve until stopped."""
    from handling_db.web.serving import run

    run(database, port=port, lan=lan, hosts=hosts, cors=cors, say=lambda text: click.echo(text, err=True))
