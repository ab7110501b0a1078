"""The read-only view: a Datasette plugin. Thin hooks over the pages beside it.

Where a Datasette serves databases of others too, these keep their addresses, pages, failures and rights.
"""

from __future__ import annotations

import re
from typing import Any

from datasette import hookimpl

from handling_db.web.ways import OURS, below

_FORMAT = r"(?P<format>\.json)?"


def ours(datasette: Any, path: str) -> bool:
    """Whether an address leads to a page of ours: not to one of a database that somebody else has there."""
    from handling_db.web.own import alone, own_names, taken

    if OURS.match(path) is None or not own_names(datasette) or taken(datasette, path):
        return False
    return path != "/" or alone(datasette)  # among databases of others the first page lists them all


class _Address:
    """The addresses of one page, asked anew at each request: databases come and go while a Datasette runs."""

    def __init__(self, datasette: Any, pattern: str) -> None:
        self._datasette = datasette
        self._pattern = re.compile(pattern)
        self.pattern = pattern

    def match(self, path: str) -> re.Match[str] | None:
        """As of a regular expression."""
        found = self._pattern.match(path)
        return found if found is not None and ours(self._datasette, path) else None


@hookimpl
def register_routes(datasette: Any) -> list[tuple[Any, Any]]:
    """The pages a mechanic reads."""
    return [(_Address(datasette, pattern), view) for pattern, view in _routes()]


def _routes() -> list[tuple[str, Any]]:
    """The addresses of our pages, and what answers."""
    from handling_db.web.pages import (
        first_off,
        in_hand,
        levelling,
        lifts,
        lookup,
        moves,
        plans,
        side_by_side,
        start,
        tables,
        to_settle,
    )
    from handling_db.web.pages.piece import component
    from handling_db.web.plain import index

    return [
        (r"^/$", start.start),
        (rf"^/start{_FORMAT}$", start.start),
        (rf"^/database{_FORMAT}$", tables.tables),
        (rf"^/component/(?P<code>[^/.]+){_FORMAT}$", component.component),
        (rf"^/find{_FORMAT}$", lookup.find),
        (rf"^/a-z{_FORMAT}$", index.a_to_z),
        (rf"^/words{_FORMAT}$", index.words),
        (r"^/picture/(?P<name>[0-9a-f]{64})\.(?P<ending>jpg|jpeg|png|webp|pdf)$", lookup.shown_picture),
        (rf"^/checker{_FORMAT}$", to_settle.checker),
        (rf"^/gaps{_FORMAT}$", to_settle.gaps),
        (rf"^/waiting{_FORMAT}$", to_settle.waiting),
        (rf"^/heavier{_FORMAT}$", side_by_side.heavier),
        (rf"^/pallets{_FORMAT}$", side_by_side.pallets),
        (rf"^/two-hooks/(?P<code>[^/.]+){_FORMAT}$", side_by_side.two_hooks),
        (rf"^/jobs{_FORMAT}$", in_hand.jobs),
        (rf"^/job/(?P<code>[^/.]+){_FORMAT}$", in_hand.job),
        (rf"^/plans{_FORMAT}$", plans.plans),
        (rf"^/plan/(?P<code>[^/.]+){_FORMAT}$", plans.plan),
        (rf"^/plan/(?P<code>[^/.]+)/sheet{_FORMAT}$", plans.plan_sheet),
        (rf"^/notes{_FORMAT}$", lookup.notes),
        (rf"^/fixtures{_FORMAT}$", lookup.fixtures),
        (rf"^/shops{_FORMAT}$", lookup.shops),
        (rf"^/moves{_FORMAT}$", moves.moves),
        (rf"^/move/(?P<code>[^/.]+){_FORMAT}$", moves.move),
        (r"^/move/(?P<code>[^/.]+)/card$", moves.card),
        (r"^/move/(?P<code>[^/.]+)/tag$", moves.tag),
        (rf"^/hands/(?P<code>[^/.]+){_FORMAT}$", moves.hands),
        (rf"^/fixtures/(?P<code>[^/.]+){_FORMAT}$", moves.fixtures_for),
        (rf"^/shop/(?P<shop>[^/.]+)/(?P<code>[^/.]+){_FORMAT}$", moves.shop_for),
        (rf"^/sources{_FORMAT}$", lookup.sources),
        (rf"^/source/(?P<code>[^/.]+){_FORMAT}$", lookup.sources),
        (rf"^/lifts{_FORMAT}$", lifts.lifts),
        (rf"^/lift/(?P<code>[^/.]+){_FORMAT}$", lifts.lift),
        (rf"^/lift/(?P<code>[^/.]+)/sheet{_FORMAT}$", lifts.lift_sheet),
        (rf"^/lighten/(?P<code>[^/.]+){_FORMAT}$", first_off.lighten),
        (rf"^/level/(?P<code>[^/.]+){_FORMAT}$", levelling.level),
        (rf"^/tilt/(?P<code>[^/.]+){_FORMAT}$", levelling.tilt),
        (rf"^/lift/(?P<code>[^/.]+)/notes{_FORMAT}$", lifts.lift_notes),
        (rf"^/joint/(?P<code>[^/.]+){_FORMAT}$", lifts.joint),
        (rf"^/turn/(?P<code>[^/.]+){_FORMAT}$", lifts.turn),
    ]


class _Failures:
    """The stock answer to a failure, for databases of others only.

    It is worked out even where ours is given, and writes a trace with all values into the log.
    """

    def __init__(self, stock: Any) -> None:
        self._stock = stock
        self.__name__ = stock.__name__  # Datasette lists plugins by it

    @hookimpl(trylast=True)
    def handle_exception(self, datasette: Any, request: Any, exception: Exception) -> Any:
        """As without this program, where the failure is not answered by us."""
        if _answered_here(datasette, request):
            return None
        return self._stock.handle_exception(datasette=datasette, request=request, exception=exception)


@hookimpl
def asgi_wrapper(datasette: Any) -> Any:
    """Read-only at the edge: methods, lengths, closed addresses, headers."""
    from datasette.plugins import pm

    from handling_db.web.guard import guard

    stock = pm.get_plugin("datasette.handle_exception")
    if stock is not None and not isinstance(stock, _Failures):
        pm.unregister(stock)
        pm.register(_Failures(stock), "datasette.handle_exception")
    return lambda app: guard(app, datasette, lambda path: ours(datasette, path))


@hookimpl
def menu_links(datasette: Any) -> list[dict[str, str]]:
    """From the stock table pages back to ours."""
    from handling_db.web.own import alone, own_names

    if alone(datasette):
        return [
            {"href": datasette.urls.path("/"), "label": "Start page"},
            {"href": datasette.urls.path("/database"), "label": "The tables and their ties"},
        ]
    if not own_names(datasette):
        return []
    return [{"href": datasette.urls.path("/start"), "label": "What it weighs, how it is handled"}]


def _path(datasette: Any, request: Any) -> str:
    """The address that was asked for, without the prefix under which all is served."""
    path = str(request.path) if request is not None else ""
    return below(path, str(datasette.setting("base_url")))


def _answered_here(datasette: Any, request: Any) -> bool:
    from handling_db.web.own import alone

    return alone(datasette) or ours(datasette, _path(datasette, request))


def _took_too_long(exception: Exception) -> bool:
    """Whether a table was not read within the limit, as it is raised or as the stock pages wrap it."""
    from datasette.database import QueryInterrupted

    return isinstance(exception, QueryInterrupted) or getattr(exception, "title", "") == "SQL Interrupted"


@hookimpl(tryfirst=True)
def handle_exception(datasette: Any, request: Any, exception: Exception) -> Any:
    """Our own page without the words of the exception, and one line of log for what nobody foresaw.

    The stock table pages raise on odd option values; there that is the reader's fault, a 400. On our own
    pages an exception is our fault, and stays a 500.
    """
    from datasette.utils.asgi import Response

    from handling_db.web import errors
    from handling_db.web.own import OWN

    if not _answered_here(datasette, request):
        return None
    path = _path(datasette, request)
    status = getattr(exception, "status", None)
    if not (isinstance(status, int) and 400 <= status < 500):
        status = 500 if OURS.match(path) else 400
        if status == 500:
            errors.log(f"GET {path}", exception)
    headers = {OWN.decode(): "1"}
    # A busy machine runs into the limit with honest questions: their options are not what is wrong.
    told = errors.TOO_LONG if _took_too_long(exception) else ""

    async def answer() -> Any:
        if path.endswith(".json"):
            text = errors.error_json(status, told).decode()
            return Response(text, status=status, content_type=errors.JSON, headers=headers)
        page = (await errors.error_page(datasette, status, told)).decode()
        return Response.html(page, status=status, headers=headers)

    return answer
