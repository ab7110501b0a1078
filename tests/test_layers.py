"""Imports go one way: values, records, calculations, store, faces; and calculations stay pure."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import handling_db

PACKAGE = Path(handling_db.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))

VALUES = 0
LAYERS = {"records": 1, "calc": 2, "store": 3, "web": 4, "cli": 4}

# Calculations read no files, no clock and no database, and draw nothing.
IMPURE_MODULES = {
    "asyncio", "click", "datasette", "glob", "io", "os", "pathlib", "random", "shutil", "socket", "sqlite3",
    "sqlite_utils", "subprocess", "tempfile", "time", "urllib", "yaml",
}  # fmt: skip
IMPURE_CALLS = {"open", "print", "input", "exec", "eval", "__import__"}
CLOCK = {"today", "now", "utcnow", "perf_counter", "monotonic"}


def name_of(path):
    return ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")


def layer(module):
    """The layer of a module of ours, by the room it is in."""
    parts = module.split(".")
    return LAYERS.get(parts[1], VALUES) if len(parts) > 1 else VALUES


def imported(tree):
    """Every module an abstract tree imports, also inside functions, with the line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"line {node.lineno}: relative imports hide the layer"
            yield node.module, node.lineno
            # `from handling_db import units` names a module, too.
            yield from ((f"{node.module}.{alias.name}", node.lineno) for alias in node.names)


def upward(path, text):
    """What a module imports from a layer above its own."""
    module = name_of(path)
    return [
        f"{module}:{line} imports {target}"
        for target, line in imported(ast.parse(text))
        if target.split(".")[0] == "handling_db" and layer(target) > layer(module)
    ]


def impurities(path, text):
    """What a calculation uses that reaches outside of it."""
    tree = ast.parse(text)
    found = [
        f"{name_of(path)}:{line} imports {target}"
        for target, line in imported(tree)
        if target.split(".")[0] in IMPURE_MODULES
    ]
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Name) and called.id in IMPURE_CALLS:
                found.append(f"{name_of(path)}:{node.lineno} calls {called.id}")
            if isinstance(called, ast.Attribute) and called.attr in CLOCK:
                found.append(f"{name_of(path)}:{node.lineno} reads the clock")
    return found


CALC = [path for path in MODULES if layer(name_of(path)) == LAYERS["calc"]]
BELOW_STORE = [path for path in MODULES if layer(name_of(path)) < LAYERS["store"]]


def test_every_room_is_known():
    rooms = {
        path.relative_to(PACKAGE).parts[0] for path in MODULES if len(path.relative_to(PACKAGE).parts) > 1
    }

    assert rooms == set(LAYERS)


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_no_module_imports_from_a_layer_above(path):
    assert upward(path, path.read_text(encoding="utf-8")) == []


def test_the_two_faces_do_not_know_each_other():
    """The command line starts the server; the pages never need the command line."""
    for path in MODULES:
        if name_of(path).startswith("handling_db.web"):
            targets = [target for target, _ in imported(ast.parse(path.read_text(encoding="utf-8")))]
            assert not [target for target in targets if target.startswith("handling_db.cli")], path


@pytest.mark.parametrize("path", CALC, ids=name_of)
def test_calculations_are_pure(path):
    assert impurities(path, path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", BELOW_STORE, ids=name_of)
def test_only_the_store_and_the_faces_know_a_database_or_a_page(path):
    targets = {t.split(".")[0] for t, _ in imported(ast.parse(path.read_text(encoding="utf-8")))}

    assert not targets & {"sqlite3", "sqlite_utils", "datasette", "click", "yaml"}


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("calc/x.py", "from handling_db.store.files import read_collection"),
        ("records/x.py", "import handling_db.calc.totals"),
        ("x.py", "from handling_db.records import fields"),
        ("store/x.py", "def f():\n    from handling_db import web\n"),
        ("records/x.py", "from handling_db import calc"),
    ],
)
def test_an_import_upward_would_be_found(module, text):
    assert upward(PACKAGE / module, text)


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
    assert impurities(PACKAGE / "calc" / "x.py", text)
