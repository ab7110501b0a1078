"""A database file behind Datasette, with the careful settings."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError

SETTINGS: dict[str, Any] = {
    "default_allow_sql": False,
    "suggest_facets": False,
    "allow_facet": True,
    "allow_csv_stream": True,
    "allow_download": True,
    "sql_time_limit_ms": 3000,  # by the clock: many who ask at once shall not run into it
    "max_returned_rows": 1000,
    "default_page_size": 50,
    "max_csv_mb": 10,
    "default_cache_ttl": 0,  # a browser that kept a table would go on showing the old figures
    "truncate_cells_html": 0,
}


def metadata_file() -> Path:
    """The titles, column texts and canned queries of the stock pages."""
    package = Path(__file__).resolve().parent.parent
    for file in (package / "_data" / "metadata.yml", package.parent / "metadata.yml"):
        if file.is_file():
            return file
    raise HandlingError("metadata.yml, which comes with the program, is not there; install it again")


def application(
    database: Path,
    *,
    base_url: str = "/",
    hosts: Iterable[str] = (),
    cors: bool = False,
    public_url: str = "",
) -> Any:
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
    public_url : str
        Address under which others reach it, with a slash at the end; empty where none is known.

    Raises
    ------
    HandlingError
        The file is not there or was not built by this program.
    """
    import yaml
    from datasette.app import Datasette
    from datasette.database import Database

    from handling_db.database.queries import open_database, stamp
    from handling_db.web.compiled import OF_STOCK_PAGES

    class Counting(Database):  # type: ignore[misc]
        """The stock one, silent where an index of fragments cannot be counted: it tries each table."""

        async def execute(self, sql: str, *given: Any, **more: Any) -> Any:
            """As the stock one."""
            if sql.startswith("select count(*) from [") and sql.endswith("_fragments]"):
                more["log_sql_errors"] = False
            return await super().execute(sql, *given, **more)

    connection = open_database(database)
    loader = getattr(
        yaml, "CSafeLoader", yaml.SafeLoader
    )  # the one in C starts a view a tenth of a second sooner
    metadata = yaml.load(metadata_file().read_text(encoding="utf-8"), loader)
    metadata["databases"]["handling"]["source"] = stamp(connection).told  # at the foot of the stock pages
    connection.close()
    served = Datasette([], metadata=metadata, settings={**SETTINGS, "base_url": base_url}, cors=cors)
    served.jinja_env.bytecode_cache = OF_STOCK_PAGES
    served.remove_database("_memory")  # added by itself where no file is named; there is nothing in it
    served.handling_hosts = frozenset(hosts)
    served.handling_public = public_url
    served.add_database(Counting(served, path=str(database), is_mutable=False), name="handling")
    return served
