"""The folders of a fleet: what stands in each, and all of them together as one set of tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.fleet.engine import as_one, text
from handling_db.fleet.roll_up import count_of, prepare
from handling_db.fleet.sound import PARTS_OF_ANY, all_sound, unsound
from handling_db.fleet.tables import COLUMNS, file_of


@dataclass(frozen=True, slots=True)
class FleetShop:
    """One collection of the fleet."""

    id: str
    stamp: str
    folder: Path
    nodes: int


def lay_out(connection: Any, folders: Sequence[Path]) -> tuple[FleetShop, ...]:
    """Make the tables of all folders ready under their names.

    Parameters
    ----------
    connection : DuckDB connection
    folders : sequence of Path
        Each written by ``export --parquet``.

    Raises
    ------
    HandlingError
        A folder lacks a table or a column, its tables are of two exports, or two folders are of one shop; all
        that is wrong at once.
    """
    at_once = _all_as_they_should(connection, folders)
    if at_once is not None:
        as_one(connection)
        return at_once
    shops = _one_by_one(connection, folders)
    _name_tables(connection, folders)
    as_one(connection)
    return shops


def lay_out_numbered(connection: Any, folders: Sequence[Path]) -> tuple[FleetShop, ...]:
    """The same, with nodes, lines and masses numbered on from shop to shop.

    Raises
    ------
    HandlingError
        As `lay_out`.
    """
    shops = lay_out(connection, folders)
    prepare(connection)
    if count_of(connection, PARTS_OF_ANY):
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


def _all_as_they_should(connection: Any, folders: Sequence[Path]) -> tuple[FleetShop, ...] | None:
    """The shops of all folders, looked at together; None where something is wrong with any of them."""
    import duckdb

    if not all((folder / file_of(table)).is_file() for folder in folders for table in COLUMNS):
        return None
    said: dict[Path, set[tuple[str, str]]] = {folder: set() for folder in folders}
    if len(said) != len(folders):
        return None
    try:
        for table, columns in COLUMNS.items():
            files = _files(table, folders)
            there = {
                (str(file), str(name), str(kind).lower())
                for file, name, kind in connection.execute(
                    f"select file_name, name, duckdb_type from parquet_schema({files})"
                ).fetchall()
            }
            wanted = {
                (str(folder / file_of(table)), name, kind) for folder in folders for name, kind in columns
            }
            if not wanted <= there:
                return None
            for file, shop, stamp in connection.execute(
                f"select distinct filename, shop, stamp from read_parquet({files}, filename = true)"
            ).fetchall():
                said[Path(str(file)).parent].add((str(shop), str(stamp)))
        if any(len(one) != 1 for one in said.values()):
            return None
        shops = {folder: next(iter(one)) for folder, one in said.items()}
        if len({shop for shop, _ in shops.values()}) != len(folders):
            return None
        _name_tables(connection, folders)
        names = f"read_parquet({_files('names', folders)}, file_row_number = true)"
        gaps = connection.execute(f"select count(*) from {names} where node is distinct from file_row_number")
        if gaps.fetchone() != (0,) or not all_sound(connection):
            return None
        nodes = dict(connection.execute("select shop, count(*) from names group by shop").fetchall())
        if nodes.keys() != {shop for shop, _ in shops.values()}:
            return None
    except duckdb.Error:  # which file it is, is found one by one
        return None
    return tuple(FleetShop(shop, stamp, folder, nodes[shop]) for folder, (shop, stamp) in shops.items())


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
