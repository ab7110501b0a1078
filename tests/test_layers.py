"""Imports go one way, floor by floor from the ground up; and calculations stay pure."""

from __future__ import annotations

import ast
import functools
from pathlib import Path

import pytest

import handling_db

PACKAGE = Path(handling_db.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))
NODES = (ast.Import, ast.ImportFrom, ast.Call)

# From the ground up: a package imports only from floors below its own, or from itself. Lazy imports count.
FLOORS = (
    ("errors", "classes"),
    ("findings",),
    ("quantities",),
    ("mechanics", "formulas"),
    ("rigging",),
    ("carrying",),
    ("records",),
    ("families",),
    ("weights",),
    ("evidence",),
    ("balance",),
    ("lookup",),
    ("lifting",),
    ("moving",),
    ("shop",),
    ("jobs",),
    ("checker",),
    ("files",),
    ("tables",),
    ("sharing",),
    ("database",),
    ("loading", "serialise"),
    ("fleet",),
    ("interface",),
    ("web", "cli"),
)
FLOOR = {name: floor for floor, names in enumerate(FLOORS) for name in names}

# What works things out: no files, no clock, no database.
PURE = {name for names in FLOORS[: FLOOR["files"]] for name in names}

# Calculations read no files, no clock and no database, and draw nothing.
IMPURE_MODULES = {
    "asyncio", "click", "datasette", "glob", "io", "os", "pathlib", "random", "shutil", "socket", "sqlite3",
    "duckdb", "sqlite_utils", "subprocess", "tempfile", "time", "urllib", "yaml",
}  # fmt: skip
IMPURE_CALLS = {"open", "print", "input", "exec", "eval", "__import__"}
CLOCK = {"today", "now", "utcnow", "perf_counter", "monotonic"}


def name_of(path):
    return ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")


def room(module):
    """The package, or the module at the root, that a module of ours is in."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def allowed(module, target):
    """Whether a module may import another of ours."""
    own, other = room(module), room(target)
    if own == other or not other or not own or other not in FLOOR:  # names of the package itself: its version
        return True
    if (own, other) == ("cli", "web"):  # the command line starts the server
        return True
    return FLOOR[other] < FLOOR[own]


def nodes(text):
    """What imports or calls in a text, also inside functions."""
    return [node for node in ast.walk(ast.parse(text)) if isinstance(node, NODES)]


@functools.cache
def nodes_of(path):
    return nodes(path.read_text(encoding="utf-8"))


def imported(found):
    """Every module that is imported, with the line."""
    for node in found:
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"line {node.lineno}: relative imports hide the layer"
            yield node.module, node.lineno
            # `from handling_db import units` names a module, too.
            yield from ((f"{node.module}.{alias.name}", node.lineno) for alias in node.names)


def upward(path, found):
    """What a module imports from a layer above its own."""
    module = name_of(path)
    return [
        f"{module}:{line} imports {target}"
        for target, line in imported(found)
        if target.split(".")[0] == "handling_db" and not allowed(module, target)
    ]


def impurities(path, found):
    """What a calculation uses that reaches outside of it."""
    told = [
        f"{name_of(path)}:{line} imports {target}"
        for target, line in imported(found)
        if target.split(".")[0] in IMPURE_MODULES
    ]
    for node in found:
        if isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Name) and called.id in IMPURE_CALLS:
                told.append(f"{name_of(path)}:{node.lineno} calls {called.id}")
            if isinstance(called, ast.Attribute) and called.attr in CLOCK:
                told.append(f"{name_of(path)}:{node.lineno} reads the clock")
    return told


CALC = [path for path in MODULES if room(name_of(path)) in PURE]


def test_every_room_has_a_floor():
    rooms = {room(name_of(path)) for path in MODULES} - {""}

    assert rooms <= set(FLOOR)


@pytest.mark.slow
def test_no_module_imports_from_a_floor_above():
    assert [told for path in MODULES for told in upward(path, nodes_of(path))] == []


def test_the_two_faces_do_not_know_each_other():
    """The command line starts the server; the pages never need the command line."""
    for path in MODULES:
        if name_of(path).startswith("handling_db.web"):
            targets = [target for target, _ in imported(nodes_of(path))]
            assert not [target for target in targets if target.startswith("handling_db.cli")], path


def test_calculations_are_pure():
    assert len(CALC) > 300
    assert [told for path in CALC for told in impurities(path, nodes_of(path))] == []


def test_only_files_and_faces_know_a_database_or_a_page():
    kept_out = {"duckdb", "sqlite3", "sqlite_utils", "datasette", "click", "yaml"}
    assert [
        f"{name_of(path)}:{line} imports {target}"
        for path in CALC
        for target, line in imported(nodes_of(path))
        if target.split(".")[0] in kept_out
    ] == []


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("weights/x.py", "from handling_db.files.folders import read_collection"),
        ("records/x.py", "import handling_db.weights.totals"),
        ("records/kinds/x.py", "from handling_db.families import build"),
        ("quantities/x.py", "from handling_db.records.parts import texts"),
        ("database/x.py", "def f():\n    from handling_db import web\n"),
        ("records/x.py", "from handling_db import lifting"),
        ("mechanics/x.py", "from handling_db.formulas import tree"),
        ("web/x.py", "from handling_db.cli import common"),
    ],
)
def test_an_import_upward_would_be_found(module, text):
    assert upward(PACKAGE / module, nodes(text))


@pytest.mark.parametrize(
    "text",
    [
        "import sqlite3",
        "from pathlib import Path",
        "def f():\n    import time\n",
        "open('x')",
        "import datetime\ndatetime.date.today()",
        "import datetime\ndatetime.datetime.now(tz=None)",
        "import click.testing",
    ],
)
def test_an_impurity_would_be_found(text):
    assert impurities(PACKAGE / "weights" / "x.py", nodes(text))
