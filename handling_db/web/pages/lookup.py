"""The pages a mechanic reads, each with JSON beside it. All queries of a page run in one go."""

from __future__ import annotations

import sqlite3
from dataclasses import asdict, replace
from typing import Any
from urllib.parse import urlencode

from datasette.utils import tilde_encode
from datasette.utils.asgi import Response

from handling_db.database import queries
from handling_db.database.queries.jobs import jobs_among, open_jobs
from handling_db.database.queries.numbers import page_doubt
from handling_db.database.queries.origin import marks_of
from handling_db.database.queries.pictures import picture
from handling_db.errors import HandlingError, UnknownNameError
from handling_db.lookup.as_json import plain
from handling_db.lookup.listings import ListedNote
from handling_db.lookup.numbers.as_json import number_json
from handling_db.web.pages.listed import grouped
from handling_db.web.pages.sending import Visit, shown
from handling_db.web.pages.start import MORE, URGENT
from handling_db.web.site import ask, marked, problem, today
from handling_db.web.turned import leaf

NOTES = 100  # on a page


@shown("find.html")
def find(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Pieces, lifts and notes that hold some words or a fragment; a misspelt word is put right."""
    text = visit.text("q")
    hits = queries.search(connection, text, 40) if text else []
    spelled = queries.respelled(connection, visit.stamp.stamp, text) if text and not hits else ""
    if spelled:
        hits = queries.search(connection, spelled, 40)
    came = marks_of(connection)
    pieces = {hit.id: hit.title for hit in hits if hit.kind == "component"}
    jobs = jobs_among(connection, tuple(pieces))
    return {
        "q": text,
        "jobs": [(job, [pieces[code] for code in about]) for job, about in jobs],
        "about": None,
        "spelled": spelled,
        "hits": [
            {**_hit(visit.datasette, hit, spelled or text), "came": came.get((hit.kind, hit.id), "")}
            for hit in hits
        ],
        "near": queries.near_names(connection, text, 5) if text and not hits else [],
        "more": MORE,
        "json": {
            "q": text,
            "spelled": spelled,
            "hits": [{**_unmarked(hit), "came": came.get((hit.kind, hit.id), "")} for hit in hits],
            "jobs": plain([job for job, _ in jobs]),
        },
    }


# How a page names what was found, and where it leads.
_FOUND = {"component": ("", "/component/{}"), "lift group": ("lift", "/lift/{}"), "note": ("note", "")}


def _hit(datasette: Any, hit: Any, text: str) -> dict[str, Any]:
    kind, path = _FOUND[hit.kind]
    if hit.kind == "note":
        address = f"{datasette.urls.path('/notes')}?{urlencode({'q': text})}#note-{hit.id}"
    else:
        address = datasette.urls.path(path.format(tilde_encode(hit.id)))
    return {
        **asdict(hit),
        "kind": kind,
        "path": address,
        "plain": _unmarked(hit)["snippet"],
        "marked": marked(hit.snippet) if hit.snippet else "",
    }


def _unmarked(hit: Any) -> dict[str, Any]:
    snippet = hit.snippet.replace(queries.MARK_ON, "").replace(queries.MARK_OFF, "")
    return {**asdict(hit), "snippet": snippet}


@shown("notes.html")
def notes(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Handling notes by words, kind, shop and component; stored energy first, whatever the filter."""
    args = {name: visit.text(name) for name in ("q", "kind", "shop", "component")}
    code, trouble = None, ""
    if args["component"]:
        try:
            code = queries.resolve(connection, args["component"])
        except HandlingError as error:
            trouble = str(error)
    asked = {
        "code": code,
        "kind": args["kind"] or None,
        "shop": args["shop"] or None,
        "text": args["q"] or None,
    }
    found = queries.notes_found(connection, **asked)
    alone = args["kind"] == "stored energy"  # then they are what is asked for, all of them
    rest = () if trouble else found.urgent if alone else found.rest
    at = leaf(visit.request, "/notes", len(rest), NOTES)
    here = queries.notes_at(connection, rest[at.start : at.end], None if alone else found.marked)
    first = [] if alone else queries.notes_at(connection, found.urgent[:URGENT])
    jobs = open_jobs(connection, code) if code else ()
    return {
        "about": ("component", code) if code else None,
        **args,
        "asked": any(args.values()),
        "kinds_shown": grouped(map(_shown, here), lambda note: note.kind),
        "count": len(rest),
        "leaf": at,
        "urgent": [_shown(note) for note in first],
        "more_urgent": 0 if alone else len(found.urgent) - len(first),
        "kinds": queries.note_kinds(connection),
        "shops": queries.shops(connection),
        "problem": trouble,
        "jobs": jobs,
        "marks": marks_of(connection),
        "json": lambda: {
            "stored_energy": queries.notes_for(connection, code=code, kind="stored energy"),
            "notes": queries.notes_for(connection, **asked),
            "jobs": plain(jobs),
        },
    }


def _shown(note: ListedNote) -> ListedNote:
    stale = bool(note.review_by) and note.review_by < today()
    return replace(note, stale=stale, marked=marked(note.marked) if note.marked else "")


@shown("fixtures.html")
def fixtures(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What fixture is needed, who has one, what people used instead, and was that rated."""
    found = queries.fixtures_for(connection)
    return {
        "fixtures": found,
        "json": {"fixtures": found},
    }


@shown("shops.html")
def shops(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """The shops, their movers, fixtures, scales and rules."""
    found = queries.shops(connection)
    return {"shops": found, "json": {"shops": found}}


@shown("sources.html")
def sources(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """All sources, or one with everything that rests on it."""
    code = visit.code if visit.request.url_vars.get("code") else None
    one = queries.source(connection, code) if code else None
    doubt = page_doubt(connection, code) if code else None
    listed = [] if code else queries.sources(connection)
    return {
        "source": one,
        "doubt": doubt,
        "sources": listed,
        "json": {**plain(one), "doubt": number_json(doubt)} if one else {"sources": listed},
    }


async def shown_picture(request: Any, datasette: Any) -> Any:
    """One picture, with the content type that its first bytes proved when the file was built."""
    name = f"{request.url_vars['name']}.{request.url_vars['ending']}"
    found = await ask(datasette, lambda connection: picture(connection, name))
    if found is None:
        return await problem(datasette, UnknownNameError("there is no such picture in this collection"))
    kind, content = found
    headers = {"cache-control": "max-age=86400", "content-disposition": f'inline; filename="{name}"'}
    return Response(content, content_type=kind, headers=headers)
