"""Completion of names in the shell: ids of the database that a command would read, the likeliest first."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from typing import TYPE_CHECKING

import click
from click.types import StringParamType

if TYPE_CHECKING:
    from pathlib import Path

    from click.shell_completion import CompletionItem

MOST = 50  # suggestions
_LOOKED_AT = 2000  # components that hold the text

# What has no record of its own.
_INSIDE = {
    "pick point": "select distinct code from pick_point order by code",
    "parameter": "select distinct name from parameter order by name",
    "kind of record": "select distinct kind from record order by kind",
}
# By the name of an argument or option, what stands there in every command that does not say otherwise.
_MEANT: dict[str, tuple[str, ...]] = {
    "job_id": ("job",),
    "shop": ("shop",),
    "before": ("shop",),
    "pallet": ("pallet",),
    "packing": ("packing",),
    "fixture": ("fixture",),
    "joint": ("joint",),
    "lift_group": ("lift group",),
    "source": ("source",),
    "weighing_id": ("weighing",),
    "component": ("component",),
    "without": ("component",),
    "unit": ("component",),
    "way": ("component",),
    "name": ("lift group", "component"),
    "names": ("component", "lift group"),
    "keep": ("component",),
    "same": ("component",),
    "head": ("pick point",),
    "tail": ("pick point",),
    "low": ("pick point",),
    "parameter": ("parameter",),
    "mover": ("mover",),
    "plan": ("job plan",),
}

Complete = Callable[[click.Context, click.Parameter, str], "list[CompletionItem]"]


def names(*kinds: str) -> Complete:
    """Complete an argument with the ids of some kinds of record.

    Whole units come first, then what begins as typed (an id, a name or an alias), then what has a word that
    does, then what holds it anywhere; a unit before its parts. Whatever goes wrong suggests nothing.

    Parameters
    ----------
    kinds : str
        ``component``, ``lift group``, ``joint`` and so on.
    """

    def complete(context: click.Context, parameter: click.Parameter, incomplete: str) -> list[CompletionItem]:
        file = _database(context)
        if file is None or not file.is_file():
            return []
        try:
            connection = sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)
            try:
                return suggestions(connection, incomplete, kinds)
            finally:
                connection.close()
        except (sqlite3.Error, OSError, ValueError):
            return []

    return complete


def complete_names(command: click.Command) -> click.Command:
    """Complete what is meant by the arguments and options of a command, where it does not say itself."""
    meant = _MEANT | getattr(command.callback, "completed", {})
    for parameter in command.params:
        kinds = meant.get(parameter.name or "")
        # words of a choice, a number or a path are completed by what they are
        if kinds and parameter._custom_shell_complete is None and isinstance(parameter.type, StringParamType):
            parameter._custom_shell_complete = names(*kinds)
    return command


def _database(context: click.Context) -> Path | None:
    from handling_db.cli.common import demo_database, own_database

    given = context.params.get("database")
    if given is not None:
        from pathlib import Path

        return Path(given)
    return own_database() if own_database().exists() else demo_database()


def suggestions(connection: sqlite3.Connection, typed: str, kinds: tuple[str, ...]) -> list[CompletionItem]:
    """What may be meant by the beginning of a name.

    Parameters
    ----------
    connection : sqlite3.Connection
    typed : str
    kinds : tuple of str
    """
    from click.shell_completion import CompletionItem

    found: list[CompletionItem] = []
    for kind in kinds:
        if kind == "component":
            found += [CompletionItem(code, help=name) for code, name in _components(connection, typed)]
            continue
        if kind in _INSIDE:
            rows = connection.execute(_INSIDE[kind]).fetchall()
        else:
            asked = "select code from record where kind = ? order by code"
            rows = connection.execute(asked, (kind,)).fetchall()
        codes = [str(code) for (code,) in rows if typed.casefold() in str(code).casefold()]
        begins = [code for code in codes if code.casefold().startswith(typed.casefold())]
        found += [CompletionItem(code, help=kind) for code in begins or codes]
    return found[:MOST]


def _components(connection: sqlite3.Connection, typed: str) -> list[tuple[str, str]]:
    from handling_db.database.queries.names import known_names
    from handling_db.lookup.meant import meant

    wanted = " ".join(typed.casefold().split())
    held = f"%{wanted.replace('%', '').replace('_', '')}%"
    known = known_names(
        connection,
        "where lower(code || char(10) || name || char(10) || coalesce(also_called, '') || char(10) "
        "|| coalesce(part_number, '')) like ? order by height desc, code limit ?",
        (held, _LOOKED_AT),
    )
    return [(one.id, one.name) for one in meant(known, typed)]
