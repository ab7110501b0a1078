"""The read-only view: a Datasette plugin. Thin hooks over the pages beside it."""

from __future__ import annotations

import re
from typing import Any

from datasette import hookimpl

_FORMAT = r"(?P<format>\.json)?"

# Addresses of our own pages; whatever else is asked for belongs to the stock table pages.
OURS = re.compile(
    r"^/(start|picture/.*|component/.*|find|checker|notes|fixtures|shops|sources|source/.*"
    r"|lifts|lift/.*|joint/.*|turn/.*|moves|move/.*|hands/.*|fixtures/.*|shop/.*)?(\.json)?$"
    r"|^/-/static-plugins/"
)


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    """The pages a mechanic reads."""
    from handling_db.web.pages import lifts, lookup, moves

    return [
        (r"^/$", lookup.start),
        (rf"^/start{_FORMAT}$", lookup.start),
        (rf"^/component/(?P<code>[^/.]+){_FORMAT}$", lookup.component),
        (rf"^/find{_FORMAT}$", lookup.find),
        (r"^/picture/(?P<name>[0-9a-f]{64})\.(?P<ending>jpg|jpeg|png|webp|pdf)$", lookup.shown_picture),
        (rf"^/checker{_FORMAT}$", lookup.checker),
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
        (rf"^/joint/(?P<code>[^/.]+){_FORMAT}$", lifts.joint),
        (rf"^/turn/(?P<code>[^/.]+){_FORMAT}$", lifts.turn),
    ]


@hookimpl
def asgi_wrapper(datasette: Any) -> Any:
    """Read-only at the edge: methods, lengths, closed addresses, headers."""
    from datasette.plugins import pm

    from handling_db.web.guard import guard

    # The stock answer to a failure is worked out even where ours is given, and writes a trace with the values
    # of all variables into the log.
    stock = pm.get_plugin("datasette.handle_exception")
    if stock is not None:
        pm.unregister(stock)
    return lambda app: guard(app, datasette, lambda path: OURS.match(path) is None)


@hookimpl
def menu_links(datasette: Any) -> list[dict[str, str]]:
    """From the stock table pages back to ours."""
    return [{"href": datasette.urls.path("/"), "label": "Start page"}]


@hookimpl(tryfirst=True)
def handle_exception(datasette: Any, request: Any, exception: Exception) -> Any:
    """Our own page without the words of the exception, and one line of log for what nobody foresaw.

    The stock table pages raise on odd option values; there that is the reader's fault, a 400. On our own
    pages an exception is our fault, and stays a 500.
    """
    from datasette.utils.asgi import Response

    from handling_db.web import errors
    from handling_db.web.guard import OWN

    path = str(request.path) if request is not None else ""
    status = getattr(exception, "status", None)
    if not (isinstance(status, int) and 400 <= status < 500):
        base = str(datasette.setting("base_url")).rstrip("/")
        status = 500 if OURS.match(path.removeprefix(base) or "/") else 400
        if status == 500:
            errors.log(f"GET {path}", exception)
    headers = {OWN.decode(): "1"}

    async def answer() -> Any:
        if path.endswith(".json"):
            return Response(
                errors.error_json(status).decode(), status=status, content_type=errors.JSON, headers=headers
            )
        page = (await errors.error_page(datasette, status)).decode()
        return Response.html(page, status=status, headers=headers)

    return answer
