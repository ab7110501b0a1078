"""What every page shares: the template environment, the request's question, and how an answer is sent."""

from __future__ import annotations

import datetime
import functools
import re
import sqlite3
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar
from weakref import WeakSet

from datasette.utils import tilde_decode, tilde_encode
from datasette.utils.asgi import Response
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from handling_db.database import queries
from handling_db.database.queries import open_database
from handling_db.errors import AmbiguousNameError, HandlingError, UnknownNameError
from handling_db.lookup import words as wording
from handling_db.lookup.numbers import words as number_words
from handling_db.quantities import display
from handling_db.records.open_job import job_words
from handling_db.web.bare import bare_page
from handling_db.web.own import OWN, alone, own_names
from handling_db.web.reading import read
from handling_db.web.service.place import only_here
from handling_db.web.short import paras, short
from handling_db.web.ways import BAR
from handling_db.weights.answer import PartFigure

Result = TypeVar("Result")

DATABASE = "handling"
_fit: WeakSet[Any] = WeakSet()  # databases that this version of the program can read


_encoded = functools.lru_cache(4096)(tilde_encode)  # it goes through a text letter by letter


def _capfirst(text: object) -> str:
    words = str(text)
    return words[:1].upper() + words[1:]


def _point_name(code: str, points: Iterable[Any]) -> str:
    """What people call a pick point."""
    return next((str(point.name) for point in points if point.id == code), code)


def _in_two(figure: object) -> Markup:
    """A figure in both units, each of which stays on one line."""
    first, bracket, second = str(figure).rpartition(" (")
    if not first:
        return Markup(f'<span class="kept">{escape(figure)}</span>')
    return Markup(
        f'<span class="kept">{escape(first)}</span> <span class="kept">{escape(bracket[1:] + second)}</span>'
    )


def _mass_of(part: PartFigure, first: str) -> Markup:
    """The mass of a part line, and of each piece where there are several."""
    each, together = wording.part_words(part, first=first)
    if part.quantity == 1:
        return escape(each)
    return Markup(f'{escape(together)}<span class="each">each {escape(each)}</span>')


def _tie_names(codes: Iterable[str], ties: Iterable[Any]) -> list[str]:
    """What ties are called that are named by their ids."""
    called = {str(tie.id): str(tie.what) for tie in ties}
    return [called.get(code, code) for code in codes]


def _named(text: str, points: Iterable[Any]) -> str:
    """A text in which pick points stand by what people call them, without their ids."""
    for point in points:
        text = text.replace(f"{point.name} ({point.id})", point.name)
        text = re.sub(rf"(?<![\w-]){re.escape(point.id)}(?![\w-])", str(point.name), text)
    return text


@functools.cache
def environment() -> Environment:
    """Our templates, escaping everything, with the display and wording functions at hand.

    They do not stand in a folder called `templates`, where Datasette would take `base.html` and
    `error.html` for its own.
    """
    env = Environment(
        loader=PackageLoader("handling_db.web", "sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    env.filters["capfirst"] = _capfirst
    env.filters["paras"] = paras
    env.filters["point_name"] = _point_name
    env.filters["in_two"] = _in_two
    env.filters["named"] = _named
    env.filters["tie_names"] = _tie_names
    env.filters["short"] = short
    env.globals["job_words"] = job_words
    env.globals.update(
        words=wording,
        number_words=number_words,
        cautions=wording.FIGURES_NOT_PERMISSION,
        planning_text=display.planning_text,
        pair=display.pair,
        span=display.span,
        counted=display.counted,
        split_verdict=split_verdict,
        short=short,
        enc=_encoded,
        mass_of=_mass_of,
    )
    return env


def split_verdict(words: str) -> tuple[str, str]:
    """The verdict itself, and the rest of the sentence with its colon or semicolon."""
    end = re.search("[:;]", words)
    at = end.start() if end is not None else len(words)
    return words[:at], words[at:]


def marked(text: str) -> Markup:
    """A search snippet, escaped, with the words found between the query's two control signs as marks."""
    safe = str(escape(text))
    return Markup(safe.replace(queries.MARK_ON, "<mark>").replace(queries.MARK_OFF, "</mark>"))


def decode(text: str) -> str:
    """A code from an address."""
    return str(tilde_decode(text))


def database(datasette: Any) -> Any:
    """The served database: the one named `handling`, or the first that this program built.

    Raises
    ------
    HandlingError
        None is served, or it was built by another version of this program.
    """
    names = own_names(datasette)
    if not names:
        raise HandlingError("no database of this program is served")
    found = datasette.get_database(DATABASE if DATABASE in names else names[0])
    if found not in _fit:
        open_database(Path(found.path), called=Path(found.path).name).close()
        _fit.add(found)
    return found


async def ask(datasette: Any, question: Callable[[sqlite3.Connection], Result]) -> Result:
    """Run all queries of a page in one go in the thread of our pages."""
    return await read(datasette, database(datasette), question)


def today() -> str:
    """The day that ages and reviews are judged by, worked out when looked at."""
    return datetime.date.today().isoformat()


def age(on: str) -> str:
    """`` (3 years ago)`` for a date, nothing where it is recent or not a date."""
    try:
        days = (datetime.date.today() - datetime.date.fromisoformat(on)).days
    except ValueError:
        return ""
    years = days // 365
    return f" ({display.counted(years, 'year')} ago)" if years else ""


def render(datasette: Any, template: str, context: Mapping[str, Any], *, status: int = 200) -> Any:
    """A page of our own, to send."""
    text = page_text(datasette, template, context)
    return Response.html(text, status=status, headers={OWN.decode(): "1"} if status >= 400 else {})


class Addresses:
    """Addresses under the prefix of the view; its first page is ours, whoever has the one at ``/``."""

    def __init__(self, datasette: Any) -> None:
        self._urls = datasette.urls
        self._start = "/" if alone(datasette) else "/start"

    def path(self, path: str) -> Any:
        """An address of a page."""
        return self._urls.path(self._start if path == "/" else path)

    def static_plugins(self, plugin: str, path: str) -> Any:
        """An address of a file that comes with the program."""
        return self._urls.static_plugins(plugin, path)


def page_text(datasette: Any, template: str, context: Mapping[str, Any]) -> str:
    """A page of our own."""
    urls = Addresses(datasette)

    @functools.cache
    def component_path(code: str) -> str:
        return str(urls.path(f"/component/{_encoded(code)}"))

    shared = {
        "urls": urls,
        "component_path": component_path,
        "bar": BAR,
        "here": "",
        "unit_links": [],
        "marks": {},
        "came": (),
        "today": today(),
        "age": age,
        "first": "kg",
        "json_path": None,
        "q": "",
    }
    return environment().get_template(template).render({**shared, **context})


def public_address(datasette: Any, request: Any, path: str) -> str:
    """An address that stands on paper; empty where only this machine knows one.

    Parameters
    ----------
    datasette : Datasette
    request : Request or None
        Whose name for this machine is taken where the view was told no public address; None: none is taken.
    path : str
        Of a page, without the prefix.
    """
    public = str(getattr(datasette, "handling_public", ""))
    if public:
        return public + path.lstrip("/")
    if request is None or only_here(request.host):
        return ""
    return str(datasette.absolute_url(request, datasette.urls.path(path)))


async def problem(datasette: Any, error: HandlingError) -> Any:
    """The page that says what could not be done, with a status below 500."""
    try:
        stamp = await ask(datasette, queries.stamp)
    except HandlingError as unread:  # the file itself is what cannot be read
        bare = bare_page("That cannot be answered", str(unread))
        return Response.html(bare, status=400, headers={OWN.decode(): "1"})
    choices: tuple[tuple[str, str], ...] = ()
    if isinstance(error, AmbiguousNameError):
        status, heading, choices = 300, "Which one?", error.choices
    elif isinstance(error, UnknownNameError):
        status, heading = 404, "Not found"
    else:
        status, heading = 400, "That cannot be answered"
    context = {"heading": heading, "message": str(error), "choices": choices, "stamp": stamp}
    return render(datasette, "error.html", context, status=status)
