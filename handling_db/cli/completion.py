"""Completion of names in the shell: ids of the database that a command would read, the likeliest first."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import click
from click.shell_completion import CompletionItem

MOST = 50  # suggestions
_LOOKED_AT = 2000  # components that hold the text

Complete = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]


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


def _database(context: click.Context) -> Path | None:
    from handling_db.cli.common import demo_database, own_database

    given = context.params.get("database")
    if given is not None:
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
    found: list[CompletionItem] = []
    for kind in kinds:
        if kind == "component":
            found += [CompletionItem(code, help=name) for code, name in _components(connection, typed)]
            continue
        rows = connection.execute("select code from record where kind = ? order by code", (kind,)).fetchall()
        codes = [str(code) for (code,) in rows if typed.casefold() in str(code).casefold()]
        begins = [code for code in codes if code.casefold().startswith(typed.casefold())]
        found += [CompletionItem(code, help=kind) for code in begins or codes]
    return found[:MOST]


def _components(connection: sqlite3.Connection, typed: str) -> list[tuple[str, str]]:
    wanted = " ".join(typed.casefold().split())
    held = f"%{wanted.replace('%', '').replace('_', '')}%"
    rows = connection.execute(
        "select code, name, coalesce(also_called, ''), height, "
        "not exists (select 1 from usage where usage.child = component.id) from component "
        "where lower(code || char(10) || name || char(10) || coalesce(also_called, '')) like ? limit ?",
        (held, _LOOKED_AT),
    ).fetchall()
    rated = []
    for code, name, also_called, height, whole in rows:
        known = [one.casefold() for one in (code, name, *also_called.split("\n")) if one]
        fit = min((_fit(one, wanted) for one in known), default=3)
        if fit < 3:
            rated.append((fit > 0 and bool(wanted), not whole, fit, -height, code, name))
    return [(code, name) for *_, code, name in sorted(rated)]


def _fit(name: str, typed: str) -> int:
    """0 is what was typed, 1 begins so, 2 has a word that begins so, 3 none of these."""
    if name == typed:
        return 0
    if name.startswith(typed):
        return 1
    words = name.replace("-", " ").split()
    return (
        2 if any(" ".join(words[at:]).startswith(typed.replace("-", " ")) for at in range(len(words))) else 3
    )
