"""The folder of a copy: nothing of anybody else in it is touched, and it is whole at every moment."""

from __future__ import annotations

import asyncio
import json
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path

from handling_db.database.building import bar_after_a_while
from handling_db.errors import HandlingError
from handling_db.files.atomic import replace_folder
from handling_db.web.plain.copy import PlainCopy, plain_copy
from handling_db.web.serving import application

MARK = "handling-copy.json"
_WHAT = "a copy of the read-only view, written by handling-db export --site"
_NAMED = 3  # files of somebody else that a refusal names


def refuse_other_folders(target: Path) -> None:
    """Say no to a folder that holds anything but a copy of ours.

    Raises
    ------
    HandlingError
    """
    if not target.exists() and not target.is_symlink():
        return
    if not target.is_dir() or target.is_symlink():
        raise HandlingError(f"{target} is there already and is no folder; give another name, or move it away")
    present = sorted(file.relative_to(target).as_posix() for file in target.rglob("*") if not file.is_dir())
    if not present:
        return
    try:
        mark = json.loads((target / MARK).read_text(encoding="utf-8"))
        ours = set(mark["files"]) if mark["what"] == _WHAT else set()
    except (OSError, ValueError, KeyError, TypeError):
        ours = set()
    others = [name for name in present if name not in ours and not (ours and name == MARK)]
    if others:
        named = ", ".join(others[:_NAMED]) + (
            f" and {len(others) - _NAMED} more" if len(others) > _NAMED else ""
        )
        raise HandlingError(
            f"{target} holds something else ({named}); a copy takes the whole folder: give another, or move "
            "that away"
        )


def write_copy(copy: PlainCopy, target: Path) -> None:
    """Write a copy in place of an older one, whole or not at all.

    Raises
    ------
    HandlingError
        The folder holds something else, or cannot be written; what was there is still there.
    """
    refuse_other_folders(target)
    mark = {"what": _WHAT, "made": copy.made, "from": copy.told, "files": sorted(copy.files)}
    data = json.dumps(mark, indent=1).encode()
    replace_folder(target, {**copy.files, MARK: data})


def copy_view(database: Path, target: Path, public_url: str = "") -> PlainCopy:
    """Write the view over a database file into a folder, as plain files.

    Parameters
    ----------
    database : Path
    target : Path
    public_url : str
        Where the codes on crate tags lead; without one there are none.

    Raises
    ------
    HandlingError
        The file cannot be read, the folder holds something else, or a page failed: nothing is written then.
    """
    from handling_db.web.service.place import read_place

    refuse_other_folders(target)  # before the work
    place = read_place((), port=0, lan=False, base_url="", public_url=public_url)
    served = application(database, public_url=place.public_url)
    asked = plain_copy(served, datetime.now(), bar_after_a_while())
    with ThreadPoolExecutor(1) as own:  # a loop of its own, whoever calls this
        copy = own.submit(asyncio.run, asked).result()
    write_copy(copy, target)
    return copy
