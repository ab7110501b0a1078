"""``handling-db serve``: the read-only view."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import PATH, database_option, one_there_is, own_database
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.web.service.place import ServedAt


@click.command()
@database_option
@click.option(
    "--collection",
    "collections",
    multiple=True,
    metavar="NAME=FILE",
    help="Serve this database file under /NAME/; repeat for more. The start page lists them.",
)
@click.option(
    "--watch",
    "watched",
    multiple=True,
    metavar="PATH",
    type=PATH,
    help="Build the file from these records and tables, and over it whenever one is saved. Repeat for more.",
)
@click.option("--port", type=click.IntRange(0, 65535), default=8001, show_default=True)
@click.option(
    "--lan", is_flag=True, help="Let others on this network read; prints the address and a QR code."
)
@click.option(
    "--host",
    "hosts",
    multiple=True,
    metavar="HOST",
    help="An address in figures: listen there (0.0.0.0 for the whole network, as --lan). A name, such as "
    "shop-pc.local: answer to it too; otherwise it answers to localhost and to addresses in figures only. "
    "Repeat for more.",
)
@click.option(
    "--base-url",
    default="",
    metavar="PREFIX",
    help="Prefix of every address, such as /weights/, behind another server.",
)
@click.option(
    "--public-url",
    default="",
    metavar="URL",
    help="The address that others use, such as https://bench.example/weights/. Codes on crate tags lead "
    "there; its name is answered to and its path is the prefix.",
)
@click.option(
    "--processes",
    type=click.IntRange(1, 64),
    metavar="N",
    help="So many processes answer at once. Unless given one for each processor, up to four; on other "
    "systems than Linux one.",
)
@click.option("--cors", is_flag=True, help="Let pages of other addresses read it in a browser.")
def command(
    database: str | None,
    collections: tuple[str, ...],
    watched: tuple[Path, ...],
    hosts: tuple[str, ...],
    processes: int | None,
    **how: Any,
) -> None:
    """Serve a database file as a read-only view for browser and phone.

    Listens on this machine only, unless --lan or --host says otherwise: then anyone on the network can read.
    Nothing can be changed through it. Whoever can read it can download the whole database. A file that is
    built anew is shown from the next request on; nothing has to be started again.

    \b
    Example:
      handling-db serve
      handling-db serve --db handling.db --lan
      handling-db serve --watch my-records
      handling-db serve --collection bench=bench.db --collection demo=demo.db
      handling-db serve --public-url https://bench.example/weights/ --port 8009
    """
    if database is not None and collections:
        raise click.UsageError("--db serves one file, --collection several; give the one or the other")
    if watched and collections:
        raise click.UsageError(
            "--watch builds one file; serve it by --db or as your own, not by --collection"
        )
    from handling_db.web.service.place import read_place

    place = read_place(hosts, **how)
    if collections:
        serve(_named(collections), place, processes)
    elif watched:
        serve({"": Path(database) if database is not None else own_database()}, place, processes, watched)
    else:
        serve({"": Path(database) if database is not None else one_there_is()}, place, processes)


def _named(collections: tuple[str, ...]) -> dict[str, Path]:
    found: dict[str, Path] = {}
    for text in collections:
        name, sign, file = text.partition("=")
        if not (name and sign and file):
            raise HandlingError(f"--collection {text!r}: write NAME=FILE, such as bench=bench.db")
        if name in found:
            raise HandlingError(f"--collection: {name!r} names two files, {found[name]} and {file}")
        found[name] = Path(file)
    return found


def serve(
    databases: Mapping[str, Path],
    place: ServedAt,
    processes: int | None = None,
    watched: tuple[Path, ...] = (),
) -> None:
    """Say the address and serve until stopped.

    Parameters
    ----------
    databases : mapping of name to file
        One without a name, or several with names.
    place : ServedAt
    processes : int, optional
        That serve; as many as `usual_processes` says unless given.
    watched : tuple of Path
        Records and tables that the file without a name is built from whenever one of them is saved.

    Raises
    ------
    HandlingError
        More than one process where the system has no fork; what `run` raises.
    """
    import os

    from handling_db.web.service.processes import one_thread_each, usual_processes

    count = usual_processes() if processes is None else processes
    if count > 1:
        if not hasattr(os, "fork"):
            raise HandlingError(
                f"--processes {count}: one process serves on a system without fork; leave it out"
            )
        one_thread_each()
    from handling_db.web.service.run import Service, run

    def say(text: str) -> None:
        click.echo(text, err=True)

    rebuilding = None
    if watched:
        from handling_db.web.service.rebuilding import Rebuilding

        rebuilding = Rebuilding(watched, databases[""], say)
    run(Service(databases, place, count, rebuilding), say)
