"""How every page is answered: all its queries in one go, as a page or as JSON, kept while nothing changed."""

from __future__ import annotations

import datetime
import json
import sqlite3
from collections.abc import Callable, Coroutine
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from datasette.utils.asgi import Response

from handling_db.database import queries
from handling_db.database.cache import LastAnswers
from handling_db.database.queries.collection import stamp_of
from handling_db.database.queries.origin import marks_beside
from handling_db.errors import HandlingError, UnknownNameError
from handling_db.lookup.as_json import plain
from handling_db.lookup.listings import Stamp
from handling_db.sharing.marked import Marks
from handling_db.web.own import OWN
from handling_db.web.pages.asked import text_of, unit_of
from handling_db.web.reading import stamp_kept
from handling_db.web.site import ask, database, decode, page_text, problem, today
from handling_db.web.ways import UNITS, below, keep_unit, section, with_unit


@dataclass(frozen=True, slots=True)
class Visit:
    """What a page is asked, and the stamp of the records that answer.

    Parameters
    ----------
    unit : str
        The unit that the address asks for; empty for none.
    """

    request: Any
    datasette: Any
    stamp: Stamp
    unit: str

    @property
    def first(self) -> str:
        """kg or lb: the unit asked for, or what the collection reads first."""
        return self.unit or self.stamp.first_unit

    @property
    def code(self) -> str:
        """What the address is about."""
        return decode(self.request.url_vars["code"])

    @property
    def day(self) -> datetime.date:
        """The day by which inspections and papers are over."""
        return datetime.date.fromisoformat(today())

    @property
    def as_json(self) -> bool:
        """Whether the address asks for JSON."""
        return _json_asked(self.request)

    def text(self, name: str, longest: int = 200) -> str:
        """A text of the address; empty where there is none."""
        return text_of(self.request.args, name, longest)

    def path(self, path: str) -> Any:
        """A path of ours with the prefix under which all is served."""
        return self.datasette.urls.path(path)


Gather = Callable[[sqlite3.Connection, Visit], dict[str, Any]]
View = Callable[[Any, Any], Coroutine[Any, Any, Any]]

KEPT_PAGES = 128
LONGEST_KEPT = 500_000  # characters
FEW = 2  # marks on a page about everything; the rest is counted
_texts: WeakKeyDictionary[Any, LastAnswers[str]] = WeakKeyDictionary()  # by application


def shown(template: str) -> Callable[[Gather], View]:
    """Make a page of a function that asks everything the template, or its JSON, needs."""

    def made(gather: Gather) -> View:
        async def view(request: Any, datasette: Any) -> Any:
            return await page(datasette, template, gather, request)

        return view

    return made


async def page(datasette: Any, template: str, gather: Gather, request: Any) -> Any:
    """Ask everything a page needs, then answer as a page or as JSON.

    What was sent is kept by the stamp of the database, the address and the day: the same question to the
    same records has the same answer. What `gather` gives as ``json`` may be a function, called where JSON is
    asked for. What it gives as ``about`` is what the answer is marked for, where something came from other
    shops and nobody here has reviewed it; without it all of that is said.
    """
    as_json = _json_asked(request)
    base_url = str(datasette.setting("base_url"))
    notice = getattr(datasette, "handling_notice", "") if as_json else ""
    address = (request.scheme, request.host, request.full_path, base_url, as_json, today(), notice)

    def write(connection: sqlite3.Connection) -> str:
        visit = Visit(request, datasette, queries.stamp(connection), unit_of(request.args))
        found = gather(connection, visit)
        marks = marks_for(connection, found.get("about"))
        if as_json:
            dated = {"stamp": plain(visit.stamp), **({"notice": notice} if notice else {})}
            told = found["json"]() if callable(found["json"]) else found["json"]
            return json.dumps({**plain(told), **marks.as_json(), **dated})
        context = {key: value for key, value in found.items() if key not in ("json", "about")}
        told = marks.sentences() if found.get("about") else marks.sentences(FEW)
        shared = {**_ways(datasette, request, visit.first), "came": told, "stamp": visit.stamp}
        text = page_text(datasette, template, {**shared, **context, "first": visit.first})
        return keep_unit(text, visit.unit, _base(datasette))

    def answer(connection: sqlite3.Connection) -> str:
        return kept.get((stamp_of(connection), *address), lambda: write(connection), _short)

    kept = _texts.setdefault(datasette, LastAnswers(KEPT_PAGES))
    try:
        at_hand = stamp_kept(database(datasette))
        text = kept.kept((at_hand, *address)) if at_hand else None  # no thread is asked for what is there
        if text is None:
            text = await ask(datasette, answer)
    except HandlingError as error:
        if as_json:
            status = 404 if isinstance(error, UnknownNameError) else 400
            return Response.json({"error": str(error)}, status=status, headers={OWN.decode(): "1"})
        return await problem(datasette, error)
    if as_json:
        # Other programs' pages may read it only where that was asked for.
        headers = {"access-control-allow-origin": "*"} if datasette.cors else {}
        return Response(text, content_type="application/json; charset=utf-8", headers=headers)
    return Response.html(text)


def marks_for(connection: sqlite3.Connection, about: tuple[str, str] | None) -> Marks:
    """What marks an answer about one thing, or about everything."""
    return marks_beside(connection, *(about or (None, None))) or Marks()


def _short(text: str) -> bool:
    """Whether a page may be kept: a few very long ones would fill the memory."""
    return len(text) <= LONGEST_KEPT


def _base(datasette: Any) -> str:
    return str(datasette.setting("base_url")).rstrip("/")


def _ways(datasette: Any, request: Any, first: str) -> dict[str, Any]:
    """Where the page is, the same answer as JSON, and the same page with the other unit first."""
    path = below(str(request.path), _base(datasette))
    tail = f"?{request.query_string}" if request.query_string else ""
    here = f"{datasette.urls.path(path)}{tail}"
    return {
        "json_path": f"{datasette.urls.path((path.rstrip('/') or '/start') + '.json')}{tail}",
        "here": section(path),
        "unit_links": [(unit, "" if unit == first else with_unit(here, unit)) for unit in UNITS],
    }


def _json_asked(request: Any) -> bool:
    return bool(request.url_vars.get("format"))
