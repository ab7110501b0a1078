"""Records from other shops that nobody here has decided about: what waits, what lies beside another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handling_db.checker.evidence import At, Evidence
from handling_db.findings import Finding, Place
from handling_db.records.versions import OpenVersion, Wait, questions
from handling_db.records.written import written

_REVIEW = "look at it and decide: handling-db parcel review."


def version_waits(evidence: Evidence) -> Iterator[Finding]:
    """A record from another shop that is not in force until a person decides."""
    for question in _open(evidence, Wait.WAITS):
        record: Any = question.record
        what = f"{question.kind} {question.id}"
        about = question.id
        if question.kind == "weighing":
            what = f"a weighing of {evidence.name(record.of)} ({_figure(record)}, {question.id})"
            about = record.of
        told = f"{what} {_from(question)} waits for review and counts nowhere;"
        at = At(_place(evidence, question), "record", about)
        yield at.unchecked("version-waits", told, _REVIEW)


def version_beside(evidence: Evidence) -> Iterator[Finding]:
    """Two versions of one record: one is in force, the other lies beside it."""
    for question in _open(evidence, Wait.OTHER):
        mine = written(question.kind, evidence.collection.of_kind(question.kind)[question.id])
        theirs = written(question.kind, question.record)
        fields = sorted(key for key in {*mine, *theirs} if mine.get(key) != theirs.get(key))
        yield At(_place(evidence, question), "record", question.id).disagrees(
            "version-beside",
            f"{question.kind} {question.id} has two versions: the one here is in force, and one "
            f"{_from(question)} differs in {', '.join(fields)};",
            _REVIEW,
        )


def not_reviewed(evidence: Evidence) -> Iterator[Finding]:
    """A record from another shop that is in force though nobody here has looked at it."""
    for question in _open(evidence, Wait.UNREVIEWED):
        yield At(evidence.place(question.kind, question.id), question.kind, question.id).remark(
            "not-reviewed",
            f"{question.kind} {question.id} came {_from(question)}, and nobody here has reviewed it;",
            _REVIEW,
        )


def _open(evidence: Evidence, wait: Wait) -> Iterator[OpenVersion]:
    yield from (question for question in questions(evidence.collection) if question.wait is wait)


def _from(question: OpenVersion) -> str:
    return f"from {question.shop}" if question.shop else "of this shop"


def _figure(weighing: Any) -> str:
    if weighing.gross is not None:
        return str(weighing.gross)
    return "weighed with and without it" if weighing.difference is not None else "weighed on two supports"


def _place(evidence: Evidence, question: OpenVersion) -> Place | None:
    asked = (question.kind, question.id, question.version)
    for code, aside in sorted(evidence.collection.asides.items()):
        if (aside.of.kind, aside.of.id, aside.of.version) == asked:
            return evidence.place("aside", code, "record")
    return None
