"""The whole view as files in memory: every page that a link leads to, from the first one on."""

from __future__ import annotations

import re
import sqlite3
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from html import unescape
from typing import Any

from markupsafe import Markup, escape

from handling_db.database import queries
from handling_db.errors import HandlingError
from handling_db.loading import from_database
from handling_db.web.plain.addresses import KINDS, LEFT_OUT, Address, FileNames, Kind, relative
from handling_db.web.plain.asking import ask_view
from handling_db.web.plain.rewriting import PlainPage, plain_page
from handling_db.web.site import ask, page_text

Tell = Callable[[str, int, int], None]

_FIRST = ("/", "/a-z", "/words")
_HEADING = re.compile(r"<h1[^>]*>(.*?)</h1>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")


@dataclass(slots=True)
class PlainCopy:
    """A view as files.

    Parameters
    ----------
    made : str
        Day and time.
    told : str
        Data, build and stamp of what was copied.
    files : mapping of name to content
    pages : mapping of file to PlainPage
    left_out : mapping of mark to the questions left out, as words
    unanswered : list of str
        Addresses whose page says why they cannot be answered.
    """

    made: str
    told: str
    files: dict[str, bytes] = field(default_factory=dict)
    pages: dict[str, PlainPage] = field(default_factory=dict)
    left_out: dict[str, list[str]] = field(default_factory=dict)
    unanswered: list[str] = field(default_factory=list)

    def dead_links(self) -> list[str]:
        """Links that lead to no file or to no place within one; there are none."""
        names = set(self.files)
        return sorted(
            f"{file}: {found.asked}#{found.anchor}"
            for file, page in self.pages.items()
            for found, name in zip(page.found, page.leads, strict=True)
            if name not in names or (found.anchor and found.anchor not in self.pages[name].marks)
        )


async def plain_copy(datasette: Any, made: datetime, tell: Tell) -> PlainCopy:
    """Ask the view for every page and make files of them.

    Parameters
    ----------
    datasette : Datasette
        Served without a prefix.
    made : datetime
    tell : function of (what, done, of)
        Called now and then on the way.

    Raises
    ------
    HandlingError
        A page failed, or a link would be dead: nothing of the copy is to be used.
    """
    stamp = await ask(datasette, queries.stamp)
    copy = PlainCopy(made.strftime("%Y-%m-%d %H:%M"), stamp.told)
    names = FileNames(await ask(datasette, _handled))
    left: dict[str, dict[str, tuple[Address, str]]] = {}
    titles: dict[str, str] = {}
    waiting = deque(Address(path, (), "") for path in _FIRST)
    seen: set[str] = set()

    def leaving(address: Address, kind: Kind) -> None:
        left.setdefault(kind.mark, {}).setdefault(address.asked, (address, kind.mark))

    while waiting:
        address = waiting.popleft()
        file = names.of(address)
        if file in seen:
            continue
        seen.add(file)
        tell("copying pages", len(seen), len(seen) + len(waiting) + 1)
        sent = await ask_view(datasette.client.app, address.asked)
        if sent.status >= 500 or (sent.status >= 300 and not sent.kind.startswith("text/html")):
            raise HandlingError(f"the page {address.asked} failed; nothing was written")
        if not sent.kind.startswith("text/html"):
            copy.files[file] = sent.body
            continue
        if sent.status >= 400:
            copy.unanswered.append(address.asked)
        text = sent.body.decode()
        titles.setdefault(address.path, _title(text))
        page = plain_page(text, address, names, leaving, _dated(copy, file))
        copy.pages[file] = page
        waiting.extend(page.found)
    for mark, questions in left.items():
        if mark not in ("unit", "programs"):
            copy.left_out[mark] = sorted({_words(address, titles) for address, _ in questions.values()})
    _add_left_out(datasette, copy, stamp, names, leaving)
    copy.files.update({file: page.text.encode() for file, page in copy.pages.items()})
    dead = [link for link in copy.dead_links() if link.endswith("#")]
    if dead:  # a place within a page that is not there leads to the top of it
        raise HandlingError(f"links of the copy lead nowhere, nothing was written: {'; '.join(dead[:5])}")
    tell("copying pages", len(seen), len(seen))
    return copy


def _handled(connection: sqlite3.Connection) -> frozenset[str]:
    """Lifts, and what has a packing of its own."""
    records = from_database(connection, reach="handled").records
    packed = {code for packing in records.packings.values() for code in packing.for_components}
    return frozenset(packed | records.lift_groups.keys())


def _add_left_out(datasette: Any, copy: PlainCopy, stamp: Any, names: FileNames, leaving: Any) -> None:
    """The page that names what is not in the copy."""
    context = {
        "kinds": [(kind, copy.left_out.get(mark, [])) for mark, kind in KINDS.items()],
        "made": copy.made,
        "stamp": stamp,
    }
    text = page_text(datasette, "left-out.html", context)
    address = Address(f"/{LEFT_OUT}", (), "")
    names.name(address, LEFT_OUT)
    copy.pages[LEFT_OUT] = plain_page(text, address, names, leaving, _dated(copy, LEFT_OUT))


def _title(text: str) -> str:
    found = _HEADING.search(text)
    return " ".join(unescape(_TAG.sub(" ", found[1])).split()) if found else ""


def _words(address: Address, titles: dict[str, str]) -> str:
    """A question in words: ``Transfer box: state filled``."""
    asked = ", ".join(f"{name} {value}" for name, value in address.query if name != "unit")
    return f"{titles.get(address.path) or address.path.strip('/')}: {asked}"


def _dated(copy: PlainCopy, file: str) -> Markup:
    """The line at the foot of every page of a copy."""
    link = relative(LEFT_OUT, file)
    return Markup(
        '<p class="noprint">Copy made on {made} from figures of then; what is due or stale is as of then. '
        'Newer figures are not in it. <a href="{link}">What is not in this copy</a></p>'
    ).format(made=copy.made, link=escape(link))
