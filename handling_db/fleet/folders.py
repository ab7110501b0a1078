"""The folders of a fleet: what stands in each, and all of them together as one set of tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from handling_db.errors import HandlingError
from handling_db.fleet.engine import as_one, text
from handling_db.fleet.roll_up import prepare
from handling_db.fleet.sound import all_sound, unsound
from handling_db.fleet.tables import COLUMNS, file_of


@dataclass(frozen=True, slots=True)
class FleetShop:
    """One collection of the fleet."""

    id: str
    stamp: str
    folder: Path
    nodes: int


def lay_out(connection: Any, folders: Sequence[Path], *, sums: bool = False) -> tuple[FleetShop, ...]:
    """Make the tables of all folders ready, with nodes, lines and masses numbered on from shop to shop.

    Parameters
    ----------
    connection : DuckDB connection
    folders : sequence of Path
        Each written by ``export --parquet``.
    sums : bool
        Add up the lines that end at single parts.

    Raises
    ------
    HandlingError
        A folder lacks a table or a column, its tables are of two exports, or two folders are of one shop; all
        that is wrong at once.
    """
    at_once = _all_as_they_should(connection, folders)
    shops = at_once or _one_by_one(connection, folders)
    _name_tables(connection, folders)
    as_one(connection)
    prepare(connection, sums=sums)
    if at_once and not all_sound(connection):
        _one_by_one(connection, folders)
    return shops


def _one_by_one(connection: Any, folders: Sequence[Path]) -> tuple[FleetShop, ...]:
    """The shop of each folder; all that is wrong with any of them is told at once."""
    faults: list[str] = []
    shops: list[FleetShop] = []
    for folder in folders:
        wrong = _lacking(connection, folder)
        faults += wrong
        if not wrong:
            found, more = _shop_of(connection, folder)
            faults += more
            shops += [found] if found else []
    first: dict[str, Path] = {}
    for shop in shops:
        if first.setdefault(shop.id, shop.folder) != shop.folder:
            faults.append(
                f"{shop.folder}: is of shop {shop.id!r}, like {first[shop.id]}; leave the older one out"
            )
    if faults:
        raise HandlingError("\n".join(faults))
    return tuple(shops)


def _name_tables(connection: Any, folders: Sequence[Path]) -> None:
    for table in COLUMNS:
        columns = ", ".join(name for name, _ in COLUMNS[table])
        connection.execute(
            f"create or replace view {table} as select {columns} from read_parquet({_files(table, folders)})"
        )


def _files(table: str, folders: Sequence[Path]) -> str:
    return f"[{', '.join(text(str(folder / file_of(table))) for folder in folders)}]"


_SCHEMA = "select file_name, name, duckdb_type from parquet_schema({files})"
# What the statistics of a Parquet file say of a column, by which the engine leaves out what need not be read
# as well: whether every row has it, its lowest and its highest value.
_STATISTICS = """
    select file_name, path_in_schema,
      min(case when stats_null_count = 0 and stats_min_value is not null and stats_max_value is not null
        then 1 else 0 end) = 1, min(stats_min_value), max(stats_max_value),
      min(try_cast(stats_min_value as bigint)), max(try_cast(stats_max_value as bigint))
    from parquet_metadata({files}) group by file_name, path_in_schema
"""
# Columns that say something in every row; of those that name a node, one that there is.
_SAID = {
    "names": ("node", "component", "build", "lists_parts", "open_list", "broken_lines"),
    "lines": ("parent", "child"),
    "masses": ("node",),
}
_NODES = ("node", "parent", "child")


class _Column(NamedTuple):
    """What a file says of one of its columns; `first` and `last` where it holds whole numbers."""

    whole: bool
    low: str
    high: str
    first: int | None
    last: int | None


def _as_it_should(table: str, of: Mapping[str, _Column], nodes: int) -> bool:
    """Whether a file is of one shop and one export, and names no node that there is not."""
    return (
        all(of[name].whole and of[name].low == of[name].high for name in ("shop", "stamp"))
        and all(of[name].whole for name in _SAID.get(table, ()))
        and all(0 <= (of[name].first or 0) <= (of[name].last or 0) < nodes for name in _NODES if name in of)
        and (table != "names" or (of["broken_lines"].first or 0) >= 0)
    )


def _all_as_they_should(connection: Any, folders: Sequence[Path]) -> tuple[FleetShop, ...] | None:
    """The shops of all folders by what their files say of themselves; None where something may be wrong.

    To read all rows for that, and to ask each folder and table by itself, would take a fifth of the roll-up.
    """
    import duckdb

    if not all((folder / file_of(table)).is_file() for folder in folders for table in COLUMNS):
        return None
    said: dict[Path, set[tuple[str, str]]] = {folder: set() for folder in folders}
    if len(said) != len(folders):
        return None
    files = f"[{', '.join(text(str(folder / file_of(table))) for folder in folders for table in COLUMNS)}]"
    nodes: dict[Path, int] = dict.fromkeys(folders, 0)
    try:
        there = {
            (str(file), str(name), str(kind).lower())
            for file, name, kind in connection.execute(_SCHEMA.format(files=files)).fetchall()
        }
        found = {
            (str(file), str(column)): _Column(*of)
            for file, column, *of in connection.execute(_STATISTICS.format(files=files)).fetchall()
        }
        for table, columns in COLUMNS.items():
            for folder in folders:
                file = str(folder / file_of(table))
                if any((file, *column) not in there for column in columns):
                    return None
                if (file, "shop") not in found:  # no row
                    continue
                of = {name: found[file, name] for name, _ in columns}
                if table == "names":
                    nodes[folder] = int(of["node"].last or 0) + 1
                if not _as_it_should(table, of, nodes[folder]):
                    return None
                said[folder].add((of["shop"].low, of["stamp"].low))
        if any(len(one) != 1 for one in said.values()) or not all(nodes.values()):
            return None
        names = f"read_parquet({_files('names', folders)}, file_row_number = true)"
        gaps = connection.execute(f"select count(*) from {names} where node is distinct from file_row_number")
        if gaps.fetchone() != (0,):
            return None
    except duckdb.Error:  # which file it is, is found one by one
        return None
    shops = tuple(FleetShop(*next(iter(said[folder])), folder, nodes[folder]) for folder in folders)
    return shops if len({shop.id for shop in shops}) == len(folders) else None


def _lacking(connection: Any, folder: Path) -> list[str]:
    if not folder.is_dir():
        return [f"{folder}: no such folder; write one with 'handling-db export --parquet FOLDER'"]
    faults = []
    for table, columns in COLUMNS.items():
        file = folder / file_of(table)
        if not file.is_file():
            faults.append(
                f"{file}: is not there; write the folder again with 'handling-db export --parquet FOLDER'"
            )
            continue
        import duckdb

        try:
            rows = connection.execute(f"describe select * from read_parquet({text(str(file))})").fetchall()
        except duckdb.Error as error:
            told = str(error).strip().splitlines()[0]
            faults.append(f"{file}: cannot be read as Parquet ({told}); write the folder again")
            continue
        there = {str(row[0]): str(row[1]).lower() for row in rows}
        for name, kind in columns:
            if name not in there:
                faults.append(f"{file}: {name}: there is no such column; write the folder again")
            elif there[name] != kind:
                faults.append(f"{file}: {name}: is {there[name]} and not {kind}; write the folder again")
    return faults


def _shop_of(connection: Any, folder: Path) -> tuple[FleetShop | None, list[str]]:
    """Whose collection it is; of one export and of one shop, or why not."""
    said: set[tuple[str, str]] = set()
    for table in COLUMNS:
        file = text(str(folder / file_of(table)))
        said |= set(connection.execute(f"select distinct shop, stamp from read_parquet({file})").fetchall())
    if not said:
        return None, [f"{folder}: holds no component"]
    if len(said) > 1:
        listed = ", ".join(f"{shop} {stamp}" for shop, stamp in sorted(said))
        return None, [f"{folder}: its tables are of several exports ({listed}); write the folder again"]
    ((shop, stamp),) = said
    names = text(str(folder / file_of("names")))
    many, last = connection.execute(f"select count(*), max(node) + 1 from read_parquet({names})").fetchone()
    if many != last:
        return None, [f"{folder}: its nodes are not numbered from 0 without a gap; write the folder again"]
    read = {table: f"read_parquet({text(str(folder / file_of(table)))})" for table in COLUMNS}
    faults = [f"{folder}: {told}; write the folder again" for told in unsound(connection, read, int(many))]
    if faults:
        return None, faults
    return FleetShop(str(shop), str(stamp), folder, int(many)), []
