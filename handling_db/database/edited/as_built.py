"""Whether a folder is as a database was built of it, so that the database may be asked in its place."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from handling_db.database.edited.files import changed
from handling_db.database.edited.kept import Kept, kept_file, signature
from handling_db.database.file import look_of
from handling_db.errors import HandlingError


class NotAsBuilt(HandlingError):
    """Why a database does not tell what the records of a folder say now, in words."""


def kept_of(database: Path, folder: Path) -> Kept:
    """What was kept of the build of a database from one folder, each file of which is as it was read.

    Every file is looked at by size and times, and by content where these do not tell.

    Raises
    ------
    NotAsBuilt
        It was built of something else, or a file changed since.
    """
    kept = Kept.open(kept_file(database)) if database.is_file() else None
    if kept is None:
        raise NotAsBuilt("nothing was kept beside it when it was built")
    try:
        _look(kept, database, folder)
    except BaseException:
        kept.connection.close()
        raise
    return kept


def _look(kept: Kept, database: Path, folder: Path) -> None:
    *program, where, names = json.loads(kept.value("signature") or '["", ""]')
    if program != json.loads(signature(()))[:-2]:
        raise NotAsBuilt("it was built by another version of the program")
    if kept.value("database") != look_of(database):
        raise NotAsBuilt("the file was changed since it was built")
    # by whole names: it may have been built from another place than this one
    paths = [Path(where, name) for name in names]
    if {path.resolve() for path in paths} != {folder.resolve()}:
        raise NotAsBuilt("it was not built of this folder alone")
    before = {
        str(Path(where, name)): replace(one, name=str(Path(where, name)))
        for name, one in kept.files().items()
    }
    since = changed(paths, before, int(kept.value("since")))
    told = [*(f"{name} changed" for name in (*since.written, *since.gone)), *map(str, since.findings)]
    if told:
        raise NotAsBuilt(_few(told))


def _few(told: Sequence[str]) -> str:
    return told[0] + (f" (and {len(told) - 1} more)" if told[1:] else "")
