"""Recording what a person decided about records from another shop; each decision is one new file."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from handling_db.errors import HandlingError
from handling_db.files.atomic import only_one, write_file
from handling_db.files.joined import with_masses_of
from handling_db.files.yaml_text import dump_text, load_text
from handling_db.findings import Finding, Place, fault
from handling_db.records.collection import Collection
from handling_db.records.kinds.origin import DECISIONS, Aside, Decision, Of, Pairing, Review, mark_id
from handling_db.records.parts.texts import Date, Id, Line, Part, Text
from handling_db.records.versions import OpenVersion, Wait, questions, versions
from handling_db.records.written import version, written
from handling_db.sharing.take_in import own_collection

REVIEWS = "reviews"
NewId = Callable[[], str]
Mark = TypeVar("Mark", Review, Pairing)


@dataclass(frozen=True, slots=True)
class Grounds:
    """Who decided, by role, why, in a sentence, and on which day."""

    by: str
    reason: str
    on: datetime.date

    def put_into(self, model: type[Mark], **fields: Any) -> Mark:
        """The record of what was decided.

        Raises
        ------
        HandlingError
            What was said cannot be written in one, such as no reason.
        """
        try:
            return model(**fields, by=self.by, on=self.on, reason=self.reason)
        except ValidationError as error:
            first = error.errors()[0]
            told = str(first["msg"]).removeprefix("Value error, ")
            raise HandlingError(f"{first['loc'][-1]}: {told}") from None


class Decided(Part):
    """One line of a decisions file: what was decided about which records.

    Without `id` it is about everything from one shop, or of one kind, that nobody has decided about yet;
    but which of two versions is in force is chosen one at a time, by id.
    """

    decision: Decision
    kind: Id | None = None
    id: Id | None = None
    version: Id | None = None
    from_shop: Id | None = None
    by: Line
    on: Date | None = None
    reason: Text


@dataclass(frozen=True, slots=True)
class Made:
    """The records of one decision, as they are written."""

    question: OpenVersion
    records: tuple[tuple[str, Part], ...]


def open_questions(folder: Path) -> tuple[OpenVersion, ...]:
    """What in a collection came from elsewhere and waits for a person.

    Raises
    ------
    HandlingError
        The folder cannot be read or its records have faults.
    """
    return questions(own_collection(folder))


def decide(
    own: Collection,
    question: OpenVersion,
    decision: Decision,
    grounds: Grounds,
    new_id: NewId,
) -> Made:
    """The records that a decision is written as; changes nothing.

    Parameters
    ----------
    own : Collection
    question : OpenVersion
    decision : Decision
        ``accept`` puts the version in force, ``refuse`` keeps it out, ``add its masses`` keeps the
        component here as it is and adds the other version's mass statements.
    grounds : Grounds
    new_id : callable
        Gives a time-ordered id.

    Raises
    ------
    HandlingError
        Masses can only be added to a component that is in force here.
    """
    every = versions(own).get((question.kind, question.id), {})
    over = tuple(sorted(set(every) - {question.version}))
    if decision != "accept":
        over = ()
    review = _review(question, question.version, decision, over, grounds, new_id())
    if decision != "add its masses":
        return Made(question, (("review", review),))
    mine = own.components.get(question.id)
    if question.kind != "component" or mine is None:
        raise HandlingError(
            f"{question.kind} {question.id}: masses are added to a component that is in force here"
        )
    both = with_masses_of(mine, question.record)
    plain = written("component", both)
    stamp = version("component", both)
    aside = Aside(
        aside=mark_id("component", question.id, stamp),
        of=Of(kind="component", id=question.id, version=stamp),
        on=grounds.on,
        record=plain,
    )
    chosen = _review(question, stamp, "accept", tuple(sorted(every)), grounds, new_id())
    return Made(question, (("review", review), ("aside", aside), ("review", chosen)))


def _review(
    question: OpenVersion,
    stamp: str,
    decision: Decision,
    over: tuple[str, ...],
    grounds: Grounds,
    record_id: str,
) -> Review:
    of = Of(kind=question.kind, id=question.id, version=stamp)
    return grounds.put_into(Review, review=record_id, of=of, decision=decision, over=over)


def record(folder: Path, made: Iterable[Made]) -> tuple[Path, ...]:
    """Write decisions into a collection's folder, one new file each, whole or not at all."""
    files = []
    with only_one(folder):
        for one in made:
            name = next(r.review for kind, r in one.records if isinstance(r, Review))
            target = folder / REVIEWS / f"{name}.yml"
            write_file(target, dump_text([written(kind, r) for kind, r in one.records]).encode())
            files.append(target)
    return tuple(files)


def read_decisions(text: str, name: str) -> tuple[tuple[Decided, ...], tuple[Finding, ...]]:
    """Read a decisions file: a list of mappings with decision, kind, id, by and reason.

    Returns
    -------
    tuple of Decided
    tuple of Finding
        Every fault in it; with any, nothing should be recorded.
    """
    loaded = load_text(text, name)
    if loaded.findings:
        return (), loaded.findings
    if not isinstance(loaded.value, list):
        told = "a decisions file is a list;"
        return (), (fault(Place(name, 1), "", told, f"write '- {{decision: {DECISIONS[0]}, ...}}' lines."),)
    found: list[Decided] = []
    findings: list[Finding] = []
    for place, value in enumerate(loaded.value):
        line = loaded.lines.get((place,), 1)
        try:
            found.append(Decided.model_validate(value))
        except ValidationError as error:
            for item in error.errors():
                field = ".".join(str(step) for step in item["loc"])
                told = str(item["msg"]).removeprefix("Value error, ")
                findings.append(fault(Place(name, line), field, f"{told};", "see docs/sharing.md."))
    return tuple(found), tuple(findings)


def apply_decisions(
    own: Collection, decisions: Iterable[Decided], *, today: datetime.date, new_id: NewId
) -> tuple[tuple[Made, ...], tuple[str, ...]]:
    """What a decisions file comes to.

    Returns
    -------
    tuple of Made
        In the order of the file; no version is decided about twice.
    tuple of str
        Sentences on decisions that meet nothing that is open.
    """
    open_now = list(questions(own))
    made: list[Made] = []
    said: list[str] = []
    for one in decisions:
        meant = [question for question in open_now if _meant(one, question)]
        if not meant:
            what = f"{one.kind} {one.id}" if one.id else f"from {one.from_shop}"
            said.append(f"nothing open is meant by the decision '{one.decision}' on {what}")
        for question in meant:
            open_now.remove(question)
            grounds = Grounds(one.by, one.reason, one.on or today)
            made.append(decide(own, question, one.decision, grounds, new_id))
    return tuple(made), tuple(said)


def _meant(one: Decided, question: OpenVersion) -> bool:
    wanted: tuple[tuple[Any, str], ...] = (
        (one.kind, question.kind),
        (one.id, question.id),
        (one.from_shop, question.shop),
    )
    if all(asked is None for asked, _ in wanted):
        return False
    if one.id is None and question.wait is Wait.OTHER:
        return False  # which of two versions is in force is chosen one at a time
    exact = all(asked is None or asked == is_ for asked, is_ in wanted)
    return exact and (one.version is None or question.version.startswith(one.version))
