"""The page of one piece: how heavy, the picture of the weight, what is off, how it is handled."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from handling_db.database import queries
from handling_db.database.queries.lift import handled_in
from handling_db.database.queries.numbers import page_numbers
from handling_db.database.queries.origin import marks_of
from handling_db.database.queries.pictures import pictures_of
from handling_db.errors import UnknownNameError
from handling_db.lookup.as_json import WEIGHT
from handling_db.lookup.listings import ListedNote
from handling_db.web.drawings.masses import mass_drawing
from handling_db.web.drawings.strip import weight_strip
from handling_db.web.pages.piece.number_parts import number_parts, numbers_as_json
from handling_db.web.pages.piece.question import PieceQuestion
from handling_db.web.pages.piece.what_if import (
    beside_address,
    beside_of,
    change_words,
    part_rows,
    question_words,
    shown_and_folded,
    states_of,
)
from handling_db.web.pages.sending import json_asked, page
from handling_db.web.paper import on_paper
from handling_db.web.site import decode, today
from handling_db.weights.answer import WeightAnswer


async def component(request: Any, datasette: Any) -> Any:
    """One component: how heavy, who says so, what it is made of, how it is handled."""
    code = decode(request.url_vars["code"])
    question = PieceQuestion.read(request.args)
    urls = datasette.urls

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        if not queries.exists(connection, code):
            raise UnknownNameError(f"there is no component {code!r} in this collection; use the search box")
        stamp = queries.stamp(connection)
        answer = question.answer(connection, code)
        notes = queries.notes_for(connection, code=code)
        fixtures = queries.fixtures_for(connection, code)
        findings = queries.findings_for(connection, code)
        pictures = pictures_of(connection, code)
        day = today()
        stale = [
            note
            if note.stale == (bool(note.review_by) and note.review_by < day)
            else replace(note, stale=not note.stale)
            for note in notes
        ]
        path = str(urls.path(f"/component/{request.url_vars['code']}"))
        first = question.unit or stamp.first_unit
        numbers = page_numbers(
            connection,
            answer,
            settings=dict(question.settings),
            build=question.build,
            without=[named.id for named in answer.left_out],
        )
        branches = queries.branches(connection, answer, plain_question=question.is_plain)

        def address(asked: PieceQuestion) -> str:
            return _address(path, asked)

        return {
            "about": ("component", code),
            "a": answer,
            "first": first,
            **number_parts(answer, numbers, question, address, first),
            "stamp": stamp,
            "state_links": states_of(question, address),
            "change": change_words(connection, answer, question, first),
            "asked_words": question_words(question, answer),
            "beside": beside_of(connection, code, question, address, first),
            "beside_path": "" if question.beside else beside_address(question, address),
            "alone_path": address(replace(question, beside="")) if question.beside else "",
            **shown_and_folded(part_rows(connection, answer, question, address, first)),
            "strip": weight_strip(answer.name, answer.headline, branches, first=first),
            "conflicting": [one for one in answer.statements if one.verdict == "disagrees"],
            "state_groups": _state_groups(answer),
            "urgent": [note for note in stale if note.kind == "stored energy"],
            "notes_count": len(stale),
            "paper": on_paper(
                code,
                [note for note in stale if note.kind != "stored energy"],
                sum(note.kind == "stored energy" for note in stale),
                len(answer.parts),
                len(pictures),
            ),
            "notes_by_kind": _by_kind([note for note in stale if note.kind != "stored energy"]),
            "fixtures": fixtures,
            "findings": findings,
            "branches": branches,
            "drawing": mass_drawing(answer.parts, answer.headline, answer.name),
            "datum": queries.datum(connection, code),
            "handled": handled_in(connection, code),
            "pictures": pictures,
            "who_to_call": [shop.who_to_call for shop in queries.shops(connection) if shop.who_to_call],
            "marks": marks_of(connection),
            "json": lambda: {
                **WEIGHT.write(answer),
                **numbers_as_json(numbers),
                "notes": notes,
                "fixtures": fixtures,
                "findings": findings,
                "pictures": pictures,
                "stamp": stamp,
            },
        }

    return await page(datasette, "component.html", gather, request, json_asked(request))


def _state_groups(answer: WeightAnswer) -> list[dict[str, Any]]:
    """States with the same figure are said once: ``dry, drained and filled``."""
    groups: list[dict[str, Any]] = []
    for state in answer.states:
        same = replace(state, state="", fluid_elsewhere=())
        if groups and groups[-1]["same"] == same:
            groups[-1]["listed"].append(state.state)
            groups[-1]["state"] = state
        else:
            groups.append({"same": same, "listed": [state.state], "state": state})
    for group in groups:
        listed = group["listed"]
        group["names"] = " and ".join(filter(None, (", ".join(listed[:-1]), listed[-1])))
    return groups


def _address(path: str, question: PieceQuestion) -> str:
    pairs = question.pairs()
    return f"{path}?{urlencode(pairs)}" if pairs else path


def _by_kind(notes: Sequence[ListedNote]) -> list[tuple[str, list[ListedNote]]]:
    kinds: dict[str, list[ListedNote]] = {}
    for note in notes:
        kinds.setdefault(note.kind, []).append(note)
    return list(kinds.items())
