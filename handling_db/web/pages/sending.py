"""How every page is answered: all its queries in one go, as a page or as JSON, kept while nothing changed."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from typing import Any
from weakref import WeakKeyDictionary

from datasette.utils.asgi import Response

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.collection import stamp_of
from handling_db.database.queries.origin import marks_beside
from handling_db.errors import HandlingError, UnknownNameError
from handling_db.lookup.as_json import plain
from handling_db.sharing.marked import Marks
from handling_db.web.own import OWN
from handling_db.web.reading import stamp_kept
from handling_db.web.site import ask, database, page_text, problem, today
from handling_db.web.ways import UNITS, below, keep_unit, section, unit_asked, with_unit

Gather = Callable[[sqlite3.Connection], dict[str, Any]]

KEPT_PAGES = 128
LONGEST_KEPT = 500_000  # characters
FEW = 2  # marks on a page about everything; the rest is counted
_texts: WeakKeyDictionary[Any, LastAnswers[str]] = WeakKeyDictionary()  # by application


async def page(
    datasette: Any, template: str, gather: Gather, request: Any, as_json: bool, status: int = 200
) -> Any:
    """Ask everything a page needs, then answer as a page or as JSON.

    What was sent is kept by the stamp of the database, the address and the day: the same question to the
    same records has the same answer. What `gather` gives as ``json`` may be a function, called where JSON is
    asked for. What it gives as ``about`` is what the answer is marked for, where something came from other
    shops and nobody here has reviewed it; without it all of that is said.
    """
    base_url = str(datasette.setting("base_url"))
    notice = getattr(datasette, "handling_notice", "") if as_json else ""
    address = (request.scheme, request.host, request.full_path, base_url, as_json, today(), notice)

    def write(connection: sqlite3.Connection) -> str:
        unit = unit_of(request)
        found = gather(connection)
        marks = marks_for(connection, found.get("about"))
        if as_json:
            dated = {"stamp": plain(found["stamp"]), **({"notice": notice} if notice else {})}
            told = found["json"]() if callable(found["json"]) else found["json"]
            return json.dumps({**plain(told), **marks.as_json(), **dated})
        context = {key: value for key, value in found.items() if key not in ("json", "about")}
        told = marks.sentences() if found.get("about") else marks.sentences(FEW)
        first = unit or context.get("first") or context["stamp"].first_unit
        shared = {**_ways(datasette, request, first), "came": told}
        text = page_text(datasette, template, {**shared, **context, "first": first})
        return keep_unit(text, unit, _base(datasette))

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
    return Response.html(text, status=status)


def marks_for(connection: sqlite3.Connection, about: tuple[str, str] | None) -> Marks:
    """What marks an answer about one thing, or about everything."""
    return marks_beside(connection, *(about or (None, None))) or Marks()


def unit_of(request: Any) -> str:
    """The unit the address asks for; empty for none.

    Raises
    ------
    HandlingError
        Another word than kg or lb.
    """
    try:
        return unit_asked(request.args)
    except ValueError as error:
        raise HandlingError(str(error)) from None


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


def json_asked(request: Any) -> bool:
    """Whether the address asks for JSON."""
    return bool(request.url_vars.get("format"))
