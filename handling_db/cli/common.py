"""What commands share: which database they read, how JSON and columns are printed."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from handling_db.cli.parameters import PathType
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from pathlib import Path

    from handling_db.serialise import Answer
    from handling_db.sharing.marked import Marks

FILE = PathType("file", dir_okay=False)
FOLDER = PathType("directory", file_okay=False)
PATH = PathType("path")

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


_FILE = "handling.db"


def _folder() -> str:
    if os.environ.get("HANDLING_DB_HOME"):
        return os.environ["HANDLING_DB_HOME"]
    if os.environ.get("XDG_DATA_HOME"):
        return os.path.join(os.environ["XDG_DATA_HOME"], "handling_db")
    return click.get_app_dir("handling_db", roaming=False, force_posix=False)


def _is_there(file: str) -> bool:
    try:
        os.stat(file)
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def user_folder() -> Path:
    """Where a person's own database stands unless they say otherwise."""
    from pathlib import Path  # a look-up starts without

    return Path(_folder())


def own_database() -> Path:
    """The file that `build` writes and the look-ups read unless told otherwise."""
    return user_folder() / _FILE


def demo_database() -> Path:
    """The file that `demo` writes."""
    return user_folder() / "demo" / _FILE


def one_there_is() -> Path:
    """The person's own database, or the demo.

    Raises
    ------
    HandlingError
        There is neither.
    """
    for file in (own_database(), demo_database()):
        if file.exists():
            return file
    raise HandlingError(
        "there is no database yet; run 'handling-db demo', or 'handling-db build FOLDER' for your own"
    )


database_option = click.option(
    "--db",
    "database",
    type=PathType("file", as_text=True, dir_okay=False),
    help="Database file; otherwise your own, or the demo if you have none.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")


def together(*options: Callable[[Any], Any]) -> Callable[[Decorated], Decorated]:
    """Several options as one, in the order of the help."""

    def add(command: Decorated) -> Decorated:
        for option in reversed(options):
            command = option(command)
        return command

    return add


def open_named(database: str | None) -> sqlite3.Connection:
    """Open the file asked for, the person's own, or the demo, saying so on standard error.

    Raises
    ------
    HandlingError
        There is no such file.
    """
    from handling_db.database.queries import open_database

    if database is not None:
        return open_database(database)
    own, demo = os.path.join(_folder(), _FILE), os.path.join(_folder(), "demo", _FILE)
    if _is_there(own):
        return open_database(own)
    if _is_there(demo):
        click.echo("(demo collection; everything in it is invented)", err=True)
        return open_database(demo)
    raise HandlingError(
        "there is no database yet; run 'handling-db demo --no-serve', "
        "or 'handling-db build FOLDER' for your own"
    )


def first_unit_of(connection: sqlite3.Connection) -> str:
    """The unit the collection's first shop reads first; kg where no shop is recorded."""
    row = connection.execute("select first_unit from shop order by code limit 1").fetchone()
    return str(row[0]) if row else "kg"


def show(answer: Answer[Any], first: str | None, *, as_json: bool) -> None:
    """Print an answer: its words with one unit first, or its JSON; `mark` has marked it."""
    if as_json:
        print_json(answer.to_json(first=first, marked=False))
    else:
        click.echo(answer.words(first=first, marked=False))


def tell(as_json: bool, value: Callable[[], Any], lines: Callable[[], Iterable[str]]) -> None:
    """Print what was found, one way or the other."""
    if as_json:
        print_found(value())
    else:
        for line in lines():
            click.echo(line)


def print_found(value: Any) -> None:
    """Print what was found as JSON, everything in it by its form."""
    from handling_db.interface import answer_forms  # noqa: F401  # how what stands in them is written
    from handling_db.lookup.json_forms import plain, written

    print_json(plain(value, written))


def mark_from(connection: sqlite3.Connection, kind: str | None, code: str | None) -> None:
    """Mark the answer that is about to be printed with what nobody here has reviewed of what it rests on."""
    from handling_db.database.queries.origin import marks_beside

    marks = marks_beside(connection, kind, code)
    if marks is not None:
        mark(marks)


def mark(marks: Marks) -> None:
    """Print marks before an answer, or keep them for its JSON."""
    context = click.get_current_context(silent=True)
    if context is not None and context.params.get("as_json"):
        kept = context.meta.setdefault(_MARKS, {"not_reviewed": [], "waiting": []})
        for word, sentences in (("not_reviewed", marks.not_reviewed), ("waiting", marks.waiting)):
            kept[word] += [sentence for sentence in sentences if sentence not in kept[word]]
        return
    for line in marks.lines():
        click.echo(line)


def tell_left_out(words: str) -> None:
    """Print before an answer what it does not look at, or keep it for its JSON."""
    context = click.get_current_context(silent=True)
    if context is not None and context.params.get("as_json"):
        kept = context.meta.setdefault(_MARKS, {"not_reviewed": [], "waiting": []})
        kept["left_out"] = [words]
        return
    click.echo(f"! {words}.")


_MARKS = "handling_db.marks"


def print_json(value: Mapping[str, object]) -> None:
    """Print one JSON object; masses as numbers in kilograms. What was marked goes along."""
    context = click.get_current_context(silent=True)
    marked = {word: told for word, told in context.meta.get(_MARKS, {}).items() if told} if context else {}
    import json

    from handling_db.lookup.as_json import plain

    told = plain({**value, **marked})
    click.echo(json.dumps(told, indent=2, ensure_ascii=False, default=_plain))


def _plain(value: Any) -> Any:
    from fractions import Fraction

    if isinstance(value, Fraction):
        return float(value)
    raise TypeError(f"no JSON for {type(value).__name__}")
