"""Help: every command has it, with an example; the page in docs is made from it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from handling_db import __version__
from handling_db.cli import COMMANDS, contents, main
from tests.cli.conftest import Run
from tests.cli.write_commands import PAGE, help_pages, text

PAGES = dict(help_pages(main, "handling-db"))


@pytest.mark.parametrize("title", sorted(PAGES))
def test_help_has_an_example_of_itself(title: str) -> None:
    assert "Example:" in PAGES[title]
    assert f"{title} " in PAGES[title].split("Example:")[1] or title == "handling-db"


def test_page_in_docs_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == text()


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_overview_names_every_command_with_its_line(run: Run, name: str) -> None:
    result = run("--help")
    assert result.exit_code == 0
    assert name in result.stdout
    assert COMMANDS[name][1] in " ".join(result.stdout.split())


def test_overview_is_a_table_of_contents(run: Run) -> None:
    """Every command once, under a heading; the five that matter first."""
    listed = [name for _, names in contents() for name in names]
    assert sorted(listed) == sorted(COMMANDS)
    text = run("--help").stdout
    headings = [line.rstrip(":") for line in text.splitlines() if line.endswith(":") and line[0] != " "]
    assert [one for one in headings if one in dict(contents())] == [heading for heading, _ in contents()]
    assert contents()[0] == ("Asked most", ["weight", "lift", "joint", "reading", "move"])


def test_version(run: Run) -> None:
    assert run("--version").stdout == f"handling-db {__version__}\n"


def test_wrong_command_suggests_the_near_one(run: Run) -> None:
    result = run("wieght", "x")
    assert result.exit_code == 2
    assert "Did you mean 'weight'?" in result.stderr


def test_overview_imports_nothing_heavy() -> None:
    """`--help` must start fast: no record models, no server, no numbers library."""
    code = (
        "import sys\n"
        "from handling_db.cli import main\n"
        "try:\n    main(['--help'], standalone_mode=False)\nexcept SystemExit:\n    pass\n"
        "heavy = {'pydantic', 'datasette', 'numpy', 'pint', 'sqlite_utils', 'yaml', 'scipy', 'highspy'} & set(sys.modules)\n"
        "sys.exit(f'heavy imports: {heavy}' if heavy else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_look_up_imports_nothing_heavy(demo_db: object) -> None:
    """The look-up of a stored answer needs neither the record models nor the server."""
    code = (
        "import sys\n"
        "from handling_db.cli import main\n"
        f"main(['weight', 'transfer-box', '--db', {str(demo_db)!r}], standalone_mode=False)\n"
        "heavy = {'pydantic', 'datasette', 'numpy', 'pint', 'sqlite_utils', 'yaml', 'scipy', 'highspy'} & set(sys.modules)\n"
        "heavy |= {'difflib', 'hashlib', 'tempfile', 'traceback'} & set(sys.modules)\n"
        "heavy |= {'pathlib', 'dataclasses', 'urllib', 'copy'} & set(sys.modules)\n"
        "heavy |= {'handling_db.lookup.listings', 'handling_db.lookup.as_json', 'handling_db.lookup.meant',\n"
        "  'handling_db.database.queries.another_build', 'handling_db.database.queries.lists',\n"
        "  'handling_db.quantities.mass', 'handling_db.quantities.quantity'} & set(sys.modules)\n"
        "sys.exit(f'heavy imports: {heavy}' if heavy else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
