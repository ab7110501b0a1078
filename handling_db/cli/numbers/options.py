"""Which records a question about the numbers is asked of: a database, or a folder."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar

import click

from handling_db.cli.common import database_option, first_unit_of, open_named
from handling_db.errors import AmbiguousNameError, HandlingError, UnknownNameError

if TYPE_CHECKING:
    from handling_db.families.build import Value
    from handling_db.records.collection import Collection

Decorated = TypeVar("Decorated", bound=Callable[..., Any])
Scope = Literal["below", "around", "whole"]


def records_options(command: Decorated) -> Decorated:
    """Add ``--from PATH`` and ``--db FILE``."""
    option = click.option(
        "--from",
        "folder",
        type=click.Path(path_type=Path),
        help="Read this folder of records (or one file) instead of a database.",
    )
    return option(database_option(command))


def state_option(default: str) -> Callable[[Decorated], Decorated]:
    """Add ``--state``."""
    return click.option(
        "--state",
        type=click.Choice(["dry", "drained", "filled"]),
        default=default,
        show_default=True,
        help="Which fluids count.",
    )


def unit_option(command: Decorated) -> Decorated:
    """Add ``--unit``."""
    return click.option(
        "--unit", type=click.Choice(["kg", "lb"]), help="Which unit comes first; both are shown."
    )(command)


def build_options(command: Decorated) -> Decorated:
    """Add ``--set PARAM=VALUE`` and ``--build NAME``."""
    sets = click.option(
        "--set", "settings", multiple=True, metavar="PARAM=VALUE", help="Another size; repeat for more."
    )
    named = click.option("--build", "build_name", metavar="NAME", help="A named build of the component.")
    return named(sets(command))


def records_of(
    folder: Path | None, database: Path | None, name: str | None, scope: Scope
) -> tuple[Collection, str | None, str]:
    """The records, the id of the component that was named, and the unit that comes first.

    Parameters
    ----------
    folder, database : Path, optional
    name : str, optional
        Without one the scope is the whole collection.
    scope : str
        What a database is asked for: the component with what is below it, with the wholes around it, or
        everything. A folder is always read whole.

    Raises
    ------
    HandlingError
        The folder has faults, both were given, or nothing goes by the name.
    """
    if folder is not None:
        if database is not None:
            raise HandlingError("write --from or --db, not both")
        collection = _read(folder)
        first = next((shop.first_unit for _, shop in sorted(collection.shops.items())), "kg")
        return collection, None if name is None else named_in(collection, name), first
    from handling_db.database import queries
    from handling_db.database.queries.collection import collection_around, whole_collection

    connection = open_named(database)
    first = first_unit_of(connection)
    if name is None:
        return whole_collection(connection), None, first
    code = queries.resolve(connection, name)
    if scope == "below":
        return queries.collection_for(connection, code), code, first
    return (
        (collection_around if scope == "around" else _everything)(connection, code),
        code,
        first,
    )


def _everything(connection: Any, _code: str) -> Collection:
    from handling_db.database.queries.collection import whole_collection

    return whole_collection(connection)


def _read(folder: Path) -> Collection:
    import datetime

    from handling_db.checker import check
    from handling_db.findings import Verdict
    from handling_db.tables.sources import read_paths

    reading = read_paths([folder])
    findings = list(reading.findings)
    if not any(finding.verdict is Verdict.FAULT for finding in findings):
        # a figure whose source is not known, or a part that is not recorded, must not go by in silence
        findings += check(reading.collection, as_of=datetime.date.today())
    faults = [str(finding) for finding in findings if finding.verdict is Verdict.FAULT]
    if faults:
        listed = "\n".join(faults)
        raise HandlingError(f"{folder} has faults, so nothing is worked out; correct them first:\n{listed}")
    return reading.collection


def named_in(collection: Collection, name: str) -> str:
    """The id of the component that goes by an id, name, alias or part number.

    Raises
    ------
    UnknownNameError, AmbiguousNameError
        None does, or several do.
    """
    import difflib

    if name in collection.components:
        return name
    wanted = " ".join(name.casefold().split())
    names: dict[str, list[str]] = {}
    for code, component in sorted(collection.components.items()):
        for text in {code, component.name, component.part_number or "", *component.also_called}:
            names.setdefault(" ".join(text.casefold().split()), []).append(code)
    found = names.get(wanted, []) if wanted else []
    if len(found) == 1:
        return found[0]
    if found:
        raise AmbiguousNameError(name, tuple((code, collection.components[code].name) for code in found))
    near = [code for text in difflib.get_close_matches(wanted, [*names], 3) for code in names[text]]
    hint = f"; did you mean: {', '.join(dict.fromkeys(near))}?" if near else ""
    raise UnknownNameError(f"there is no component {name!r}{hint}")


def settings_of(texts: Sequence[str]) -> dict[str, str]:
    """Parameter texts by name.

    Raises
    ------
    HandlingError
        A text that is not PARAM=VALUE.
    """
    given: dict[str, str] = {}
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise HandlingError(f"--set {text!r}: write PARAM=VALUE, such as discs=12")
        given[name.strip()] = value.strip()
    return given


def given_of(
    collection: Collection, code: str, settings: Sequence[str], build_name: str | None
) -> Mapping[str, Value]:
    """The values of a named build and of single settings on top of it.

    Raises
    ------
    HandlingError
        No such build or parameter, or a value it cannot take.
    """
    from handling_db.families.named_builds import given_values

    return given_values(collection.components[code], settings_of(settings), build_name)
