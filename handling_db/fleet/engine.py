"""The engine: DuckDB, loaded when first asked for, bounded in memory, and never reaching out for anything."""

from __future__ import annotations

import contextlib
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from handling_db.errors import HandlingError

MISSING = (
    "tables for a fleet are written and added up by DuckDB, which is not installed here; "
    "install it with: pip install 'handling-db[fleet]'"
)
_MEMORY = re.compile(r"\d+(\.\d+)?\s*(MB|GB|TB|MiB|GiB|TiB)", re.IGNORECASE)


class Engine(Protocol):
    """Whatever takes a statement and gives rows: the roll-up asks for no more than this."""

    def execute(self, statement: str, /) -> Any:
        """Run one statement; what comes back has ``fetchall()``."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """What the engine may use.

    Parameters
    ----------
    memory : str
        Such as ``2GB``; what does not fit is written to disk.
    threads : int
    spill : Path, optional
        Folder to write to; otherwise the system's own for temporary files.
    """

    memory: str = "1GB"
    threads: int = 2
    spill: Path | None = None


@contextlib.contextmanager
def opened(bounds: Bounds) -> Iterator[Any]:
    """A DuckDB connection of its own, gone with all it wrote when left.

    Raises
    ------
    HandlingError
        DuckDB is not installed; the bounds cannot be kept; it ran out of memory or disk.
    """
    try:
        import duckdb
    except ImportError:
        raise HandlingError(MISSING) from None
    if not _MEMORY.fullmatch(bounds.memory.strip()):
        raise HandlingError(f"--memory: {bounds.memory!r} is no size; write such as 500MB or 2GB")
    if bounds.spill is not None and not bounds.spill.is_dir():
        raise HandlingError(f"--spill: {bounds.spill}: no such folder")
    with tempfile.TemporaryDirectory(dir=bounds.spill, prefix="handling-fleet-") as room:
        # In a file and not in memory: tables that are made on the way have somewhere to go.
        connection = duckdb.connect(str(Path(room) / "fleet.duckdb"))
        try:
            for name, value in (
                ("memory_limit", bounds.memory.strip()),
                ("threads", bounds.threads),
                ("temp_directory", str(Path(room) / "spill")),
                ("preserve_insertion_order", False),
                ("autoinstall_known_extensions", False),
                ("autoload_known_extensions", False),
            ):
                connection.execute(f"set {name} = {_literal(value)}")
            yield connection
        except duckdb.OutOfMemoryException as error:
            raise HandlingError(
                f"{bounds.memory} of memory are not enough; give more with --memory ({_first(error)})"
            ) from None
        except duckdb.IOException as error:
            raise HandlingError(f"cannot be read or written: {_first(error)}") from None
        except duckdb.InvalidInputException as error:
            raise HandlingError(f"cannot be read: {_first(error)}") from None
        finally:
            connection.close()


def as_one(connection: Any) -> None:
    """Make one transaction of all that follows: nothing of it has to survive, so no disk is waited for."""
    connection.execute("begin transaction")


def _first(error: Exception) -> str:
    return str(error).strip().splitlines()[0]


def _literal(value: object) -> str:
    if isinstance(value, bool | int):
        return str(value).lower()
    return text(str(value))


def text(value: str) -> str:
    """A text as it stands in a statement."""
    return "'" + value.replace("'", "''") + "'"


def put(connection: Any, table: str, columns: Mapping[str, Sequence[Any]], kinds: Mapping[str, str]) -> None:
    """Add rows that come as columns of one length; None is NULL.

    Parameters
    ----------
    connection : DuckDB connection
    table : str
    columns : mapping of name to values
    kinds : mapping of name to SQL type
    """
    import numpy as np

    chunk = {}
    for name, values in columns.items():
        if kinds[name] == "varchar":
            chunk[name] = np.array(values, dtype=object)
        else:  # whole numbers and yes or no as well: exact up to 2^53, and not a number where there is none
            chunk[name] = np.array([np.nan if v is None else float(v) for v in values], dtype=np.float64)
    names = ", ".join(columns)
    casts = ", ".join(
        f"cast(case when isnan({name}) then null else {name} end as {kinds[name]})"
        if kinds[name] != "varchar"
        else f"cast({name} as varchar)"
        for name in columns
    )
    connection.execute(f"insert into {table} ({names}) select {casts} from chunk")
