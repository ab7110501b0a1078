"""What the page of a component shows of its numbers: links to builds, drawings, tables, JSON."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from handling_db.evidence.answer import PageNumbers, Selector, SweepAnswer
from handling_db.lookup.numbers.as_json import number_json
from handling_db.web.drawings.intervals import interval_drawing, witness_rows
from handling_db.web.drawings.narrowed import narrowed_drawing
from handling_db.web.drawings.sweep import sweep_drawing
from handling_db.web.pages.piece.question import PieceQuestion
from handling_db.weights.answer import WeightAnswer

Address = Callable[[PieceQuestion], str]


def number_parts(
    answer: WeightAnswer, numbers: PageNumbers, question: PieceQuestion, address: Address, first: str
) -> dict[str, Any]:
    """What is drawn and listed of the numbers further down.

    Parameters
    ----------
    answer : WeightAnswer
    numbers : PageNumbers
    question : PieceQuestion
    address : callable
        The address of the same page for another question.
    first : str
        kg or lb.
    """
    title = f"{answer.name}, {answer.headline.state}"
    return {
        "intervals": interval_drawing(witness_rows(answer, numbers, first=first), title, first=first),
        "narrowed": narrowed_drawing(answer, first=first),
        "sweeps": [
            {"sweep": one, "drawing": sweep_drawing(one, first=first), "rows": _rows(one, question, address)}
            for one in numbers.sweeps
        ],
    }


def build_choices(numbers: PageNumbers, question: PieceQuestion, address: Address) -> dict[str, Any]:
    """The builds to choose from, with their addresses, and the boxes for sizes.

    Parameters
    ----------
    numbers, question, address
        As for `number_parts`.
    """
    return {
        "numbers": numbers,
        "build_links": _build_links(numbers, question, address),
        "choice_links": [
            (one, _choice_links(one, question, address)) for one in numbers.selectors if one.choices
        ],
        "sizes": [one for one in numbers.selectors if not one.choices],
        "kept": _kept(question),
        "other_build": bool(question.settings or question.build),
    }


def numbers_as_json(numbers: PageNumbers) -> dict[str, Any]:
    """The same as plain values; masses in kilograms."""
    return {
        "builds": number_json(numbers.builds),
        "parameters": number_json(numbers.selectors),
        "sweeps": number_json(numbers.sweeps),
        "explanations": number_json(numbers.explained),
        "conflicts": number_json(numbers.conflicts),
        "choices": number_json(numbers.choices),
        "inferred": number_json(numbers.inferred),
        "bound": None
        if numbers.bound is None
        else {**number_json(numbers.bound), "state": numbers.bound_state},
        "not_worked_out": list(numbers.told),
    }


def _build_links(
    numbers: PageNumbers, question: PieceQuestion, address: Address
) -> list[tuple[str, str, str]]:
    """Name, address (empty for the one shown) and what it sets."""
    if not numbers.selectors:
        return []
    plain = replace(question, settings=(), build=None)
    links = [("default build", "" if plain == question else address(plain), "")]
    for one in numbers.builds:
        chosen = question.build == one.name and not question.settings
        fits = f" (serials {one.serials})" if one.serials else ""
        wanted = replace(question, settings=(), build=one.name)
        links.append((one.name, "" if chosen else address(wanted), f"{one.sets}{fits}"))
    return links


def _set(question: PieceQuestion, name: str, value: str) -> PieceQuestion:
    kept = tuple(pair for pair in question.settings if pair[0] != name)
    return replace(question, settings=(*kept, (name, value)))


def _choice_links(one: Selector, question: PieceQuestion, address: Address) -> list[tuple[str, str]]:
    return [
        (value, "" if value == one.now else address(_set(question, one.name, value))) for value in one.choices
    ]


def _kept(question: PieceQuestion) -> list[tuple[str, str]]:
    """What the form has to hand on."""
    return [pair for pair in question.pairs() if pair[0] != "set"]


def _rows(one: SweepAnswer, question: PieceQuestion, address: Address) -> list[tuple[Any, str]]:
    """Each line of a sweep with the address of its build."""
    return [
        (line, "" if line.figure is None else address(_set(question, one.parameter, line.text)))
        for line in one.lines
    ]
