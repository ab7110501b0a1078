"""The page of one piece: how heavy, the picture of the weight, what is off, how it is handled."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any
from urllib.parse import urlencode
from weakref import WeakKeyDictionary

from markupsafe import Markup

from handling_db.database import queries
from handling_db.database.cache import LastAnswers
from handling_db.database.queries.numbers import page_numbers
from handling_db.database.queries.origin import Marks, marks_of
from handling_db.errors import UnknownNameError
from handling_db.evidence.answer import PageNumbers
from handling_db.lookup import words
from handling_db.lookup.as_json import WEIGHT
from handling_db.lookup.listings import Branch
from handling_db.web.drawings.masses import mass_drawing
from handling_db.web.drawings.strip import weight_strip
from handling_db.web.pages.listed import grouped
from handling_db.web.pages.piece.facts import PieceFacts, piece_facts
from handling_db.web.pages.piece.number_parts import Address, build_choices, number_parts, numbers_as_json
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
from handling_db.web.pages.sending import Visit, page
from handling_db.web.paper import on_paper
from handling_db.web.site import decode, page_text, today
from handling_db.weights.answer import WeightAnswer


async def component(request: Any, datasette: Any) -> Any:
    """One component: how heavy, who says so, what it is made of, how it is handled."""
    code = decode(request.url_vars["code"])
    question = PieceQuestion.read(request.args)
    written = _written.setdefault(datasette, LastAnswers(KEPT))
    path = str(datasette.urls.path(f"/component/{request.url_vars['code']}"))

    def address(asked: PieceQuestion) -> str:
        pairs = asked.pairs()
        return f"{path}?{urlencode(pairs)}" if pairs else path

    def gather(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
        if not queries.exists(connection, code):
            raise UnknownNameError(f"there is no component {code!r} in this collection; use the search box")
        stamp = visit.stamp
        answer = question.answer(connection, code)
        facts, marks = piece_facts(connection, code), marks_of(connection)
        first = question.unit or stamp.first_unit
        numbers = page_numbers(
            connection,
            answer,
            settings=dict(question.settings),
            build=question.build,
            without=[named.id for named in answer.left_out],
        )
        shown = _Page(answer, numbers, facts, question, first)
        drawn = (stamp.stamp, code, replace(question, unit=None, beside=""), first)

        @cache
        def branches() -> Sequence[Branch]:
            return queries.branches(connection, answer, plain_question=question.is_plain)

        def draw() -> Markup | None:
            return weight_strip(answer.name, answer.headline, branches(), first=first)

        def more() -> Markup:
            key = (stamp.stamp, path, question, first, today())
            return written.get(key, lambda: _more(datasette, shown, branches(), marks, address))

        return {
            "about": ("component", code),
            "a": answer,
            "first": first,
            **build_choices(numbers, question, address),
            "stamp": stamp,
            "headline": words.headline(answer, first=first),
            "state_links": states_of(question, address),
            "change": change_words(connection, answer, question, first),
            "asked_words": question_words(question, answer),
            "beside": beside_of(connection, code, question, address, first),
            "beside_path": "" if question.beside else beside_address(question, address),
            "alone_path": address(replace(question, beside="")) if question.beside else "",
            **shown_and_folded(part_rows(connection, answer, question, address, first)),
            "strip": _strips.get(drawn, draw),
            "urgent": facts.urgent,
            "notes_count": len(facts.notes),
            "handled": facts.handled,
            "marks": marks,
            "more": more,
            "json": lambda: {
                **WEIGHT.write(answer),
                **numbers_as_json(numbers),
                "notes": queries.notes_for(connection, code=code),
                "fixtures": facts.fixtures,
                "findings": facts.findings,
                "pictures": facts.pictures,
                "stamp": stamp,
            },
        }

    return await page(datasette, "component.html", gather, request)


KEPT = 128  # of what stands under the buttons
# What stands below depends on the records, the day and the question, not on where in the address it is asked.
_written: WeakKeyDictionary[Any, LastAnswers[Markup]] = WeakKeyDictionary()  # by application
_strips: LastAnswers[Markup | None] = LastAnswers(KEPT)


@dataclass(frozen=True, slots=True)
class _Page:
    """A piece in one question."""

    answer: WeightAnswer
    numbers: PageNumbers
    facts: PieceFacts
    question: PieceQuestion
    first: str


def _more(datasette: Any, shown: _Page, branches: Sequence[Branch], marks: Marks, address: Address) -> Markup:
    """What stands under the buttons: parts, notes, pictures, what is for the data keeper."""
    answer, facts, numbers, first = shown.answer, shown.facts, shown.numbers, shown.first
    context = {
        "a": answer,
        "first": first,
        "numbers": numbers,
        "other_build": bool(shown.question.settings or shown.question.build),
        **number_parts(answer, numbers, shown.question, address, first),
        "conflicting": [one for one in answer.statements if one.verdict == "disagrees"],
        "state_groups": _state_groups(answer),
        "notes_count": len(facts.notes),
        "paper": on_paper(answer.id, facts.others, len(facts.urgent), len(answer.parts), len(facts.pictures)),
        "notes_by_kind": grouped(facts.others, lambda note: note.kind),
        "fixtures": facts.fixtures,
        "findings": facts.findings,
        "branches": branches,
        "drawing": mass_drawing(answer.parts, answer.headline, answer.name),
        "datum": facts.datum,
        "pictures": facts.pictures,
        "who_to_call": facts.who_to_call,
        "marks": marks,
    }
    return Markup(page_text(datasette, "component-more.html", context))


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
