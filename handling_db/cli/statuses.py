"""How a run ends: every failure is a sentence and a status; a fault of the program leaves a trace in a file.

Statuses: 0 done; 1, 2 and 3 as a command says of what it found; 2 as well for whatever cannot be done; 70 a
fault of the program itself; 130 stopped by a person.

References
----------
.. [1] sysexits.h of the BSD systems: 70 (EX_SOFTWARE), an internal software error; the number from memory.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sqlite3
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from pathlib import Path

CLOSED = "the output was closed before everything was printed"
CANNOT = 2
PROGRAM_FAULT = 70
STOPPED = 130  # 128 and the number of the signal, as shells count


def run(call: Callable[[], Any]) -> int:
    """Run a command line and say how it ended.

    Parameters
    ----------
    call : callable
        The command line, raising whatever it raises.

    Returns
    -------
    int
        The status of the process.
    """
    _print_whatever_a_name_holds()
    try:
        status = _ended(call)
        sys.stdout.flush()  # here a full disk or a closed pipe still is a sentence
    except OSError as error:
        _let_go_of(sys.stdout)
        _say(_of_the_system(error))
        return CANNOT
    return status


def _ended(call: Callable[[], Any]) -> int:
    try:
        given = call()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0 if end.code is None else CANNOT
    except HandlingError as error:
        _say(str(error))
        return CANNOT
    except click.ClickException as error:
        error.show()
        return CANNOT
    except (KeyboardInterrupt, click.Abort):
        _say("stopped; nothing more was done")
        return STOPPED
    except sqlite3.OperationalError as error:
        _say(f"a database file cannot be read or written ({error})")
        return CANNOT
    except MemoryError:
        _say("there is not enough memory for this; ask it of a smaller part of the records")
        return CANNOT
    except OSError as error:
        if error.errno == errno.EPIPE or error.filename is not None or error.errno is not None:
            raise
        return _program_fault(error)
    except Exception as error:
        return _program_fault(error)
    return given if isinstance(given, int) else 0


def _of_the_system(error: OSError) -> str:
    """What the system says of something that could not be read or written."""
    if error.errno == errno.EPIPE:
        return CLOSED
    named = os.fsdecode(error.filename) if isinstance(error.filename, str | bytes) else "the output"
    return f"{named}: cannot be read or written ({error.strerror or error})"


def _program_fault(error: Exception) -> int:
    """One line for the user, the trace into a file."""
    what = " ".join(f"{type(error).__name__}: {error}".split())[:200]
    file = _write_trace(error)
    where = f"its trace is in {file}" if file else "its trace could not be written"
    _say(f"this is a fault of the program, not of your records ({what}); {where}; please report it")
    return PROGRAM_FAULT


def _write_trace(error: Exception) -> Path | None:
    import datetime  # none of these is needed by a run that ends well: a look-up starts fast
    import platform
    import tempfile
    import traceback
    from pathlib import Path

    from handling_db import __version__
    from handling_db.cli.common import user_folder

    now = datetime.datetime.now(datetime.UTC)
    head = (
        f"handling-db {__version__}, Python {platform.python_version()} on {platform.system()}, "
        f"{now:%Y-%m-%d %H:%M:%S} UTC\n{sys.argv[1:]}\n\n"
    )
    text = head + "".join(traceback.format_exception(error))
    name = f"fault-{now:%Y%m%dT%H%M%S}-{os.getpid()}.txt"
    for folder in (user_folder() / "faults", Path(tempfile.gettempdir())):
        with contextlib.suppress(OSError):
            folder.mkdir(parents=True, exist_ok=True)
            file = folder / name
            with file.open("x", encoding="utf-8", errors="backslashreplace") as out:
                out.write(text)
            return file
    return None


def _say(sentence: str) -> None:
    """A sentence on standard error, if anybody still listens there."""
    with contextlib.suppress(OSError, ValueError):
        click.echo(f"handling-db: {sentence}", err=True)


def _print_whatever_a_name_holds() -> None:
    """File names may hold bytes that are no text; they are shown as such instead of ending the run."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, ValueError, OSError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]


def _let_go_of(stream: Any) -> None:
    """Let the interpreter end in peace: what is still in the buffer of a closed output goes nowhere."""
    with contextlib.suppress(AttributeError, ValueError, OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
