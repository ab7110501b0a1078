"""Recorded choices: do they name what there is, and is what stays open overdue?"""

from __future__ import annotations

from collections.abc import Iterator

from handling_db.calc.checking.evidence import Evidence
from handling_db.findings import Finding, Verdict
from handling_db.records.choice import Choice


def choice_reference(evidence: Evidence) -> Iterator[Finding]:
    """A choice about a component, a figure or another choice that is not there."""
    collection = evidence.collection
    for code, choice in sorted(collection.choices.items()):
        if choice.component not in collection.components:
            yield _fault(evidence, choice, "component", f"there is no component {choice.component!r};")
            continue
        figures = {witness.id for witness in evidence.witnesses(choice.component)}
        replaced = {other.replaces for other in collection.choices.values()}
        if choice.statement is not None and choice.statement not in figures and code not in replaced:
            yield Finding(
                "choice-reference",
                Verdict.CANNOT_BE_CHECKED,
                choice.component,
                f"choice {code} took the figure {choice.statement!r} of {evidence.name(choice.component)}, "
                "which is no longer in force, so it has no effect;",
                "choose again among the figures that are, with a choice that says 'replaces'.",
                collection.place("choice", code, "statement"),
                "statement",
            )
        if choice.replaces is not None and choice.replaces not in collection.choices:
            yield _fault(evidence, choice, "replaces", f"there is no choice {choice.replaces!r};")


def _fault(evidence: Evidence, choice: Choice, field: str, sentence: str) -> Finding:
    place = evidence.collection.place("choice", choice.id, field)
    remedy = "correct the id, or take the choice out."
    return Finding("choice-reference", Verdict.FAULT, choice.component, sentence, remedy, place, field)


def conflict_overdue(evidence: Evidence) -> Iterator[Finding]:
    """A conflict that somebody keeps open past the day it was to be settled by."""
    collection = evidence.collection
    replaced = {choice.replaces for choice in collection.choices.values()}
    for code, choice in sorted(collection.choices.items()):
        due = choice.settle_by
        if due is None or evidence.as_of is None or due >= evidence.as_of or code in replaced:
            continue
        yield Finding(
            "conflict-overdue",
            Verdict.REMARK,
            choice.component,
            f"the figures of {evidence.name(choice.component)} were to be settled by {due.isoformat()} by "
            f"{choice.owner}: {choice.reason}",
            "Weigh it, choose, or name a new day; until then the larger upper figure is planned with.",
            collection.place("choice", code, "settle by"),
            "settle by",
        )
