"""What if: parts off and put back, state and build as buttons, the change, and two side by side."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from handling_db.database import queries
from handling_db.database.cache import LastAnswers
from handling_db.database.queries.collection import stamp_of
from handling_db.database.queries.large import is_large
from handling_db.errors import HandlingError
from handling_db.lookup import words
from handling_db.lookup.taking_off import off_words
from handling_db.quantities.display import pair, planning_text
from handling_db.web.pages.piece.facts import recorded_answer
from handling_db.web.pages.piece.question import PieceQuestion
from handling_db.weights.answer import StateFigure, WeightAnswer

Address = Callable[[PieceQuestion], str]
_told: LastAnswers[dict[str, tuple[str, ...]]] = LastAnswers(256)
SHOWN = 5  # parts with their buttons; smaller ones are folded


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part with its button.

    Parameters
    ----------
    path : str
        Address of the page with it off, or put back; empty for a fluid, which is no piece to take off.
    says : tuple of str
        What it carries, closes in or holds inside.
    """

    id: str
    name: str
    mass: str
    known: bool
    off: bool
    path: str
    says: tuple[str, ...]


def part_rows(
    connection: sqlite3.Connection,
    answer: WeightAnswer,
    question: PieceQuestion,
    address: Address,
    first: str,
) -> list[PartRow]:
    """What is off first, then every part by mass, each with its button."""
    gone = [named.id for named in answer.left_out]
    codes = [part.id for part in answer.parts]
    told: dict[str, tuple[str, ...]] = {}
    if codes and not is_large(connection, answer.id):
        asked = (*codes, *gone)
        told = _told.get(
            (stamp_of(connection), answer.id, asked),
            lambda: off_words(queries.collection_for(connection, answer.id), answer.id, asked),
        )
    rows = [
        PartRow(
            named.id,
            named.name,
            "off",
            known=True,
            off=True,
            path=address(replace(question, without=tuple(one for one in gone if one != named.id))),
            says=told.get(named.id, ()),
        )
        for named in answer.left_out
    ]
    ordered = sorted(answer.parts, key=lambda part: (part.known, -float(part.high * part.quantity)))
    for part in ordered:
        _, together = words.part_words(part, first=first)
        pieces = "" if part.quantity == 1 else f"{float(part.quantity):g} × "
        rows.append(
            PartRow(
                part.id,
                f"{pieces}{part.name}",
                together,
                known=part.known,
                off=False,
                path="" if part.kind == "fluid" else address(replace(question, without=(*gone, part.id))),
                says=told.get(part.id, ()),
            )
        )
    return rows


def change_words(
    connection: sqlite3.Connection, answer: WeightAnswer, question: PieceQuestion, first: str
) -> str:
    """By how much the figure to plan with differs from the recorded one; empty where nothing was asked."""
    if question.is_plain or (not question.without and not question.settings and question.build is None):
        return ""
    base = recorded_answer(connection, answer.id)
    was = next((one for one in base.states if one.state == answer.headline.state), None)
    if was is None or was.planning is None or answer.headline.planning is None:
        return f"As recorded: {words.headline(base, first=first)}."
    change = float(answer.headline.planning) - float(was.planning)
    told = planning_text(was.planning, first=first)
    size: float = abs(change)
    if size < 1e-9:
        return f"As recorded: {told}, the same."
    by = pair(size, size / 50, first=first)
    return f"{by} {'less' if change < 0 else 'more'} than as recorded, {told}."


def question_words(question: PieceQuestion, answer: WeightAnswer) -> str:
    """What was asked, in a few words."""
    said = [f"without {words.names(answer.left_out, 4)}"] if answer.left_out else []
    said += [question.build] if question.build else []
    said += [f"{name} {value}" for name, value in question.settings]
    said += [question.state] if question.state else []
    return "; ".join(said) or "as recorded"


@dataclass(frozen=True, slots=True)
class OtherWhatIf:
    """Another what-if of the same piece, to stand beside this one.

    Parameters
    ----------
    state : StateFigure
        Its figure to plan with.
    path : str
        The address of the other one by itself.
    """

    asked: str
    told: str
    state: StateFigure
    path: str


def beside_of(
    connection: sqlite3.Connection, code: str, question: PieceQuestion, address: Address, first: str
) -> OtherWhatIf | None:
    """The other what-if of the address; None where there is none.

    Raises
    ------
    HandlingError
        It cannot be answered.
    """
    if not question.beside:
        return None
    other = PieceQuestion.from_text(question.beside)
    try:
        answer = other.answer(connection, code)
    except HandlingError as error:
        raise HandlingError(f"beside: {error}") from None
    return OtherWhatIf(
        question_words(other, answer), words.headline(answer, first=first), answer.headline, address(other)
    )


def beside_address(question: PieceQuestion, address: Address) -> str:
    """The page as recorded, with this what-if beside it, to be changed into the second one."""
    text = urlencode([pair for pair in replace(question, beside="").pairs() if pair[0] != "unit"])
    return address(PieceQuestion(unit=question.unit, beside=text))


def states_of(question: PieceQuestion, address: Address) -> list[tuple[str, str]]:
    """The states to choose from; an empty address marks the one that is shown."""
    links = []
    for name, state in (("All", None), ("Dry", "dry"), ("Drained", "drained"), ("Filled", "filled")):
        chosen = question.state == state
        links.append((name, "" if chosen else address(replace(question, state=state))))
    return links


def shown_and_folded(rows: list[PartRow]) -> dict[str, Any]:
    """The first rows, and the rest; never folded: what is off, and what nobody weighed."""
    must = [row for row in rows if row.off or not row.known]
    rest = [row for row in rows if row not in must]
    room = max(SHOWN - len(must), 0)
    return {"rows": [*must, *rest[:room]], "more_rows": rest[room:]}
