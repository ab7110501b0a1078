"""Our own page for whatever goes wrong, whatever else is installed beside this program."""

from __future__ import annotations

import json
import logging
import traceback
from typing import Any

from handling_db.web.bare import bare_page

LOG = logging.getLogger("handling_db.web")

SENTENCES = {
    400: "That address cannot be answered: an option in it has a value that makes no sense here.",
    403: "This view does not answer that.",
    404: "There is no such page.",
    405: "This view is read-only: only GET and HEAD.",
    414: "The address is too long.",
    421: "This view does not answer to the name in that address. Start it with --host NAME to allow it.",
    500: "This page has failed; that is a fault of the program, please report it.",
}
TOO_LONG = "Reading that table took too long just now. Ask for fewer rows, or ask again in a moment."
_HEADINGS = {404: "Not found", 500: "This page has failed"}
HTML = "text/html; charset=utf-8"
JSON = "application/json; charset=utf-8"


def sentence_for(status: int) -> str:
    """What a status says to the reader."""
    return SENTENCES.get(status) or SENTENCES[500 if status >= 500 else 400]


def error_json(status: int, sentence: str = "") -> bytes:
    """The answer to a program."""
    return json.dumps({"error": sentence or sentence_for(status), "status": status}).encode()


async def error_page(datasette: Any, status: int, sentence: str = "") -> bytes:
    """The answer to a person: our own page, or a bare one where not even that can be made."""
    told = sentence or sentence_for(status)
    heading = _HEADINGS.get(status, "That cannot be answered")
    try:
        from handling_db.database import queries
        from handling_db.web.site import ask, page_text

        stamp = await ask(datasette, queries.stamp)
        context = {"heading": heading, "message": told, "choices": (), "stamp": stamp}
        return page_text(datasette, "error.html", context).encode()
    except Exception as error:  # the database itself may be what fails
        log("the page of an error", error)
        return bare_page(heading, told).encode()


def log(what: str, error: BaseException) -> None:
    """One line of log: what was asked, what failed and where; no trace, no values."""
    frames = traceback.extract_tb(error.__traceback__)
    where = f" at {frames[-1].filename}:{frames[-1].lineno}" if frames else ""
    told = " ".join(str(error).split())[:200]
    LOG.error("%s: %s: %s%s", what, type(error).__name__, told, where)
