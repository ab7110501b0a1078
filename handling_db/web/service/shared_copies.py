"""Copies of database files for several processes: one takes and checks a copy, the others link it."""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.web.service.copies import Copies, ServedLook


class SharedCopies(Copies):
    """One folder of copies for all processes of a service.

    Beside the copies of each process lies the newest of each file, named by the look that the file had. A
    process that comes too late for that file, since it is gone or broken by now, shows no older figures than
    others have shown.
    """

    def take(self, file: Path) -> Path:
        """As of one process; what another one took of the same file is not taken and looked over again."""
        with self._alone():
            return super().take(file)

    def _fill(self, copy: Path, file: Path, before: ServedLook) -> None:
        newest = self._named(file, before)
        if newest.exists():
            os.link(newest, copy)
            return
        super()._fill(copy, file, before)
        for older in self._shared(file):
            older.unlink()
        os.link(copy, newest)

    def newest(self, file: Path, than: ServedLook | None) -> tuple[Path, ServedLook] | None:
        """A copy of the newest that any process took, with its look; None where that look is known."""
        with contextlib.suppress(HandlingError, OSError), self._alone():
            for newest in self._shared(file):
                look = ServedLook(*map(int, newest.suffix[1:].split("_")))
                if look != than:
                    copy = self._room()
                    copy.parent.mkdir()
                    os.link(newest, copy)
                    return copy, look
        return None

    @contextlib.contextmanager
    def outliving(self) -> Iterator[None]:
        """What a forked process does; where its parent was killed meanwhile, it removes the copies."""
        parent = os.getppid()
        try:
            yield
        finally:
            if os.getppid() != parent:
                self.close()

    def forget(self, process: int) -> None:
        """Remove the copies of a process that has ended."""
        for room in self.folder.glob(f"{process}-*"):
            shutil.rmtree(room, ignore_errors=True)

    def _shared(self, file: Path) -> list[Path]:
        return [*self.folder.glob(f"{_key(file)}.*")]

    def _named(self, file: Path, look: ServedLook) -> Path:
        return self.folder / f"{_key(file)}.{'_'.join(map(str, dataclasses.astuple(look)))}"

    @contextlib.contextmanager
    def _alone(self) -> Iterator[None]:
        """One process, and one thread of it, at a time; a process that is killed leaves no lock."""
        import fcntl

        try:
            handle = os.open(self.folder / "lock", os.O_CREAT | os.O_RDWR, 0o600)
        except OSError as error:
            raise HandlingError(f"no copy can be taken: {error.strerror or error}") from None
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            yield
        finally:
            os.close(handle)


def _key(file: Path) -> str:
    return hashlib.sha256(os.fsencode(file.absolute())).hexdigest()[:16]
