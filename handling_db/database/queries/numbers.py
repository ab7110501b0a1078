"""Questions about the numbers to a database file, each answer kept by the file's stamp and the question."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from handling_db.classes import dataclass
from handling_db.database.cache import LastAnswers
from handling_db.database.queries.another_build import collection_for
from handling_db.database.queries.collection import (
    TooManyRecordsError,
    choices_about,
    collection_around,
    stamp_of,
    whole_collection,
)
from handling_db.errors import HandlingError
from handling_db.evidence.answer import DoubtAnswer, PageNumbers, SweepAnswer
from handling_db.weights.answer import WeightAnswer

if TYPE_CHECKING:
    from handling_db.families.build import Value
    from handling_db.records.collection import Collection
    from handling_db.records.kinds.choice import Choice

PAGE_COMPONENTS = 1_000  # around one component; beyond that a page says which command answers
PAGE_STEPS = 41  # of one sweep
PAGE_SWEEPS = 3
PAGE_UNKNOWN = 4  # parts without a mass whose inferred range is given

_pages: LastAnswers[PageNumbers] = LastAnswers(512)
_doubts: LastAnswers[DoubtAnswer] = LastAnswers(256)

_BELOW = """
  with recursive below(id) as
    (select id from component where code = ?
     union select u.child from usage u join below b on u.parent = b.id limit ?)
  select count(*) from below
"""


def page_numbers(
    connection: sqlite3.Connection,
    answer: WeightAnswer,
    *,
    settings: Mapping[str, str] | None = None,
    build: str | None = None,
    without: Sequence[str] = (),
) -> PageNumbers:
    """What the page of a component says about its numbers beyond the look-up.

    Parameters
    ----------
    connection : sqlite3.Connection
    answer : WeightAnswer
        The look-up in the same build and state, with the same parts off.
    settings, build : optional
        The build asked for.
    without : ids
        Off already.

    Returns
    -------
    PageNumbers
        Nothing is left out without a word: `told` says what was not worked out, and why.
    """
    if not _anything(answer):
        return PageNumbers()
    texts = dict(settings or {})
    state = answer.headline.state
    key = (stamp_of(connection), answer.id, state, tuple(sorted(texts.items())), build, tuple(without))
    return _pages.get(key, lambda: _work_out(connection, answer, _Asked(texts, build, tuple(without))))


def _anything(answer: WeightAnswer) -> bool:
    """Whether there is something to work out; most small parts have nothing."""
    several = len(answer.statements) > 1
    return bool(answer.build) or several or answer.headline.parts_missing or _disagrees(answer)


def _disagrees(answer: WeightAnswer) -> bool:
    return any(statement.verdict == "disagrees" for statement in answer.statements)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A build, by name and by single settings, and what is off."""

    texts: dict[str, str]
    build: str | None
    without: tuple[str, ...]


def _work_out(connection: sqlite3.Connection, answer: WeightAnswer, asked: _Asked) -> PageNumbers:
    code = answer.id
    found: dict[str, Any] = {}
    told: list[str] = []
    below = connection.execute(_BELOW, (code, PAGE_COMPONENTS + 1)).fetchone()[0]
    if below > PAGE_COMPONENTS:
        told.append(
            f"More than {PAGE_COMPONENTS} components are in it; explanations and sweeps are not worked out "
            f"on a page: 'handling-db explain {code}' and 'handling-db sweep {code}' answer."
        )
        return PageNumbers(told=tuple(told))
    collection, choices = collection_for(connection, code), choices_about(connection, code)
    try:
        _of_itself(collection, choices, answer, asked, found, told)
    except HandlingError as error:
        told.append(f"Not worked out further: {error}.")
    if answer.headline.parts_missing and not asked.without:
        try:
            around = collection_around(connection, code, PAGE_COMPONENTS)
        except TooManyRecordsError:
            told.append(
                f"What weighed wholes around it leave for it is not worked out on this page; "
                f"'handling-db bounds {code}' answers."
            )
        else:
            _of_wholes(around, answer, found)
    return PageNumbers(**found, told=tuple(told))


def _of_itself(
    collection: Collection,
    choices: Sequence[Choice],
    answer: WeightAnswer,
    asked: _Asked,
    found: dict[str, Any],
    told: list[str],
) -> None:
    """Selectors, sweeps, explanations, conflicts and choices."""
    from handling_db.balance.explained import choices_of, conflicts, explain_answer
    from handling_db.families.named_builds import given_values
    from handling_db.lookup.sweep_answer import builds_to_choose, selectors
    from handling_db.weights.compare import Judge

    component = collection.components[answer.id]
    judge = Judge(collection)
    if component.parameters:
        given = given_values(component, asked.texts, asked.build)
        found["builds"] = builds_to_choose(component)
        found["selectors"] = selectors(component, given)
        found["sweeps"] = _sweeps(collection, answer, given, asked.without, told)
    if _disagrees(answer):
        found["explained"] = explain_answer(collection, answer.id, judge).explained
    if len(answer.statements) > 1:
        found["conflicts"] = conflicts(judge, answer.id)
    figures = judge.totals("filled").witnesses_of(answer.id)
    found["choices"] = choices_of(choices, answer.id, figures)


def _sweeps(
    collection: Collection,
    answer: WeightAnswer,
    given: Mapping[str, Value],
    without: tuple[str, ...],
    told: list[str],
) -> tuple[SweepAnswer, ...]:
    """One sweep a parameter of numbers, in the state of the headline."""
    from handling_db.families.parameter import is_word
    from handling_db.lookup.sweep import Held
    from handling_db.lookup.sweep_answer import sweep_answer

    component = collection.components[answer.id]
    state: Any = answer.headline.state
    held = Held(state, given, without)
    found: list[SweepAnswer] = []
    for name, spec in component.parameters.items():
        if spec.formula is not None or is_word(name, spec):
            continue
        if len(found) == PAGE_SWEEPS:
            told.append(f"Only the first {PAGE_SWEEPS} sizes are gone through here.")
            break
        try:
            one = sweep_answer(collection, answer.id, name, held)
        except HandlingError as error:
            told.append(f"{error}; 'handling-db sweep {answer.id} {name}' takes values.")
            continue
        if len(one.lines) > PAGE_STEPS:
            told.append(
                f"{name} has {len(one.lines)} steps; 'handling-db sweep {answer.id} {name}' lists them."
            )
            continue
        found.append(one)
    return tuple(found)


def _of_wholes(collection: Collection, answer: WeightAnswer, found: dict[str, Any]) -> None:
    """What weighed wholes say about a component without a mass, or about its parts without one."""
    from handling_db.balance.bounds import bound_of
    from handling_db.balance.explained import inferred_figures
    from handling_db.records.parts.texts import STATES
    from handling_db.weights.compare import Judge

    judge = Judge(collection)
    wanted = [named.id for named in answer.headline.unknown if named.id in collection.components]
    found["inferred"] = inferred_figures(judge, wanted[:PAGE_UNKNOWN])
    states = sorted(STATES, key=lambda state: state != answer.headline.state)
    for state in states:
        bound = bound_of(collection, answer.id, state)
        if bound.high is not None:
            found["bound"], found["bound_state"] = bound, state
            break


def page_doubt(connection: sqlite3.Connection, source: str) -> DoubtAnswer | None:
    """Everything that rests on a source, for its page; None where the collection is too large for that.

    Raises
    ------
    UnknownNameError
        There is no such source or material.
    """

    def work_out() -> DoubtAnswer:
        from handling_db.evidence.doubt import doubt_answer

        return doubt_answer(whole_collection(connection, 5 * PAGE_COMPONENTS), source)

    try:
        return _doubts.get((stamp_of(connection), source), work_out)
    except TooManyRecordsError:
        return None
