"""A quick start: what is loaded, when garbage is collected, and that nobody notices."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path

import pytest

from handling_db.cli.starting import LATE


def alone(code: str) -> str:
    """What a process of its own prints that starts as the command does."""
    start = "import gc, sys\nfrom handling_db.cli import main\n"
    done = subprocess.run([sys.executable, "-c", start + code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_look_up_of_a_part_loads_little(demo_db: Path) -> None:
    """Whatever is not in the standard library's own start and is not needed by click."""
    told = alone(
        f"main(['weight', 'parking-brake-caliper', '--db', {str(demo_db)!r}], standalone_mode=False)\n"
        "print(sorted({'ast', 'copy', 'dataclasses', 'decimal', 'dis', 'fractions', 'hashlib', 'locale', 'pathlib', 'urllib', 'numbers'}"
        " & sys.modules.keys()))"
    )
    assert "Parking brake caliper" in told or "parking-brake-caliper" in told
    assert told.splitlines()[-1] == "[]"


def test_the_help_is_the_same(run) -> None:
    told = alone("main(['weight', '--help'], prog_name='main')")
    assert "How heavy is NAME" in told
    told, here = (text.replace("-h, ", "").split() for text in (told, run("weight", "--help").stdout))
    assert told == here  # lines are as long as the terminal; -h is named once the group was asked


def test_what_is_asked_of_a_module_that_waits_is_there() -> None:
    told = alone(
        "import inspect, threading, click.core\n"
        "print('ast' in sys.modules, inspect.cleandoc('  one\\tline'))\n"
        "found = []\n"
        "threads = [threading.Thread(target=lambda: found.append(inspect.Signature)) for _ in range(8)]\n"
        "[thread.start() for thread in threads]; [thread.join() for thread in threads]\n"
        "from inspect import cleandoc, signature\n"
        "import inspect as again\n"
        "print(len(found), len(set(found)), found[0] is again.Signature is click.core.inspect.Signature)\n"
        "print(cleandoc('one\\n    two\\n      three'), inspect.cleandoc is again.cleandoc, signature(cleandoc))\n"
        "print(inspect is again, again.__spec__.name, again.getfile(click.core).endswith('core.py'))\n"
    )
    assert told.splitlines() == [
        "False one   line",
        "8 1 True",
        "one",
        "two",
        "  three True (doc)",
        "False inspect True",
    ]


@pytest.mark.parametrize("text", ["", " ", "a", "  a\tb  ", "\ta", "a\n b", " a\n\n  b\n   c\n"])
def test_one_line_of_help_is_cleaned_as_the_module_does(text: str) -> None:
    told = alone(f"import inspect; print(ascii(inspect.cleandoc({text!r})))")
    assert told == f"{inspect.cleandoc(text)!a}\n"


def test_a_module_that_was_there_already_stays() -> None:
    code = "import inspect, sys; import handling_db.cli; assert sys.modules['inspect'] is inspect; inspect.Signature"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_garbage_is_collected_late_in_a_process_of_its_own_only() -> None:
    """Another process that imports the command line, or calls it with words, collects as it did."""
    told = alone(
        "usual = gc.get_threshold()\n"
        "def state(): return gc.isenabled(), gc.get_threshold() == usual, bool(gc.get_freeze_count())\n"
        "print(*state())\n"
        "for how in ({'standalone_mode': False}, {}):\n"
        "    try: main(['--version'], **how)\n"
        "    except SystemExit: pass\n"
        "    print(*state())\n"
        "sys.argv = ['handling-db', '--version']\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "print(*state(), gc.get_threshold()[0])\n"
        "late = gc.get_threshold(); gc.set_threshold(600, 9, 8)\n"
        "kept = [[] for _ in range(5000)]\n"
        "print(gc.get_threshold()); gc.set_threshold(*late)\n"
        f"kept = [[] for _ in range({LATE + 1000})]\n"
        "print(*state(), len(gc.callbacks))\n"
    )
    states = [line for line in told.splitlines() if not line.startswith("handling-db ")]
    assert states == [
        "True True False",
        "True True False",
        "True True False",
        f"True False True {LATE}",
        "(600, 9, 8)",
        "True True True 0",
    ]
