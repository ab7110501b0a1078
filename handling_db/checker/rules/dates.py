"""What depends on the day: reviews, checks of instruments and inspections of gear that are overdue."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping

from handling_db.checker.evidence import Evidence, Path
from handling_db.findings import Finding
from handling_db.quantities.display import counted
from handling_db.records.kinds.workplace import Fixture, Mover

# kind of record, its id, path of the field, the day, what the finding is about
Due = tuple[str, str, Path, datetime.date | None, str]


def review_passed(evidence: Evidence) -> Iterator[Finding]:
    """A record whose review date has passed; it stays readable, and says its age."""
    for due in _reviews(evidence):
        yield from passed(
            evidence, "review-passed", due, f"{due[0]} {due[1]} was to be looked at again by", "review it"
        )


def instrument_check_passed(evidence: Evidence) -> Iterator[Finding]:
    """A scale or load cell whose check is overdue, or figures read with it after that day."""
    for code, source in sorted(evidence.collection.sources.items()):
        due = source.instrument.check_due if source.instrument else None
        told = f"{source.name} was to be checked by"
        path: Path = ("instrument", "check due")
        yield from passed(
            evidence, "instrument-check-passed", ("source", code, path, due, code), told, "have it checked"
        )
    for code in evidence.with_figures:
        for witness in evidence.witnesses(code):
            instrument = witness.source.instrument
            if instrument is None or instrument.check_due is None or witness.on is None:
                continue
            if witness.on > instrument.check_due:
                late = counted((witness.on - instrument.check_due).days, "day")
                yield evidence.where(witness).remark(
                    "instrument-check-passed",
                    f"{witness.printed} was read on {witness.on.isoformat()}, {late} after the check of "
                    f"{witness.source.name} was due ({instrument.check_due.isoformat()});",
                    "have it checked and read again, or write the check that was made.",
                )


def inspection_passed(evidence: Evidence) -> Iterator[Finding]:
    """A fixture or a mover whose inspection is overdue."""
    collection = evidence.collection
    shelves: tuple[tuple[str, Mapping[str, Fixture | Mover]], ...] = (
        ("fixture", collection.fixtures),
        ("mover", collection.movers),
    )
    for kind, shelf in shelves:
        for code, record in sorted(shelf.items()):
            due: Due = (kind, code, ("inspection due",), record.inspection_due, code)
            told = f"{record.name} was to be inspected by"
            yield from passed(evidence, "inspection-passed", due, told, "have it inspected before use")


def _reviews(evidence: Evidence) -> Iterator[Due]:
    collection = evidence.collection
    for code, component in sorted(collection.components.items()):
        yield "component", code, ("review by",), component.review_by, code
        for i, statement in enumerate(component.masses):
            yield "component", code, ("masses", i, "review by"), statement.review_by, code
    for code, weighing in sorted(collection.weighings.items()):
        yield "weighing", code, ("review by",), weighing.review_by, weighing.of
    for code, source in sorted(collection.sources.items()):
        yield "source", code, ("review by",), source.review_by, code
    for code, note in sorted(collection.notes.items()):
        if note.status != "withdrawn":
            yield "note", code, ("review by",), note.review_by, note.about.id


def passed(evidence: Evidence, rule: str, due: Due, told: str, remedy: str) -> Iterator[Finding]:
    """A remark where a day has passed."""
    kind, record, path, day, about = due
    if evidence.as_of is None or day is None or day >= evidence.as_of:
        return
    late = counted((evidence.as_of - day).days, "day")
    yield evidence.at(kind, record, *path).remark(
        rule,
        f"{told} {day.isoformat()}, {late} before {evidence.as_of.isoformat()};",
        f"{remedy} and write the new date.",
        about=about,
    )
