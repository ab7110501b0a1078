"""One database file that is served and watched: rebuilt, it is shown from the next request on."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.lookup.listings import Stamp
from handling_db.web.bare import bare_page
from handling_db.web.errors import HTML, JSON, error_json
from handling_db.web.service.copies import Copies, ServedLook, StillChangingError
from handling_db.web.service.edition import Edition
from handling_db.web.service.notice import Noticed

Scope = dict[str, Any]
Receive = Callable[[], Awaitable[Any]]
Send = Callable[[dict[str, Any]], Awaitable[None]]

QUIET = 0.3  # a file written in place counts as whole when nothing was written to it for so long [s]
_LOOK_AGAIN = 0.05  # [s]
_NEVER = ServedLook(-1, -1, -1, -1, -1)


class Watched:
    """A database file and what is served of it.

    Requests under way end on the copy they began with; a new one is taken when the file looks otherwise.
    Where it is gone, broken or half written, the last whole copy stays, and every answer says so.

    Parameters
    ----------
    file : Path
    make : function of a path
        Makes the Datasette over one file.
    copies : Copies
    """

    def __init__(self, file: Path, make: Callable[[Path], Any], copies: Copies) -> None:
        self.file = file
        self.notice = ""
        self._trouble = ""
        self._make = make
        self._copies = copies
        self._edition: Edition | None = None
        self._looked: ServedLook | None = _NEVER
        self._lock = asyncio.Lock()

    @property
    def stamp(self) -> Stamp | None:
        """Of what is served; None where there is nothing yet."""
        return self._edition.stamp if self._edition else None

    def begin(self) -> None:
        """Open the file before anybody asks.

        Raises
        ------
        HandlingError
            It is not there or cannot be served; it is then looked for again at each request.
        """
        seen = ServedLook.of(self.file)
        if seen is None:
            raise HandlingError(f"{self.file}: there is no such database; build it with 'handling-db build'")
        try:
            self._edition = self._open(seen)
        except HandlingError as error:
            raise HandlingError(f"{self.file}: {error}") from None
        self._looked = seen

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request from the newest whole copy."""
        await self.look()
        edition = self._edition
        if edition is None:
            await refuse(scope, send, 503, self.notice)
            return
        edition.readers += 1
        edition.datasette.handling_notice = self.notice  # for answers to programs
        try:
            await edition.ready()
            await edition.app(scope, receive, Noticed(send, self.notice) if self.notice else send)
        finally:
            edition.leave()

    async def look(self) -> None:
        """Take a new copy if the file is another one than it was."""
        if ServedLook.of(self.file) == self._looked and not self.notice:
            return
        async with self._lock:  # one takes the copy, the others wait for it
            seen = ServedLook.of(self.file)
            if seen != self._looked:
                self._trouble = await self._take(seen)
            if self._trouble:
                await self._take_over()
            self._say()

    async def _take(self, seen: ServedLook | None) -> str:
        """Take a new copy; what stands in the way of it, empty where nothing does."""
        if seen is None:
            self._looked = None
            return "is not there any more" if self._edition else "is not there"
        edition = self._edition
        if edition is not None and (seen.device, seen.inode) == (edition.seen.device, edition.seen.inode):
            quiet = await self._quiet(seen)  # the same file, written to: it may not be whole yet
            if quiet is None:
                return "is being written to"
            seen = quiet
        try:
            fresh = await asyncio.to_thread(self._open, seen)
        except StillChangingError:
            return "is being written to"  # looked at again at the next request
        except HandlingError as error:
            self._looked = seen
            return f"cannot be read: {error}"
        self._show(fresh)
        self._looked = seen
        return ""

    async def _take_over(self) -> None:
        """Show what another process of the service took while the file could be read: nobody is led back."""
        known = self._edition.seen if self._edition else None
        newest = await asyncio.to_thread(self._copies.newest, self.file, known)
        if newest is not None:
            self._show(await asyncio.to_thread(self._opened, *newest))

    def _show(self, fresh: Edition) -> None:
        if self._edition is not None:
            self._edition.retire()
        self._edition = fresh

    async def _quiet(self, seen: ServedLook) -> ServedLook | None:
        """The look of the file when nothing has been written to it for a moment; None if that never came."""
        began = since = time.monotonic()
        while time.monotonic() - since < QUIET:
            if time.time() - seen.modified / 1e9 > QUIET:  # quiet for long enough by the file's own clock
                break
            if time.monotonic() - began > 2 * QUIET:
                return None
            await asyncio.sleep(_LOOK_AGAIN)
            now = ServedLook.of(self.file)
            if now is None:
                return None
            if now != seen:
                seen, since = now, time.monotonic()
        return seen

    def _open(self, seen: ServedLook) -> Edition:
        return self._opened(self._copies.take(self.file), seen)

    def _opened(self, copy: Path, seen: ServedLook) -> Edition:
        try:
            datasette = self._make(copy)
            return Edition(datasette, self._copies, copy, seen)
        except BaseException:
            self._copies.drop(copy)
            raise

    def _say(self) -> None:
        told = f"The database file {self.file.name} {self._trouble}."
        if not self._trouble:
            self.notice = ""
        elif self._edition is None:
            self.notice = f"{told} Nothing of this collection can be shown."
        else:
            self.notice = (
                f"{told} What stands here is from before: {self._edition.stamp.told}. "
                "Newer figures may exist; build the file again."
            )

    def close(self) -> None:
        """Let go of what is served."""
        if self._edition is not None:
            self._edition.retire()
            self._edition = None


async def refuse(scope: Scope, send: Send, status: int, sentence: str) -> None:
    """Say in words that there is no answer, with what needs no database."""
    from handling_db.web.guard import safe_headers

    json_asked = str(scope["path"]).endswith(".json")
    body = error_json(status, sentence) if json_asked else bare_page("Not now", sentence).encode()
    kind = JSON if json_asked else HTML
    headers = [(b"content-type", kind.encode()), *safe_headers()]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else body})
