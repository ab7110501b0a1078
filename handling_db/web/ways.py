"""The ways between pages: the bar under the thumb, and kg or lb kept in every address."""

from __future__ import annotations

import re
from html import escape, unescape
from urllib.parse import parse_qsl, urlencode

# Addresses of our own pages; whatever else is asked for belongs to the stock table pages.
OURS = re.compile(
    r"^/(start|picture/.*|component/.*|find|checker|gaps|notes|fixtures|shops|sources|source/.*"
    r"|lifts|lift/.*|lighten/.*|level/.*|tilt/.*|joint/.*|turn/.*|two-hooks/.*|moves|move/.*|hands/.*|fixtures/.*|shop/.*|pallets"
    r"|jobs|job/.*|plans|plan/.*|waiting|heavier|database|a-z|words)?(\.json)?$"
    r"|^/-/static-plugins/"
)

# The same five on every page: name, address, and the first steps of the addresses that belong to it.
BAR = (
    ("Start", "/", ("", "start", "component", "jobs", "job", "plans", "plan", "checker", "gaps", "waiting")),
    ("Lifts", "/lifts", ("lifts", "lift", "lighten", "level", "tilt", "joint", "turn", "two-hooks")),
    ("Moves", "/moves", ("moves", "move", "hands", "fixtures", "shop", "shops", "pallets")),
    ("Notes", "/notes", ("notes",)),
    ("Find", "/find", ("find", "heavier", "source", "sources", "database", "a-z", "words")),
)

UNITS = ("kg", "lb")

_LINK = re.compile(r'(<a\b[^>]*?\bhref=")([^"]*)(")')
_FORM = re.compile(r"(<form\b[^>]*>)(.*?</form>)", re.DOTALL)


def below(path: str, base: str) -> str:
    """A path without the prefix under which all is served; a proxy may have cut it off already.

    Parameters
    ----------
    path : str
    base : str
        The prefix, with its last slash or without.
    """
    cut = base.rstrip("/")
    return (path[len(cut) :] or "/") if path == cut or path.startswith(f"{cut}/") else path


def section(path: str) -> str:
    """Name of the way that an address belongs to; empty for one of no page of ours.

    Parameters
    ----------
    path : str
        Without the prefix under which the view is served.
    """
    step = path.strip("/").partition("/")[0].partition(".")[0]
    return next((name for name, _, steps in BAR if step in steps), "")


def with_unit(address: str, unit: str) -> str:
    """An address with the unit that stands first, in place of any that it had."""
    rest, sign, anchor = address.partition("#")
    path, _, query = rest.partition("?")
    pairs = [pair for pair in parse_qsl(query, keep_blank_values=True) if pair[0] != "unit"]
    return f"{path}?{urlencode([*pairs, ('unit', unit)])}{sign}{anchor}"


def keep_unit(page: str, unit: str, base: str) -> str:
    """A page whose links to pages of ours, and whose forms, hand on the unit that was chosen.

    Done over the whole page at once: no template and no page can forget it.

    Parameters
    ----------
    page : str
        Written by our templates, which escape quotes in every value.
    unit : str
        kg or lb; empty: nobody chose, nothing is changed.
    base : str
        Prefix under which the view is served, without the last slash.
    """
    if not unit:
        return page

    def link(found: re.Match[str]) -> str:
        address = unescape(found[2])
        path = address.partition("#")[0].partition("?")[0]
        # another address of the same page ("?shop=...") is ours; a mark within it ("#notes") needs nothing
        mine = address.startswith("?") or (path.startswith(f"{base}/") and OURS.match(path[len(base) :]))
        if not mine or "unit=" in address or "/picture/" in path:
            return found[0]
        return f"{found[1]}{escape(with_unit(address, unit))}{found[3]}"

    def form(found: re.Match[str]) -> str:
        if 'name="unit"' in found[2]:
            return found[0]
        return f'{found[1]}<input type="hidden" name="unit" value="{unit}">{found[2]}'

    return _FORM.sub(form, _LINK.sub(link, page))
